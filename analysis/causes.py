"""The causes, each a story about hidden quantities.  To add a cause is to add one entry to ``CAUSES``.

A story does not say what the answers will be; it says what the fork is like.  What a fork like that would answer is
worked out by the physics (``analysis.observations``).  Widths and base rates are common practice, no source: a
technician's habit, to be replaced by confirmed cases.
"""
from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

INF = math.inf

USUAL_FRICTION_N = 60.0
"""Friction of a fork in good order, both legs together, N."""
USUAL_DAMPING_N = 150.0
"""What a damper in good order holds back of a quick push by hand, N."""


@dataclass(frozen=True)
class Prior:
    """A normal distribution, cut off outside ``low``..``high``."""

    mean: float
    sd: float
    low: float = -INF
    high: float = INF


@dataclass(frozen=True)
class Cause:
    """One story.  Every hidden quantity that it leaves alone has the value of a fork in good order.

    base_rate: its share among complaints, before anything is known.  remedy: what would be done about it; causes with
    one remedy need not be told apart.
    excess_ml: oil above the book's amount, in one leg.  apart_ml: how much more the other leg holds.
    preload_mm: spring compression above what suits.  rate_share: spring rate as a share of what the load needs.
    friction_n, damping_n: median, and spread of the logarithm; the damper's force is that of a quick push by hand.
    lost_stroke_mm: stroke taken by a part that is missing, doubled or upside down.
    bind_margin_mm: stroke between full stroke and touching coils; negative: they touch first.
    slip_mm: error of the reading of travel used.
    onset: how much likelier each answer to "when did it start" is than for a cause that may start at any time.
    """

    name: str
    title: str
    remedy: str
    base_rate: float
    excess_ml: Prior = Prior(0, 8)
    apart_ml: Prior = Prior(0, 5)
    apart_at_least_ml: float = 0.0
    preload_mm: Prior = Prior(0, 4, -9, 9)
    rate_share: Prior = Prior(1.0, 0.07, 0.84, 1.16)
    friction_n: tuple[float, float] = (USUAL_FRICTION_N, 0.35)
    damping_n: tuple[float, float] = (USUAL_DAMPING_N, 0.35)
    lost_stroke_mm: Prior = Prior(0, 0.8)
    bind_margin_mm: Prior = Prior(35, 18, 4)
    slip_mm: Prior = Prior(0, 3)
    onset: Mapping[str, float] = field(default_factory=dict)


OVERNIGHT = {"same day as a job": 1.6, "slowly": 0.25, "always": 0.6, "after a knock": 0.3, "after new tyres": 0.4}
CREEPS_IN = {"same day as a job": 0.8, "slowly": 1.8, "always": 0.7, "after a knock": 1.6, "after new tyres": 1.3}
FROM_THE_START = {"same day as a job": 0.9, "slowly": 0.4, "always": 2.0, "after a knock": 0.4, "after new tyres": 0.5}

CAUSES: tuple[Cause, ...] = (
    Cause("over-filled", "Too much oil, too little air", "oil", 0.30,
          excess_ml=Prior(95, 60, 20, 330), onset=OVERNIGHT),
    Cause("friction or misalignment", "Friction, or legs clamped out of line", "friction", 0.15,
          friction_n=(220, 0.35), onset=CREEPS_IN),
    Cause("spring too stiff", "Spring too stiff for the load", "spring", 0.11,
          rate_share=Prior(1.32, 0.16, 1.14), onset=FROM_THE_START),
    Cause("too much preload", "Too much preload", "preload", 0.12,
          preload_mm=Prior(17, 8, 7), onset={"same day as a job": 1.3, "always": 1.2, "slowly": 0.2}),
    Cause("too much compression damping", "Too much compression damping", "damping", 0.08,
          damping_n=(620, 0.35), onset={"same day as a job": 1.2, "slowly": 0.5}),
    Cause("nothing wrong or measured badly", "Nothing wrong, or measured from the wrong place", "none", 0.09,
          slip_mm=Prior(-14, 16), onset={}),
    Cause("wrong assembly", "A part missing, doubled or in the wrong place", "strip", 0.035,
          lost_stroke_mm=Prior(28, 15, 8), onset={**OVERNIGHT, "same day as a job": 2.0}),
    Cause("coil bind", "Coil bind", "spring", 0.04,
          bind_margin_mm=Prior(-24, 16, -INF, -3), onset={"same day as a job": 1.4, "always": 1.3, "slowly": 0.2}),
    Cause("too little oil", "Too little oil, too much air", "oil", 0.06,
          excess_ml=Prior(-60, 28, -INF, -20), onset={}),
    Cause("unequal oil", "The legs hold different amounts of oil", "oil", 0.06,
          apart_ml=Prior(0, 70), apart_at_least_ml=25, onset=OVERNIGHT),
    Cause("spring too soft", "Spring too soft for the load", "spring", 0.06,
          rate_share=Prior(0.74, 0.10, -INF, 0.86), onset=FROM_THE_START),
    Cause("too little preload", "Too little preload", "preload", 0.03,
          preload_mm=Prior(-15, 6, -INF, -7), onset={"same day as a job": 1.2, "always": 1.3}),
)
"""All causes; the order carries no meaning."""

BY_NAME = {cause.name: cause for cause in CAUSES}
