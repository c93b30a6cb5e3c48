"""How much air is left at full stroke once the oil is warm."""
from __future__ import annotations

from analysis.document import Case
from analysis.leg_parts import middle
from analysis.setups import Change, amount_in, seal_area, set_air
from analysis.state import State
from analysis.warmth import HOT, ROOM_TEMPERATURE, grown

LEAST_SPARE = 0.008
"""Air, as a length of the sliding tube, that has to be left at full stroke with the oil warm: common practice, no
source."""
USUAL_AMOUNT = 6e-4
"""Oil in a leg where nobody knows its amount, m³, rather much than little: common practice, no source."""


def temperatures(case: Case) -> tuple[float, float]:
    """Return how warm the fork was when it was filled and how warm its oil gets, K; the usual where nobody said."""
    cold, hot = case.number("use.temperature_c"), case.number("use.oil_temperature_c")
    return ROOM_TEMPERATURE if cold is None else cold, HOT if hot is None else hot


def hot_spare(state: State, side: str, which: str, change: Change) -> float | None:
    """Return the air left at full stroke of one leg of one set, its oil warm, as a length of the sliding tube, m.

    At least as warm as a long, fast ride makes it.  Zero or less where the leg would lock; None where its air is not
    known, or where an air spring's own pressure sets it.
    """
    leg, air = state.inputs.leg(side), set_air(state.inputs, state.case, side, which, change, middle)
    if air is None or leg.parts.air_extended is not None:
        return None
    cold, hot = temperatures(state.case)
    amount = amount_in(state.inputs, state.case, side, which, change)
    taken = grown(USUAL_AMOUNT if amount is None else amount, cold, max(hot, HOT))
    return (float(air) - taken) / float(seal_area(leg, middle))
