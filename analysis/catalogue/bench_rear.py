"""The guided bench tests of the rear, and of how the bike stands."""
from __future__ import annotations

from analysis.catalogue.bench_damping import TRACE_HELP
from analysis.catalogue.kinds import BenchTest, Question, Spread, choices


def _reading(name: str, title: str, help: str = "") -> Question:
    return Question(f"bench.rear_sag.{name}_mm", title, unit="mm", possible=(50, 1500), usual=(150, 900),
                    spread=Spread(1.5), help=help)


REAR_SAG = BenchTest(
    "rear_sag", "Rear sag, from above and from below",
    "Tells the rear spring from its preload, and shows sticking links: the gap between the two readings is the "
    "friction.", 20,
    ("A tape", "A piece of tape on the tail, straight above the axle", "Someone who reads it"), ("helper", "tape"),
    "One person holds the bike upright from the front, by bars and brake, and never lets go. Do not sit on it while it "
    "is on a stand. Hands clear of chain, wheel and links.",
    ("Stick a mark on the tail straight above the rear axle. Always measure from the axle's middle up to it.",
     "Rear wheel just off the floor and hanging: read the first number.",
     "On its wheels, nobody on. Push the tail down, let it rise slowly: read. Lift it, let it sink slowly: read.",
     "Rider on, dressed to ride, feet on the pegs, in the riding position. Read in the same two ways.",
     "If you ride with a passenger or luggage: read it with them on, too, once it has settled.",
     "Walk away for ten minutes with the load on it. Has it sunk further?"),
    "rear_sag",
    (_reading("extended", "Axle to mark, wheel hanging"),
     _reading("free_from_below", "Nobody on: axle to mark after it rose"),
     _reading("free_from_above", "Nobody on: axle to mark after it sank"),
     _reading("rider_from_below", "Rider on: axle to mark after it rose"),
     _reading("rider_from_above", "Rider on: axle to mark after it sank"),
     _reading("two_up", "With passenger: axle to mark"),
     _reading("loaded", "With all luggage: axle to mark", "Say under 'How it is used' what all that weighs."),
     Question("bench.rear_sag.sinks", "Left loaded for ten minutes, the rear", "choice", choices=choices(
         stays="Stayed where it was", sinks="Sank further", cannot_tell="I cannot tell"))),
)

REAR_BOUNCE = BenchTest(
    "rear_bounce", "Rear bounce and count", "Shows whether the rear comes back too fast, too slowly, or hardly moves.",
    5, ("A watch, or a phone that films",), ("helper",),
    "A helper holds the bars from the front, front brake on. Engine cold, chain at rest, hands clear of the wheel. Oil "
    "on the shock, a scored rod or a bulged reservoir: do not do it, leave the shock alone and write to us.",
    ("Stand beside the tail. Push the seat down about a third of the wheel's travel and let go at once.",
     "Time it from letting go until it is back at its resting height.",
     "Count how often it swings past where it rests. Do it three times."),
    "rear_bounce",
    (Question("bench.rear_bounce.return_s", "Time for the rear to come back", repeats=3, unit="s", possible=(0.05, 30),
              usual=(0.2, 3), spread=Spread(0.15)),
     Question("bench.rear_bounce.swings", "The rear swung past", "choice", choices=choices(
         none="Not at all", one_small="Once, a little", two_or_more="Twice or more", cannot_tell="I cannot tell")),
     Question("bench.rear_bounce.trace", "The whole bounce, as time and position", "table", trace=True,
             help=TRACE_HELP),
     Question("bench.rear_bounce.sinks", "When you pushed", "choice", choices=choices(
         sinks="It went down smoothly", jumps="It went down in jumps", hardly="It hardly went down",
         cannot_tell="I cannot tell")),
     Question("bench.rear_bounce.signs", "On the shock you see", "choice", choices=choices(
         nothing="Nothing unusual", oil="Oil", scored="A scored rod", bulge="A bulge"))),
)

REAR_PLAY = BenchTest(
    "rear_play", "Play in links and swinging arm", "Shows worn or seized bearings, which feel like a bad shock.", 10,
    ("A stand that carries the frame, wheel hanging", "A second support against tipping"),
    ("helper", "rear stand"),
    "The frame stands on two supports, and a helper steadies it. Nobody on it or under it. Fingers stay off the links: "
    "they close like scissors. No bolt is loosened: taking the shock out is for a workshop.",
    ("Wheel hanging. Hold the rim at the back and lift it gently: does it click before the spring begins to give?",
     "Estimate how far it moved until then.",
     "Hold the rim at the top and push it from side to side. Does the arm move, or only the wheel?",
     "Look at the links: rust, dry edges, a mark of rubbing?"),
    "rear_play",
    (Question("bench.rear_play.up_down_mm", "Up-and-down play at the rim", unit="mm", possible=(0, 40), usual=(0, 6),
              spread=Spread(0.7)),
     Question("bench.rear_play.side_mm", "Side play at the rim", unit="mm", possible=(0, 40), usual=(0, 5),
              spread=Spread(0.7)),
     Question("bench.rear_play.feel", "It moved", "choice", choices=choices(
         free="Freely and without play", rough="Roughly or stickily", stuck="Hardly at all",
         cannot_tell="I cannot tell"))),
)

HEIGHTS = BenchTest(
    "heights", "How high it stands",
    "Shows whether the front is low or the rear high, which throws load onto the fork.",
    10, ("A tape", "A phone that shows angles"), ("helper", "tape"),
    "A helper holds the bike upright. Look and measure only: nothing is loosened. Yoke bolts are for someone with the "
    "manual's figures and a torque wrench.",
    ("Measure how far each tube stands above the upper yoke, cap not counted.",
     "Bike upright on its wheels, nobody on: measure from the rear axle straight up to the seat's edge.",
     "Lay the phone along the swinging arm, from pivot towards axle, and read the angle.",
     "Measure from the front axle up to the lower yoke, along the tube.",
     "Write beside it what the papers say, where they say it."),
    "heights",
    (Question("bench.heights.{side}_tube_mm", "Tube above the upper yoke", unit="mm", possible=(-20, 120),
              usual=(0, 45), spread=Spread(0.5)),
     Question("bench.heights.tube_book_mm", "Tube above the upper yoke, in the papers", unit="mm", possible=(-20, 120),
              usual=(0, 45), spread=Spread(0.5)),
     Question("bench.heights.rear_mm", "Rear axle to seat edge", unit="mm", possible=(100, 1200), usual=(250, 800),
              spread=Spread(3)),
     Question("bench.heights.rear_before_mm", "Rear axle to seat edge, as it used to be", unit="mm",
              possible=(100, 1200), usual=(250, 800), spread=Spread(3)),
     Question("bench.heights.arm_deg", "Swinging arm below level at the axle", unit="degree", possible=(-20, 45),
              usual=(2, 25), spread=Spread(0.7)),
     Question("bench.heights.front_mm", "Front axle to lower yoke", unit="mm", possible=(100, 1100), usual=(250, 800),
              spread=Spread(3))),
)

REAR_BENCH_TESTS = (REAR_SAG, REAR_BOUNCE, REAR_PLAY, HEIGHTS)
"""The rear's tests, cheapest first after the sag."""
