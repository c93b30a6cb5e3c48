"""What the phone can measure for a question: the one list that says which instrument stands beside which answer.

Each is an offer on top of the plain field.  It shows itself only where the browser has what it needs.
"""
from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from analysis.catalogue import Question

Name = Literal["clip", "stopwatch", "counter", "level"]


@dataclass(frozen=True)
class Instrument:
    """An instrument: its name is that of its template and its script.

    ``answers`` of a counter: the choice for nothing counted, for one, and so on; the last stands for more.
    ``reads`` of a level: an angle from upright, or below level at the end that the phone's top points to.
    """

    name: Name
    answers: tuple[str, ...] = ()
    reads: Literal["", "from upright", "below level"] = ""


_CLIP = Instrument("clip")
_SWINGS = Instrument("counter", answers=("none", "one small", "two or more"))
_BELOW_LEVEL = Instrument("level", reads="below level")

BY_PATH = {
    "bench.rebound.return_s": Instrument("stopwatch"),
    "bench.rear_bounce.return_s": Instrument("stopwatch"),
    "bench.rebound.swings": _SWINGS,
    "bench.rear_bounce.swings": _SWINGS,
    "bike.rake_deg": Instrument("level", reads="from upright"),
    "bench.heights.arm_deg": _BELOW_LEVEL,
    "shock.arm.droop_deg": _BELOW_LEVEL,
}


def instrument_for(question: Question) -> Instrument | None:
    """Return what can measure the answer to a question; None where it is typed or picked."""
    return _CLIP if question.trace else BY_PATH.get(question.path)
