"""Two guided tests of how much is really there: was the end of the stroke ever reached, and how much oil comes out."""
from __future__ import annotations

from analysis.catalogue.kinds import BenchTest, Question, Spread, choices

BOTTOMING = BenchTest(
    "bottoming", "Was the very end ever reached?",
    "Tells travel that was never used from travel that is not there: the mark stands where the stroke really ends, so "
    "it does not matter where the measuring began.", 30,
    ("Soft putty or modelling clay", "Adhesive tape", "A tape measure"), ("ride", "tape"),
    "The fork stays shut. Only on a bike that is safe to ride, on a road you know; never go looking for the end on a "
    "public road. Keep putty off disc, pads and hoses, and wipe it off afterwards: grit in it scratches the tube.",
    ("Front unloaded. Measure the full stroke from the papers along the shiny tube, from the dust seal. Put a strip "
     "of tape there: that is the mark. Has the stroke with the springs out been measured, take that one.",
     "Press a thin ring of putty on the tube, as wide as a finger, its far edge on the mark.",
     "Ride a known stretch with known bumps and one firm stop. Come to rest gently.",
     "Front unloaded again: is the putty untouched, pushed up part of the way, or squeezed up to the mark? Measure "
     "from where the seal came to up to the mark."),
    "bottoming",
    (Question("bench.bottoming.reached", "The putty was", "choice", choices=choices(
        untouched="Untouched", part_way="Pushed up, but not as far as the mark", reached="Squeezed up to the mark",
        past="Pushed past the mark", cannot_tell="I cannot tell")),
     Question("bench.bottoming.unused_mm", "Left unused, from where the seal came to up to the mark", unit="mm",
              possible=(0, 400), usual=(0, 150), spread=Spread(3), help="0 where the mark was reached."),
     Question("bench.bottoming.mark_from", "The full stroke for the mark came from", "choice", choices=choices(
         papers="Papers", springs_out="The legs pushed together with the springs out", guess="A guess"))),
)

DRAIN = BenchTest(
    "drain", "Drain and measure, leg by leg",
    "Says how much oil is really in each leg. It finds the amount for a dry leg that was poured into a leg that had "
    "only been drained.", 90,
    ("Two clean jars", "A kitchen scale, or a measuring jug", "A tray and rags", "Gloves and eye protection"),
    ("helper", "stand", "caps"),
    "Preload right out first: the spring can throw the cap. Oil cold. The frame carries the bike: a leg without its "
    "spring drops. Cover disc and pads. Never on a sealed cartridge or under gas pressure: workshop only. Old oil goes "
    "to a collection point.",
    ("Weigh each empty jar, and write that down.",
     "Open the leg as for the oil level, spring and spacer out, and let them drip into the jar.",
     "Turn the leg over the jar, or open its drain screw. Let it run until it only drips.",
     "Pump it through: fifteen full strokes over a quarter of an hour, with an open cartridge twenty. Count them.",
     "Weigh the jar again, or read the jug. Do the other leg into the other jar.",
     "In the leg was what came out, divided by 0.95: about a twentieth stays behind after pumping, more without it. "
     "We work that out."),
    "drain",
    (Question("bench.drain.{side}_out_ml", "Oil that came out", unit="ml", possible=(0, 3000), usual=(100, 1500),
              spread=Spread(4, 0.01), help="Or leave it empty and give the weight."),
     Question("bench.drain.{side}_out_kg", "Or: weight of what came out, without the jar", unit="kg", possible=(0, 3),
              usual=(0.08, 1.4), spread=Spread(0.003), help="Such as 482 g."),
     Question("bench.drain.relative_density", "Relative density of the oil", unit="", possible=(0.7, 1.1),
              usual=(0.82, 0.92), spread=Spread(0.005),
              help="From the oil's own sheet, such as 0.86. Leave it empty where you do not know."),
     Question("bench.drain.{side}_strokes", "Pumped through how often", unit="", possible=(0, 500), usual=(0, 60),
              spread=Spread(1))),
)
