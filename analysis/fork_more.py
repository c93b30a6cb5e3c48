"""More about the fork: springs on the shelf, the twist of unequal legs, and what warmth does."""
from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from analysis import typical
from analysis.fork import Fork, stroke_under
from analysis.inputs import MM, Inputs
from analysis.leg import Leg, leg_push
from analysis.leg_parts import middle
from analysis.oil import expand
from analysis.setups import limit_of
from analysis.spring_choice import FRONT_STEP, Wish, best_offer, front_end, offers, shelf
from analysis.state import State

SPACERS = (0.0, 30 * MM)
"""Preload that other spacers can give where there is no adjuster: common practice, no source."""
ROOM_TEMPERATURE = 293.15
"""Temperature at which a fork is filled where none is given, K."""
HOT = 333.15
"""Oil on a long, fast ride where none is given, K: common practice, no source."""
SPACING_MM = 210.0
"""Usual distance between the legs, mm: common practice, no source."""


def front_springs(state: State) -> list[dict[str, Any]]:
    """Return what each spring on a shelf would give with this rider, its preload inside the adjuster's range."""
    fork, leg = state.forks["advised"] or state.forks["found"], state.inputs.sprung_leg
    if fork is None or state.facts.suits_rate is None or leg.rate is None or leg.rate.value <= 0:
        return []
    fixed = leg.preload.value - (leg.turns_in or 0.0) * leg.pitch.value
    reach = SPACERS if leg.turns_range is None else (fixed, fixed + leg.turns_range * leg.pitch.value)
    wish = Wish(float(state.loads.free), float(state.loads.rider), state.inputs.sag_share * state.inputs.stroke.value,
                reach, leg.closes.value if leg.closes else None)
    found = offers(front_end(fork), wish, shelf(state.facts.suits_rate, FRONT_STEP))
    best = best_offer(found)
    return [{"rate_n_per_mm": round(o.rate * MM, 2), "preload_needed_mm": _mm(o.preload_needed),
             "preload_mm": _mm(o.preload), "free_sag_mm": _mm(o.free_sag), "rider_sag_mm": _mm(o.rider_sag),
             "bind_margin_mm": _mm(o.bind_margin), "fits": o.fits, "best": o is best, "words": o.words} for o in found]


def twist(state: State) -> dict[str, Any] | None:
    """Return the moment with which unequal legs twist axle and yokes under hard braking; None where they are alike.

    M = |F_left − F_right| × half the distance between the legs, at the stroke that braking reaches.
    """
    fork = state.forks["found"]
    if fork is None or state.case.value("fork.damper") == "separate function":
        return None
    x = float(stroke_under(fork, state.loads.braking, typical.N_FAST[0]))
    left, right = (float(leg_push(leg, x, typical.N_FAST[0])[0]) for leg in (fork.left, fork.right))
    apart = abs(left - right)
    if not np.isfinite(apart) or apart < 20.0:
        return None
    spacing = state.case.number("fork.leg_spacing_mm") or SPACING_MM * MM
    return {"at_mm": _mm(x), "difference_n": round(apart, 1), "moment_nm": round(apart * spacing / 2, 1),
            "harder": "left" if left > right else "right"}


def when_hot(state: State) -> dict[str, Any] | None:
    """Return what warm oil and air leave of the stroke; None where the oil's amount is not known.

    Oil grows by V α ΔT into the air; the air's pressure at full extension grows with its absolute temperature and as
    its room shrinks: p = p_e (T / T_0) V_e / (V_e − ΔV).
    """
    fork = state.forks["found"] or state.forks["book"]
    amounts = [_amount(state.inputs, side) for side in ("left", "right")]
    if fork is None or amounts[0] is None or amounts[1] is None:
        return None
    cold = state.case.number("use.temperature_c") or ROOM_TEMPERATURE
    hot = state.case.number("use.oil_temperature_c") or HOT
    warm = Fork(_warmed(fork.left, amounts[0], cold, hot), _warmed(fork.right, amounts[1], cold, hot))
    lock = float(warm.lock)
    return {"oil_c": round(hot - 273.15, 1), "from_c": round(cold - 273.15, 1),
            "usable_stroke_mm": _mm(float(stroke_under(warm, state.loads.braking, typical.N_FAST[0]))),
            "limited_by": limit_of(warm, state.loads), "lock_stroke_mm": _mm(lock) if np.isfinite(lock) else None,
            "rider_sag_mm": _mm(float(stroke_under(warm, state.loads.rider, typical.N_SLOW[0])))}


def _amount(inputs: Inputs, side: str) -> float | None:
    leg = inputs.leg(side)
    known = leg.poured or leg.volume_book
    return None if known is None else float(middle(known))


def _warmed(leg: Leg, amount: float, cold: float, hot: float) -> Leg:
    grown = float(expand(amount, hot - cold)) - amount
    left = float(leg.air_compressed) - grown
    room = left + float(leg.seal_area) * float(leg.stroke)
    if room <= 0:
        return replace(leg, air_compressed=left)
    pressure = float(leg.closed_pressure) * hot / cold * float(leg.air_extended) / room
    return replace(leg, air_compressed=left, closed_pressure=pressure)


def _mm(value: float | None) -> float | None:
    return None if value is None or not np.isfinite(value) else round(value / MM, 1) + 0.0
