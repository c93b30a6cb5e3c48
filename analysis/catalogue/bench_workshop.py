"""Tests that only a workshop has the tools for."""
from __future__ import annotations

from typing import Any

from analysis.catalogue.kinds import BenchTest, Question, Spread, choices

_RUN_OUT: dict[str, Any] = dict(unit="mm", possible=(0, 30), usual=(0, 1), spread=Spread(0.02, 0.05))

RUN_OUT = BenchTest(
    "run_out", "Tubes and axle on V-blocks", "Says in a number whether a tube or the axle is bent.", 60,
    ("V-blocks on a flat plate", "A dial gauge with its stand", "Your manual's limit"), ("stand", "caps", "workshop"),
    "Work for a workshop: the legs come out and apart. A tube with a crease or a crack is replaced, not straightened, "
    "and the bike is not ridden.",
    ("Clean tube and V-blocks. Lay the tube on them, each block about 50 mm from an end.",
     "Set the gauge on the middle of the tube and turn the tube once round, slowly. Note the whole swing of the "
     "needle.",
     "Do the same where the lower yoke clamps, and keep the larger number. Mark the high side.",
     "Do the other tube, then the axle."),
    "run_out",
    (Question("bench.run_out.{side}_tube_mm", "Run-out of the shiny tube", **_RUN_OUT,
              help="The whole swing of the needle over one turn; the bend itself is half of it."),
     Question("bench.run_out.axle_mm", "Run-out of the axle", **_RUN_OUT),
     Question("bench.run_out.limit_mm", "Limit for the tube in the manual", **_RUN_OUT),
     Question("bench.run_out.result", "Against the manual's limits they are", "choice", choices=choices(
         within="Within them, all of them", over="Over one of them", cannot_tell="I cannot tell"))),
)

WORKSHOP_TESTS = (RUN_OUT,)
