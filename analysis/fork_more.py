"""More about the fork: springs on the shelf, the twist of unequal legs, and what warmth does."""
from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from analysis import typical
from analysis.catalogue import SIDES
from analysis.estimates import MM
from analysis.fork import Fork, stroke_under
from analysis.leg import leg_push
from analysis.say import say
from analysis.setups import Change, Loads, amount_in, band_of, drawing, fork_of, limit_of, loads_of
from analysis.spare import hot_spare, temperatures
from analysis.spring_choice import FRONT_STEP, Offer, Wish, best_offer, front_end, offers, rate_for, sag_with, shelf
from analysis.state import State
from analysis.warmth import warmed

SPACERS = (0.0, 30 * MM)
"""Preload that other spacers can give where there is no adjuster: common practice, no source."""
SPREAD_FORKS = 200
"""Drawn forks that a spread is read from."""
LEAST_TWIST_N = 20.0
"""A smaller difference between the legs is none."""
SPACING_MM = 210.0
"""Usual distance between the legs, mm: common practice, no source."""


def front_springs(state: State, rng: np.random.Generator, stock: Sequence[float] = ()) -> list[dict[str, Any]]:
    """Return what each spring on a shelf would give with this rider, its preload inside the adjuster's range.

    ``stock`` are the rates that can be had, N/m; empty: in the usual steps.
    """
    fork, leg = state.forks["advised"] or state.forks["found"], state.inputs.sprung_leg
    if fork is None or state.facts.suits_rate is None or leg.rate is None or leg.rate.value <= 0:
        return []
    fixed = leg.preload.value - (leg.turns_in or 0.0) * leg.pitch.value
    reach = SPACERS if leg.turns_range is None else (fixed, fixed + leg.turns_range * leg.pitch.value)
    wish = Wish(float(state.loads.free), float(state.loads.rider), state.inputs.sag_share * state.inputs.stroke.value,
                reach, leg.closes.value if leg.closes else None)
    end = front_end(fork)
    rates = shelf(rate_for(end, wish.rider_load, wish.rider_sag, leg.preload.value), FRONT_STEP, stock=stock)
    found = offers(end, wish, rates)
    best, bands = best_offer(found), _sag_bands(state, fork, found, rng)
    return [{"rate_n_per_mm": round(o.rate * MM, 2), "preload_needed_mm": _mm(o.preload_needed),
             "preload_mm": _mm(o.preload), "free_sag_mm": _mm(o.free_sag), "rider_sag_mm": _mm(o.rider_sag),
             "bind_margin_mm": _mm(o.bind_margin), "fits": o.fits, "best": o is best, "words": o.words,
             "spread": {"rider_sag_mm": band}} for o, band in zip(found, bands, strict=True)]


def _sag_bands(state: State, fork: Fork, found: Sequence[Offer], rng: np.random.Generator,
               ) -> list[list[float | None]]:
    """How far each spring's rider sag may be off, 5 to 95 %: the preload stays, the load may be lighter or heavier."""
    drawn = np.asarray(loads_of(state.inputs, drawing(rng, SPREAD_FORKS)).rider)
    ends, end = np.percentile(drawn, (5, 95)), front_end(fork)
    return [[_mm(sag_with(end, offer.rate, offer.preload, float(load))) for load in ends] for offer in found]


def twist(state: State, rng: np.random.Generator) -> dict[str, Any] | None:
    """Return the moment with which unequal legs twist axle and yokes under hard braking; None where they are alike.

    M = |F_left − F_right| × half the distance between the legs, at the stroke that braking reaches.
    """
    fork = state.forks["found"]
    if fork is None or state.case.value("fork.damper") == "separate function":
        return None
    x, apart, harder = _apart(fork, state.loads)
    if not np.isfinite(apart) or apart < LEAST_TWIST_N:
        return None
    spacing = state.case.number("fork.leg_spacing_mm")
    arm = (SPACING_MM * MM if spacing is None else spacing) / 2
    drawn, loads = _drawn(state, "found", rng)
    spread = band_of(np.abs(np.asarray(_apart(drawn, loads)[1])) * arm, math.inf) if drawn else None
    return {"at_mm": _mm(float(x)), "difference_n": round(float(apart), 1), "moment_nm": round(float(apart) * arm, 1),
            "harder": harder, "spread": {"moment_nm": None if spread is None else [round(end, 1) for end in spread]},
            "assumed": [] if spacing is not None else [_usual("fork.leg_spacing_mm", SPACING_MM, "mm", say(
                "A usual distance between the legs."))]}


