"""One drawn bike in place of a world of them: in good order, or with one kind of trouble."""
from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from analysis.document import parse_case
from analysis.inputs import read_inputs
from tests.reference_fork import case

SOUND = {"friction": 60.0, "damping": 200.0, "rebound": 0.5, "stroke": 0.140, "lost": 0.0, "bind": 0.175,
         "ride_stroke": 0.120, "push_stroke": 0.070, "free_sag": 0.025, "rider_sag": 0.040, "slip": 0.0,
         "rear_error": 0.0, "shut_in": 0.0, "tyre_short": 0.0, "apart": 0.0}
INPUTS = read_inputs(parse_case(case()))


def bike(sign: str = "", wall: float = 0.3, metal: bool = False, damper: str = "damper rod", **changed: float) -> Any:
    """One bike with a sign that is there for certain; ``wall``: how much stiffer at its end, as a logarithm."""
    told = parse_case({"fork": {"damper": damper}})
    return SimpleNamespace(
        **{name: np.array([value]) for name, value in (SOUND | changed).items()}, case=told, inputs=INPUTS, size=1,
        sprung=["left", "right"], wall=lambda stroke: np.array([wall]), touches=lambda stroke: np.array([metal]),
        shows=lambda which: np.array([float(which == sign)]))


KINDS = {
    "sound": bike(), "sticky": bike(friction=230), "dragging": bike(friction=160), "solid": bike(wall=3.0),
    "stiff end": bike(wall=1.1), "metal": bike(metal=True), "short": bike(metal=True, lost=0.030, ride_stroke=0.110),
    "a little short": bike(lost=0.007), "binds": bike(bind=0.120), "held": bike(damping=520),
    "half held": bike(damping=380), "loose": bike(damping=80), "springy": bike(rebound=0.2), "slow": bike(rebound=1.0),
    "topped out": bike(free_sag=0.002), "pushes little": bike(push_stroke=0.045),
    "pushes hardly": bike(push_stroke=0.030), "high": bike(rider_sag=0.028), "low": bike(rider_sag=0.054),
    "deep": bike(ride_stroke=0.1385), "to the mark": bike(ride_stroke=0.140), "past the mark": bike(ride_stroke=0.148),
    "near the mark": bike(ride_stroke=0.132), "unused": bike(ride_stroke=0.1176), "slips": bike(slip=0.012),
    "worn damper": bike("worn damper"), "bent": bike("bent"), "leaks": bike("leaks"), "tops out": bike("tops out"),
    "bent and sticky": bike("bent", friction=230), "rear worn": bike("rear worn"), "rear stuck": bike("rear stuck"),
    "rear off": bike(rear_error=-0.018), "rolling fault": bike("rolling fault"), "overloaded": bike("overloaded"),
    "pressed": bike(shut_in=0.15e5), "just pressed": bike(shut_in=0.08e5), "soft tyre": bike(tyre_short=0.5e5),
    "a little soft tyre": bike(tyre_short=0.35e5), "legs apart": bike(apart=60e-6),
    "legs a little apart": bike(apart=-40e-6), "own work": bike(damper="separate function"),
}
