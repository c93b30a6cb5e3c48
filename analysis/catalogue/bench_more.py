"""Guided tests for the less usual suspects: topping out, known loads, warmth, what rolls, legs compared, springs."""
from __future__ import annotations

from analysis.catalogue.kinds import BenchTest, Question, Spread, choices

TOP_OUT = BenchTest(
    "top_out", "Pull up and feel the end", "Shows how the fork ends when it comes back up: softly, or with a knock.",
    10, ("Your hands",), ("helper",),
    "Bend your knees, lift no more than is comfortable. A helper holds the tail. Front brake on, so that a loose head "
    "bearing is not taken for the fork.",
    ("Pull the bars up slowly until the wheel goes light. Feel the last 20 mm.",
     "Let it drop by a finger's width and pull quickly. Listen, and feel at the tubes which side it comes from."),
    "top_out",
    (Question("bench.top_out.feel", "How does it end at the top?", "choice", choices=choices(
        soft="Softly", firm="With a firm, dull thump", knock="With a metal knock", cannot_tell="I cannot tell")),
     Question("bench.top_out.side", "Where does it come from?", "choice", choices=choices(
         both="Both legs", left="The left leg", right="The right leg", cannot_tell="I cannot tell"))),
)


def _load(name: str, title: str) -> tuple[Question, Question]:
    return (
        Question(f"bench.known_load.{name}_kg", f"{title} load on the bars", unit="kg", possible=(1, 120),
                 usual=(5, 60), spread=Spread(0.5, 0.02)),
        Question(f"bench.known_load.{name}_mm", f"Stroke under the {title.lower()} load", unit="mm", possible=(0, 400),
                 usual=(0, 320), spread=Spread(2),
                 help="Mean of two readings: once after it sank, once after it was pushed down and rose."))


KNOWN_LOAD = BenchTest(
    "known_load", "Stroke under known loads",
    "Numbers that do not depend on anyone's strength: a stiff spring, too much preload and too much oil each bend the "
    "line in another way.", 20,
    ("Bags or cans of known mass, 10 to 40 kg", "A tape"), ("helper", "tape"),
    "A helper holds the bike upright the whole time. Tie the load down on tank and bars so that it cannot slip; hands "
    "and feet away from under it.",
    ("Nothing on the bike: note the stroke, or measure free sag as in the sag test.",
     "Put on about 10 kg over the front axle. Let it sink, read; push it down, let it rise, read; take the mean.",
     "The same with about 20 kg, then with about 40 kg."),
    "known_load",
    (*_load("light", "Light"), *_load("middle", "Middle"), *_load("heavy", "Heavy")),
)

WARMTH = BenchTest(
    "warmth", "Cold, and again warm", "Thick oil is worse cold; too little air is worse hot.", 45,
    ("A thermometer helps",), ("ride",),
    "Only on a bike that is safe to ride. Never heat a leg with a gun or a lamp. Hands off the exhaust.",
    ("After a night outdoors: push the front down quickly three times and remember how it feels.",
     "Ride 20 km briskly on a road you know.",
     "Do the same pushes again."),
    "warmth",
    (Question("bench.warmth.change", "What changed with warmth?", "choice", choices=choices(
        freer="Stiff when cold, freer when warm", earlier_stop="Good when cold, it stops sooner when hot",
        looser="Good when cold, loose when hot", no_change="No change", cannot_tell="I cannot tell")),),
)

ROLLING = BenchTest(
    "rolling", "Tyre, wheel, bearings and brake", "Clears what feels like suspension and is not.", 10,
    ("A tyre gauge", "A stand that lifts the front"), ("stand",),
    "Front lifted under the frame, rear tied down. Play or a notch in the head bearings: do not ride, workshop.",
    ("Read the front tyre's pressure cold, and write it on the page 'Tyres'.",
     "Spin the front wheel by hand once, firmly. Count the turns until it stands.",
     "Turn the bars slowly from side to side, then pull and push at the feet of the fork."),
    "rolling",
    (Question("bench.rolling.spin_turns", "Turns after one firm spin", unit="", possible=(0, 60), usual=(0, 20),
              spread=Spread(0.5)),
     Question("bench.rolling.steering", "The steering turns", "choice", choices=choices(
         freely="Freely, without play", stiffly="Stiffly", cannot_tell="I cannot tell"),
         help="A notch or play belongs on the safety page."),
     Question("bench.rolling.tyre", "The front tyre", "choice", choices=choices(
         as_in_papers="Has the pressure in the papers", off="Is off by more than 15 %", worn="Is worn out or very old",
         cannot_tell="I cannot tell"))),
)

TWINS = BenchTest(
    "twins", "The legs compared, off the bike", "Differences between twins are easier to trust than numbers.", 60,
    ("A hanging scale", "A tape"), ("helper", "stand", "caps"),
    "Work for a workshop, or for someone who has taken legs out before. A tube is never clamped in a bare vice. Axle "
    "and clamps are tightened to the manual's figures.",
    ("Both legs off the axle, or out. Push each together by hand: how hard is it to start, how even, what is heard?",
     "Pull each apart with the scale, note the force at which it starts.",
     "Turn each tube while you move the leg: does the drag come and go?"),
    "twins",
    (Question("bench.twins.result", "The legs are", "choice", choices=choices(
        alike="Alike", one_drags="One drags clearly more", one_returns_slowly="One comes back much more slowly",
        one_squelches="One squelches or has a dead patch", one_is_shorter="One has less stroke",
        changes_as_it_turns="The drag comes and goes as the tube is turned", cannot_tell="I cannot tell"),
        help="In a fork with the spring in one leg and the damper in the other, a difference is normal."),),
)

CAP = BenchTest(
    "cap", "What the cap says when it is loosened", "Shows trapped pressure or a vacuum.", 20,
    ("The cap's key", "Eye protection", "A rag"), ("helper", "stand", "caps"),
    "Preload right out first. Wheel off the floor, leg fully extended, frame carried. Rag over the cap, face to the "
    "side, hold it down on its last threads. Never on a sealed cartridge or a leg with a valve under pressure.",
    ("Loosen the cap slowly, by single turns, with the rag over it. Listen.",),
    "cap",
    (Question("bench.cap.air", "The air", "choice", choices=choices(
        hissed_out="Hissed out, or the cap pushed up", sucked_in="Was sucked in", nothing="Did nothing",
        cannot_tell="I cannot tell")),),
)

SPRINGS_MEASURED = BenchTest(
    "springs_measured", "Springs measured", "Gives the real rate and shows whether the coils can touch.", 30,
    ("A caliper", "A tape"), ("helper", "stand", "caps"),
    "Free springs only, out of the leg. Nobody presses a spring without a guard.",
    ("Spring on the bench: free length, wire in three places with the paint off, outside diameter, all coils, coils "
     "that work.",
     "Write the numbers on the page 'Springs and preload'. The mean diameter is the outside less one wire.",
     "Hold the two springs side by side."),
    "springs_measured",
    (Question("bench.springs_measured.pair", "The two springs are", "choice", choices=choices(
        alike="Alike", differ="Different in length, wire or coils",
        polished="Polished where coils touch", cannot_tell="I cannot tell")),),
)

MORE_TESTS: tuple[BenchTest, ...] = (ROLLING, TOP_OUT, KNOWN_LOAD, WARMTH, CAP, SPRINGS_MEASURED, TWINS)
