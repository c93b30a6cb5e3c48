"""The guided bench tests, in the order in which they cost the least and tell the most.

What the answers mean for the causes lives with the evidence (``analysis.observations``), by the same paths.
"""
from __future__ import annotations

from dataclasses import replace
from typing import Any

from analysis.catalogue.bench_damping import BOUNCE_ON_FILM, CLICKS
from analysis.catalogue.bench_ends import BOTTOMING, DRAIN
from analysis.catalogue.bench_more import MORE_TESTS
from analysis.catalogue.bench_rear import REAR_BENCH_TESTS
from analysis.catalogue.bench_workshop import WORKSHOP_TESTS
from analysis.catalogue.kinds import BenchTest, Question, Spread, choices

BEFORE_ANY_TEST = (
    "Level, hard floor. Engine off and cold, key out. No children or pets near. Gloves and closed shoes.",
    "Nobody under the bike or on it while it stands on a jack.",
    "If anything feels wrong, stop, take a photo and write to us. Not doing a test is a useful answer.",
)
"""Said before every test."""

_STROKE: dict[str, Any] = dict(unit="mm", possible=(0, 400), usual=(0, 320))

LOOK = BenchTest(
    "look", "Leaks and straightness", "Shows whether it is safe to go on, and clears simple causes.", 5,
    ("A torch", "A clean rag"), (),
    "Hands off the disc. If there is oil on disc, pads or tyre: stop, do not ride.",
    ("Wipe both shiny tubes dry with the rag.",
     "With the front brake held, push the front down five times.",
     "Look for a ring of oil on each tube, and run a finger round it for nicks.",
     "Stand in front. Are the bars square to the wheel, and both tubes parallel?"),
    "look",
    (Question("bench.look.oil_on_tube", "Oil on the tubes after pumping", "choice", choices=choices(
        none="None", film="A thin film that does not come back", ring="A clear ring", drops="Drops running down")),
     Question("bench.look.tubes_parallel", "The tubes look", "choice", choices=choices(
         parallel="Parallel", twisted="Twisted against each other", cannot_tell="I cannot tell"))),
)

SAG = BenchTest(
    "sag", "Free sag and rider sag, from above and from below",
    "Tells springs and preload from oil: oil barely moves sag, preload and springs move it at once. The gap between "
    "the two readings is the friction.", 20,
    ("A tape", "Someone who reads it"), ("helper", "tape"),
    "The bike is held upright by a second person at the tail. Feet on the pegs only with a firm hold.",
    ("Mark two points: the edge of the dust seal, and a fixed edge at the other end of the shiny tube. "
     "Always measure between these two, along the leg.",
     "Front wheel just off the floor, leg fully extended: read the first number.",
     "Bike on its wheels, nobody on it. Push the front down, let it rise slowly: read.",
     "Lift the front a little, let it sink slowly: read again.",
     "Rider on, dressed to ride, in the riding position. Push down, let it rise slowly: read.",
     "Lift, let it sink slowly: read again."),
    "sag",
    (Question("bench.sag.extended_mm", "Shiny tube showing, fully extended", unit="mm", possible=(10, 900),
              usual=(60, 400), spread=Spread(1)),
     Question("bench.sag.free_from_below_mm", "Nobody on: showing after it rose", unit="mm", possible=(0, 900),
              usual=(40, 400), spread=Spread(1)),
     Question("bench.sag.free_from_above_mm", "Nobody on: showing after it sank", unit="mm", possible=(0, 900),
              usual=(40, 400), spread=Spread(1)),
     Question("bench.sag.rider_from_below_mm", "Rider on: showing after it rose", unit="mm", possible=(0, 900),
              usual=(20, 400), spread=Spread(1)),
     Question("bench.sag.rider_from_above_mm", "Rider on: showing after it sank", unit="mm", possible=(0, 900),
              usual=(20, 400), spread=Spread(1)),
     Question("bench.sag.free_sag_mm", "Or: free sag, if that is all you have", spread=Spread(3), **_STROKE,
              help="Along the leg. Leave empty where the readings above are given."),
     Question("bench.sag.rider_sag_mm", "Or: rider sag, if that is all you have", spread=Spread(3), **_STROKE,
              help="Along the leg. Leave empty where the readings above are given.")),
)

