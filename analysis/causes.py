"""The causes, each a story about hidden quantities.  To add a cause is to add one entry to ``CAUSES``.

A story does not say what the answers will be; it says what the fork is like.  What a fork like that would answer is
worked out by the physics (``analysis.observations``).  Widths and base rates are common practice, no source: a
technician's habit, to be replaced by confirmed cases.
"""
from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

INF = math.inf

USUAL_FRICTION_N = 60.0
"""Friction of a fork in good order, both legs together, N."""
USUAL_SLIP_MM = 3.0
"""Error of a reading of travel used that was taken from the right place, mm."""
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
    slip_mm: error of the reading of travel used; reads_well: share of forks whose reading has only the usual error.
    trapped_bar: gauge pressure shut in at full extension beyond what was set.
    air_share: pressure of an air spring as a share of what the load needs.
    rebound: damping ratio of the rebound: median, and spread of the logarithm.
    rear_mm: rear sag beyond what suits.  tyre_bar: front tyre pressure below what suits.
    shows: how likely each sign that no physics here predicts is to be there (``SIGNS`` otherwise).
    only_for: 'coil' or 'air' where the story needs that spring; blank for either.
    onset: how much likelier each answer to "when did it start" is than for a cause that may start at any time.
    rear_alone: chance that the rear is complained of and nothing else.
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
    slip_mm: Prior = Prior(0, USUAL_SLIP_MM)
    reads_well: float = 0.0
    trapped_bar: Prior = Prior(0, 0.01)
    air_share: Prior = Prior(1.0, 0.05, 0.88, 1.12)
    rebound: tuple[float, float] = (0.5, 0.22)
    rear_mm: Prior = Prior(0, 6)
    tyre_bar: Prior = Prior(0, 0.15)
    shows: Mapping[str, float] = field(default_factory=dict)
    only_for: str = ""
    onset: Mapping[str, float] = field(default_factory=dict)
    rear_alone: float = 0.002


SIGNS: Mapping[str, float] = {
    "leaks": 0.04, "bent": 0.01, "worn damper": 0.03, "tops out": 0.04, "rear stuck": 0.03, "rear worn": 0.03,
    "rolling fault": 0.03, "overloaded": 0.05}
"""How likely each sign is on a bike whose trouble is another one."""

OVERNIGHT = {"same day as a job": 1.6, "slowly": 0.25, "always": 0.6, "after a knock": 0.3, "after new tyres": 0.4}
CREEPS_IN = {"same day as a job": 0.8, "slowly": 1.8, "always": 0.7, "after a knock": 1.6, "after new tyres": 1.3}
FROM_THE_START = {"same day as a job": 0.9, "slowly": 0.4, "always": 2.0, "after a knock": 0.4, "after new tyres": 0.5}