def _apart(fork: Fork, loads: Loads) -> tuple[Any, Any, str]:
    """Stroke under hard braking, how far the legs' forces lie apart there, and which is the harder leg."""
    x = stroke_under(fork, loads.braking, typical.N_FAST[0])
    left, right = (np.asarray(leg_push(leg, x, typical.N_FAST[0])[0]) for leg in (fork.left, fork.right))
    with np.errstate(invalid="ignore"):
        return x, np.abs(left - right), "left" if np.all(left > right) else "right"


def _drawn(state: State, which: str, rng: np.random.Generator) -> tuple[Fork | None, Loads]:
    pick = drawing(rng, SPREAD_FORKS)
    return fork_of(state.inputs, state.case, which, state.change, pick), loads_of(state.inputs, pick)


def _usual(path: str, value: float, unit: str, reason: str) -> dict[str, Any]:
    return {"path": path, "value": value, "unit": unit, "reason": reason}


def when_hot(state: State, rng: np.random.Generator) -> dict[str, Any] | None:
    """Return what warm oil and air leave of the stroke, as found and as advised; None where no amount is known.

    Oil grows by V α ΔT into the air; the air's pressure at full extension grows with its absolute temperature and as
    its room shrinks: p = p_e (T / T_0) V_e / (V_e − ΔV).
    """
    which = "found" if state.forks["found"] is not None else "book"
    told = state.case.number("use.temperature_c"), state.case.number("use.oil_temperature_c")
    cold, hot = temperatures(state.case)
    fork, heat = state.forks[which], _heat_of(state, which, Change(), cold, hot)
    if fork is None or heat is None:
        return None
    assumed = [_usual(path, round(value - 273.15, 1), "degC", reason) for path, value, was, reason in (
        ("use.temperature_c", cold, told[0], say("Filled at room temperature.")),
        ("use.oil_temperature_c", hot, told[1], say("Oil on a long, fast ride."))) if was is None]
    drawn, loads = _drawn(state, which, rng)
    most = state.inputs.stroke.value
    bands = {name: None if drawn is None else band_of(of(heat(drawn), loads), most) for name, of in _HOT.items()}
    return {"oil_c": round(hot - 273.15, 1), "from_c": round(cold - 273.15, 1), **_hot_figures(heat(fork), state.loads),
            "spread": {name: None if band is None else [_mm(end) for end in band] for name, band in bands.items()},
            "advised": _advised_hot(state, cold, hot), "assumed": assumed}


_HOT: Mapping[str, Callable[[Fork, Loads], Any]] = {
    "usable_stroke_mm": lambda f, w: stroke_under(f, w.braking, typical.N_FAST[0]),
    "rider_sag_mm": lambda f, w: stroke_under(f, w.rider, typical.N_SLOW[0])}


def _heat_of(state: State, which: str, change: Change, cold: float, hot: float) -> Callable[[Fork], Fork] | None:
    """Return what warms a fork of one set; None where the oil's amount in a leg is not known."""
    amounts = [amount_in(state.inputs, state.case, side, which, change) for side in SIDES]
    if amounts[0] is None or amounts[1] is None:
        return None
    return lambda fork: Fork(*(warmed(leg, amount, cold, hot) for leg, amount in zip(
        (fork.left, fork.right), amounts, strict=True)))


def _hot_figures(warm: Fork, loads: Loads) -> dict[str, Any]:
    lock = float(warm.lock)
    return {**{name: _mm(float(of(warm, loads))) for name, of in _HOT.items()},
            "limited_by": limit_of(warm, loads), "lock_stroke_mm": _mm(lock) if np.isfinite(lock) else None}


def _advised_hot(state: State, cold: float, hot: float) -> dict[str, Any] | None:
    """The same of the advised set, and the air that is left at its full stroke in the leg that has less of it."""
    fork, heat = state.forks["advised"], _heat_of(state, "advised", state.change, cold, hot)
    if fork is None or heat is None:
        return None
    spares = [spare for side in SIDES if (spare := hot_spare(state, side, "advised", state.change)) is not None]
    return {**_hot_figures(heat(fork), state.loads), "spare_mm": _mm(min(spares)) if spares else None}


def _mm(value: float | None) -> float | None:
    return None if value is None or not np.isfinite(value) else round(value / MM, 1) + 0.0