TRAVEL = BenchTest(
    "travel", "Travel used on a ride", "Shows how far the fork really goes under real forces, and how it ends.", 30,
    ("A zip tie or soft ring on the shiny tube", "A tape"), ("ride", "tape"),
    "Only on a bike that is safe to ride. No stunts, no emergency stops in traffic: one firm stop on an empty, "
    "straight road. Stop if it handles strangely. Never go looking for bottom-out on a public road.",
    ("Front unloaded: push the tie against the dust seal.",
     "Ride a known stretch with known bumps and one firm stop. Come to rest gently.",
     "Front unloaded again: measure from the dust seal to the tie.",
     "Do it twice more."),
    "travel",
    (Question("bench.travel.used_mm", "Deepest stroke, seal to tie", repeats=3, spread=Spread(3), **_STROKE),
     Question("bench.travel.other_leg_mm", "The same on the other leg, where it has a tie too", spread=Spread(3),
              **_STROKE),
     Question("bench.travel.end_feel", "How did it end?", "choice", choices=choices(
         still_moving="It was still moving freely", stiffer="It got steadily stiffer",
         stops_dead="It stopped dead, without a sound", clank="It stopped with a metal clank",
         cannot_tell="I cannot tell")),
     Question("bench.travel.repeats", "The three runs", "choice", choices=choices(
         same="Ended within 3 mm of each other", differ="Differed by more than 10 mm",
         between="Somewhere between"))),
)

PUSH = BenchTest(
    "push", "Push with the front brake held",
    "Shows how the resistance grows. A fork that stops dead and lifts the rear wheel is very full of oil; one that "
    "goes down and comes back is not.", 5,
    ("A zip tie on the shiny tube",), ("helper",),
    "A helper steadies the tail by the grab rail. Nobody in front. Not on gravel. Not alone with a bike over 260 kg. "
    "Sore back or wrists: leave it out.",
    ("Stand beside the bike, hold the front brake.",
     "Lean your upper body on the bars for three seconds. Read the tie.",
     "Now push hard and quickly, once. Read the tie. The helper watches the rear wheel.",
     "Let it come back. Do it three times."),
    "push",
    (Question("bench.push.slow_stroke_mm", "Stroke with a slow lean", repeats=3, spread=Spread(4), **_STROKE),
     Question("bench.push.quick_stroke_mm", "Stroke with a quick, hard push", repeats=3, spread=Spread(4), **_STROKE),
     Question("bench.push.end_feel", "How did it end?", "choice", choices=choices(
         keeps_going="It kept going", stiffer="It got steadily stiffer", stops_dead="It stopped dead, without a sound",
         clank="It stopped with a metal clank", hard_to_start="It was hard to start, then moved",
         sticks="It moved in jumps", cannot_tell="I cannot tell")),
     Question("bench.push.rear_wheel", "The rear wheel", "choice", choices=choices(
         stays_down="Stayed down", goes_light="Went light", lifts="Lifted off", cannot_tell="I cannot tell")),
     Question("bench.push.came_back", "Did the fork come back?", "choice", choices=choices(
         yes="Yes, at once", slowly="Slowly", part_way="Only part of the way", no="No, it stayed down",
         cannot_tell="I cannot tell"))),
)

PRELOAD = BenchTest(
    "preload", "Preload backed right out, and again",
    "If missing travel comes back with the preload, it was the preload. If the stop stays where it was, it was not.",
    15,
    ("The adjuster's key", "A tape"), ("helper", "tape"),
    "Write down the turns first, and put them back afterwards. Both legs alike. The caps stay shut. Stop if the "
    "adjuster turns without effect.",
    ("Count the turns from where it is to right out, both legs.",
     "Measure rider sag again as before.",
     "Do the hard push again and read the tie.",
     "Put the preload back where it was."),
    "preload",
    (Question("bench.preload.turns_backed_out", "Turns backed out", unit="", possible=(0, 60), usual=(0, 20),
              spread=Spread(0.25)),
     Question("bench.preload.rider_sag_mm", "Rider sag with the preload out", spread=Spread(3), **_STROKE),
     Question("bench.preload.stop", "The place where it stops", "choice", choices=choices(
         moved_deeper="Moved deeper", stayed="Stayed where it was", no_stop="There is no hard stop",
         cannot_tell="I cannot tell"))),
)