CAUSES: tuple[Cause, ...] = (
    Cause("over-filled", "Too much oil, too little air", "oil", 0.30,
          excess_ml=Prior(95, 60, 20, 330), onset=OVERNIGHT),
    Cause("friction or misalignment", "Friction, or legs clamped out of line", "friction", 0.15,
          friction_n=(220, 0.35), onset=CREEPS_IN),
    Cause("spring too stiff", "Spring too stiff for the load", "spring", 0.13,
          rate_share=Prior(1.32, 0.16, 1.14), only_for="coil", onset=FROM_THE_START),
    Cause("too much preload", "Too much preload", "preload", 0.12, preload_mm=Prior(17, 8, 7), only_for="coil",
          onset={"same day as a job": 1.3, "always": 1.2, "slowly": 0.2}),
    Cause("too much compression damping", "Too much compression damping", "damping", 0.08,
          damping_n=(620, 0.35), onset={"same day as a job": 1.2, "slowly": 0.5}),
    Cause("nothing wrong or measured badly", "Nothing wrong, or measured from the wrong place", "none", 0.11,
          slip_mm=Prior(-16, 15), reads_well=0.5, onset={}, rear_alone=0.05),
    Cause("wrong assembly", "A part missing, doubled or in the wrong place", "strip", 0.035,
          lost_stroke_mm=Prior(28, 15, 8), onset={**OVERNIGHT, "same day as a job": 2.0}),
    Cause("coil bind", "Coil bind", "spring", 0.04, bind_margin_mm=Prior(-24, 16, -INF, -3), only_for="coil",
          onset={"same day as a job": 1.4, "always": 1.3, "slowly": 0.2}),
    Cause("too little oil", "Too little oil, too much air", "oil", 0.06,
          excess_ml=Prior(-60, 28, -INF, -20), onset={}),
    Cause("unequal oil", "The legs hold different amounts of oil", "oil", 0.07,
          apart_ml=Prior(0, 70), apart_at_least_ml=25, onset=OVERNIGHT),
    Cause("spring too soft", "Spring too soft for the load", "spring", 0.06,
          rate_share=Prior(0.74, 0.10, -INF, 0.86), only_for="coil", onset=FROM_THE_START),
    Cause("too little preload", "Too little preload", "preload", 0.03, preload_mm=Prior(-15, 6, -INF, -7),
          only_for="coil", onset={"same day as a job": 1.2, "always": 1.3}),
    Cause("bent part", "A bent tube, yoke or axle", "strip", 0.008, friction_n=(190, 0.5), shows={"bent": 0.9},
          onset={"after a knock": 8.0, "same day as a job": 0.3, "slowly": 0.2, "always": 0.4}),
    Cause("trapped air pressure", "Air pressure trapped in the legs", "air pressure", 0.015,
          trapped_bar=Prior(0.35, 0.2, 0.1), only_for="coil", onset={"same day as a job": 1.3}),
    # In an air fork its pressure is at fault as often as the spring's rate and its preload together are in a coil fork.
    Cause("too much air pressure", "Air springs set too hard", "air pressure", 0.20,
          air_share=Prior(1.28, 0.12, 1.12), only_for="air", onset=FROM_THE_START),
    Cause("too little air pressure", "Air springs set too soft, or leaking", "air pressure", 0.08,
          air_share=Prior(0.76, 0.1, -INF, 0.88), only_for="air", onset={"slowly": 1.5}),
    Cause("too little compression damping", "Too little compression damping", "damping", 0.015,
          damping_n=(45, 0.35), onset={}),
    Cause("rebound too slow", "Rebound damping too slow", "damping", 0.018, rebound=(1.25, 0.25),
          onset={"same day as a job": 1.3, "slowly": 0.5}),
    Cause("rebound too fast", "Rebound damping too weak", "damping", 0.015, rebound=(0.17, 0.3), onset={}),
    Cause("worn damper", "A worn or faulty damper", "strip", 0.015, damping_n=(60, 0.5), rebound=(0.16, 0.35),
          shows={"worn damper": 0.8}, onset=CREEPS_IN),
    Cause("leaking seal", "A leaking fork seal", "seals", 0.015, excess_ml=Prior(-15, 15), shows={"leaks": 0.9},
          onset=CREEPS_IN),
    Cause("top-out fault", "The fork tops out", "strip", 0.012, preload_mm=Prior(5, 6), shows={"tops out": 0.9},
          onset={}),
    Cause("rear spring or height", "The rear stands too high or too low", "rear", 0.012, rear_mm=Prior(0, 22),
          onset={}, rear_alone=0.5),
    Cause("rear linkage stuck", "Rear linkage or bearings worn or stuck", "rear", 0.008, shows={"rear stuck": 0.9},
          onset=CREEPS_IN, rear_alone=0.5),
    Cause("worn shock", "A worn or leaking shock", "rear", 0.008, shows={"rear worn": 0.85}, onset=CREEPS_IN,
          rear_alone=0.5),
    Cause("tyre, bearing or brake", "Tyre pressure, a bearing or a dragging brake", "rolling", 0.015,
          tyre_bar=Prior(0.5, 0.35), shows={"rolling fault": 0.6}, onset={"after new tyres": 4.0, "slowly": 1.3},
          rear_alone=0.1),
    Cause("overloaded", "More load than the parts can carry, or badly placed", "load", 0.008,
          shows={"overloaded": 0.95}, onset={}, rear_alone=0.15),
)
"""All causes; the order carries no meaning."""

BY_NAME = {cause.name: cause for cause in CAUSES}


EACH_ITS_OWN_ML = 60.0
"""Spread of how differently two legs with each their own work can be filled wrongly, ml: common practice, no source."""


def causes_for(springing: object, damper: object = None, base_rates: Mapping[str, float] | None = None,
               ) -> tuple[Cause, ...]:
    """Return the causes that a fork can have, by its springs ('air', or coil for anything else) and by its damper.

    ``base_rates`` by cause's name stand in place of the catalogue's, where they name a cause.

    Legs with each their own work are meant to be unlike: each can hold too much or too little, but 'unequal' they are
    in good order too.  What happens to one of them is then told by the stories of too much and too little.
    """
    kind = "air" if springing == "air" else "coil"
    rates = base_rates or {}
    found = tuple(replace(cause, base_rate=rates.get(cause.name, cause.base_rate)) for cause in CAUSES
                  if cause.only_for in ("", kind))
    if damper != "separate function":
        return found
    unequal = next(cause.base_rate for cause in found if cause.name == "unequal oil")
    return tuple(_leg_by_leg(cause, unequal / 2) for cause in found if cause.name != "unequal oil")


def _leg_by_leg(cause: Cause, share: float) -> Cause:
    if cause.name not in ("over-filled", "too little oil"):
        return cause
    return replace(cause, base_rate=cause.base_rate + share, apart_ml=Prior(0, EACH_ITS_OWN_ML))
