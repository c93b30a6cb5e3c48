"""Curves and ruler marks of the three sets."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from analysis import typical
from analysis.document import Case
from analysis.estimates import MM
from analysis.fork import Fork
from analysis.inputs import Inputs
from analysis.leg import Leg, air_push, spring_push
from analysis.observations import sag_reading
from analysis.say import say

POINTS = 141
HIGHEST_N = 60_000.0
"""Above this force a curve is cut: the oil is as good as solid."""


def curve(name: str, fork: Fork, n: float = typical.N_FAST[0]) -> dict[str, Any]:
    """Return force (fork, springs, air) and gauge pressure of each leg against stroke; None where it is locked."""
    x = np.linspace(0.0, float(np.min([fork.left.stroke, fork.right.stroke])), POINTS)
    air = np.asarray(air_push(fork.left, x, n)[0]) + np.asarray(air_push(fork.right, x, n)[0])
    springs = np.asarray(spring_push(fork.left, x)[0]) + np.asarray(spring_push(fork.right, x)[0])
    beyond = (air + springs > HIGHEST_N) | (x > float(fork.bind) + 1e-9)
    return {
        "name": name, "stroke_mm": [round(v / MM, 2) for v in x.tolist()],
        "force_n": _listed(air + springs, beyond), "spring_n": _listed(springs, beyond), "air_n": _listed(air, beyond),
        "pressure_bar_left": _listed(_gauge(fork.left, x, n), beyond, 3),
        "pressure_bar_right": _listed(_gauge(fork.right, x, n), beyond, 3),
    }


def _gauge(leg: Leg, x: np.ndarray[Any, np.dtype[np.float64]], n: float) -> Any:
    """Gauge pressure in bar against the atmosphere where it is ridden."""
    return np.asarray(air_push(leg, x, n)[0]) / leg.seal_area / 1e5


def _listed(values: Any, hide: Any, digits: int = 1) -> list[float | None]:
    return [None if h or not np.isfinite(v) else round(float(v), digits) for v, h in zip(values, hide, strict=True)]


def marks(forks: Mapping[str, Fork | None], figures: Mapping[str, Any], case: Case, inputs: Inputs) -> dict[str, Any]:
    """Return what the stroke ruler shows: marks as found and as advised, and the measured ones, mm of stroke."""
    names = (("free_sag_mm", say("free sag")), ("rider_sag_mm", say("rider sag")),
             ("usable_stroke_mm", say("hard braking reaches")), ("coil_bind_stroke_mm", say("coils touch")))
    stroke = inputs.stroke.value / MM
    sets: dict[str, list[dict[str, Any]]] = {}
    for which in ("found", "advised"):
        shown = [{"name": words, "at_mm": value} for key, words in names
                 if (value := figures[key][which]) is not None and value <= stroke]
        legs = [figures[side] if which == "found" else figures[side]["advised"] for side in ("left", "right")]
        locks = [leg["lock_stroke_mm"] for leg in legs if leg["lock_stroke_mm"] is not None]
        sets[which] = shown + ([{"name": say("air runs out"), "at_mm": min(locks)}] if locks else [])
    return {"stroke_mm": round(stroke, 1), **sets, "measured": _measured(case)}


def _measured(case: Case) -> list[dict[str, Any]]:
    used = case.answer("bench.travel.used_mm")
    stops = case.value("bench.travel.end_feel") == "stops dead"
    found = [(say("free sag measured"), sag_reading("free")(case)),
             (say("rider sag measured"), sag_reading("rider")(case)),
             (say("stops here") if stops else say("travel used"), used)]
    return [{"name": name, "at_mm": round(float(e.value) / MM, 1)} for name, e in found
            if e is not None and isinstance(e.value, float)]