REBOUND = BenchTest(
    "rebound", "Rebound check", "Shows whether the fork comes back too slowly, too fast or sticks.", 5,
    ("A watch or a phone",), ("helper",),
    "Stand beside the bike, brake off, neutral, engine cold. Not alone with a heavy bike.",
    ("Push the front down about a third of its stroke and let go at once.",
     "Watch it come back. Count how often it swings past where it rests.",
     "Do it three times.",
     "Better still: film it in slow motion from the side, with a tape along the shiny tube, and step through the "
     "frames."),
    "rebound",
    (Question("bench.rebound.return_s", "Time to come back", repeats=3, unit="s", possible=(0.05, 30), usual=(0.2, 3),
              spread=Spread(0.15)),
     Question("bench.rebound.swings", "It swung past", "choice", choices=choices(
         none="Not at all", one_small="Once, a little", two_or_more="Twice or more", cannot_tell="I cannot tell")),
     Question("bench.rebound.rest", "It came to rest", "choice", choices=choices(
         same_height="At the same height each time", short="Short of where it started",
         cannot_tell="I cannot tell")),
     *BOUNCE_ON_FILM),
)

ALIGNMENT = BenchTest(
    "alignment", "Pinch bolts freed on one side", "Shows whether the legs are clamped out of line.", 20,
    ("The axle's keys", "A stand that lifts the front by the frame", "A torque wrench", "Your manual's figures"),
    ("helper", "stand", "tape"),
    "Only if the axle nut stays tight and holds the axle by itself; if you are not sure, leave it to a workshop. "
    "Tighten to the figures in your own manual. The brake hose is never pulled.",
    ("Loosen only the pinch bolts of the floating side. The axle nut stays tight.",
     "Wheel on the floor, front brake held: push the front down five times.",
     "Did the foot of the leg move along the axle?",
     "Tighten the pinch bolts to your manual's figure. Measure the two sag readings again."),
    "alignment",
    (Question("bench.alignment.result", "What happened?", "choice", choices=choices(
        freed="It moves much more freely", foot_moved="The foot moved along the axle",
        no_change="No change", cannot_tell="I cannot tell")),),
)

OIL = BenchTest(
    "oil", "Oil level, leg by leg", "Settles whether there is too much oil, too little, or unequal oil.", 60,
    ("A tape or a syringe with a ring", "A torch", "A tray", "Gloves and eye protection"),
    ("helper", "stand", "caps", "tape"),
    "Preload right out first: the spring can throw the cap. Front lifted under the frame. Both springs out before the "
    "legs are pushed together, and the frame carries the bike then. Cover disc and pads. Never on a sealed cartridge "
    "or under gas pressure: workshop only.",
    ("Preload right out, wheel just off the floor. Open one cap slowly, hold it down on the last threads.",
     "Take spacer and spring out over the tray, lay them down in order, take a photo.",
     "Push the leg slowly and fully together; where the oil comes up to the rim, stop and tell us. With a cartridge: "
     "pump the rod ten times and wait five minutes.",
     "Leg upright. Measure from the top of the tube down to the oil, three times.",
     "Do the other leg. Write the numbers on the page 'Oil and tubes'. Put all back in the order of the photo."),
    "oil",
    (Question("bench.oil.condition", "How was the leg when you measured?", "choice", choices=choices(
        compressed_spring_out="Pushed fully together, spring out",
        compressed_spring_in="Pushed fully together, spring in",
        extended_spring_out="Fully extended, spring out", not_sure="I am not sure"),
        help="This changes the answer by a lot. 'Not sure' is a good answer."),),
)

SPRINGS_OUT = BenchTest(
    "springs_out", "Stroke with the springs out",
    "Shows the real full stroke, and whether the spring or the oil ends it.",
    20, ("As for the oil level",), ("helper", "stand", "caps", "tape"),
    "As for the oil level. Without springs the front drops: the frame carries the bike.",
    ("Springs out, caps off: push each leg fully together and measure the stroke.",),
    "springs_out",
    (Question("bench.springs_out.{side}_stroke_mm", "Stroke, spring out, cap off", spread=Spread(2), **_STROKE),),
)


def _with_way_out(test: BenchTest) -> BenchTest:
    """Add the question every test ends with: not doing it is an answer too, and the reason tells something."""
    not_done = Question(f"bench.{test.name}.not_done", "I could not do this test, because", "text",
                        help="A few words are enough: no helper, no stand, it felt wrong.")
    return replace(test, questions=(*test.questions, not_done))


BENCH_TESTS: tuple[BenchTest, ...] = tuple(map(_with_way_out, (
    LOOK, SAG, PRELOAD, PUSH, REBOUND, CLICKS, TRAVEL, BOTTOMING, ALIGNMENT, OIL, SPRINGS_OUT, DRAIN, *MORE_TESTS,
    *WORKSHOP_TESTS, *REAR_BENCH_TESTS,
)))
"""All guided tests: the front, cheapest first, then the rear."""
