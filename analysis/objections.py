"""What speaks against a tuner's own numbers: found by running them to the end of the stroke."""
from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from analysis.catalogue import SIDES
from analysis.causes import BY_NAME
from analysis.chosen import Chosen
from analysis.estimates import MM
from analysis.leg_parts import middle
from analysis.preload import FIRST_STEP
from analysis.setups import seal_area, set_air
from analysis.spare import LEAST_SPARE, hot_spare
from analysis.state import State

MOST_RAISED = 0.010
"""By how much the oil may stand above the papers' level: common practice, no source."""
Kind = Literal["stopped", "lock", "spare", "bind", "over-filled", "adjuster", "step", "nothing", "no cause",
               "other work"]


@dataclass(frozen=True)
class Objection:
    """Why some numbers cannot go into a letter: of which leg, the value and the limit it breaks (mm or turns)."""

    kind: Kind
    side: str = "both"
    value: float | None = None
    limit: float | None = None


def objections(state: State, chosen: Chosen, front_stopped: bool) -> list[Objection]:
    """Return everything that speaks against these numbers; empty where they can be advised."""
    if front_stopped:
        return [Objection("stopped")]
    return [*_oil(state, chosen), *_bind(state), *_adjuster(state, chosen), *_one_thing(state, chosen)]


def _oil(state: State, chosen: Chosen) -> Iterator[Objection]:
    for side in SIDES:
        yield from _air(state, side)
        leg, own = state.inputs.leg(side), chosen.level_of(side)
        if own is not None and leg.level_book is not None and own.value < leg.level_book.value - MOST_RAISED - 1e-9:
            yield Objection("over-filled", side, _mm(leg.level_book.value - own.value), _mm(MOST_RAISED))


def _air(state: State, side: str) -> Iterator[Objection]:
    inputs, stroke = state.inputs, state.inputs.stroke.value
    air = set_air(inputs, state.case, side, "advised", state.change, middle)
    spare = hot_spare(state, side, "advised", state.change)
    if air is None or spare is None:
        return
    if float(air) <= 0:
        area = float(seal_area(inputs.leg(side), middle))
        yield Objection("lock", side, _mm(max(stroke + float(air) / area, 0.0)), _mm(stroke))
    elif spare < LEAST_SPARE:
        yield Objection("spare", side, _mm(spare), _mm(LEAST_SPARE))


def _bind(state: State) -> Iterator[Objection]:
    fork = state.forks["advised"]
    for side in SIDES if fork is not None else ():
        bind = float(getattr(fork, side).bind)
        if math.isfinite(bind) and bind < state.inputs.stroke.value - 1e-9:
            yield Objection("bind", side, _mm(bind), _mm(state.inputs.stroke.value))


def _adjuster(state: State, chosen: Chosen) -> Iterator[Objection]:
    if chosen.turned is None:
        return
    for side in SIDES:
        leg = state.inputs.leg(side)
        if leg.turns_in is None:
            continue
        wanted = leg.turns_in + chosen.turned
        if wanted < -1e-9:
            yield Objection("adjuster", side, round(wanted, 2), 0.0)
        elif leg.turns_range is not None and wanted > leg.turns_range + 1e-9:
            yield Objection("adjuster", side, round(wanted, 2), round(leg.turns_range, 2))
    moved = abs(chosen.turned) * state.inputs.sprung_leg.pitch.value
    if moved > FIRST_STEP + 1e-9:
        yield Objection("step", value=_mm(moved), limit=_mm(FIRST_STEP))


def _one_thing(state: State, chosen: Chosen) -> Iterator[Objection]:
    """A letter changes one thing at a time: what its cause asks for."""
    moved = differs(state, chosen)
    if state.judged.kind != "cause" or state.judged.cause is None:
        if any(moved.values()):
            yield Objection("no cause")
        return
    remedy = "" if state.judged.cause == "coil bind" else BY_NAME[state.judged.cause].remedy  # its cure is no number
    for what, is_moved in moved.items():
        if is_moved and what != remedy:
            yield Objection("other work", side=what)
    if remedy == "preload" and chosen.turned == 0:
        yield Objection("nothing")


def differs(state: State, chosen: Chosen) -> dict[str, bool]:
    """Return which of the numbers are another than the engine's: by the remedy they belong to."""
    leg, engines = state.inputs.sprung_leg, state.engines
    advised = 0.0 if engines.preload is None else (engines.preload - leg.preload.value) / leg.pitch.value
    rate = engines.rate if engines.rate is not None else (leg.rate.value if leg.rate else None)
    return {
        "oil": any(chosen.level_of(side) is not None and _moves_oil(state, chosen, side) for side in SIDES),
        "preload": chosen.turned is not None and abs(chosen.turned - advised) > 0.05,
        "spring": chosen.rate is not None and (rate is None or abs(chosen.rate - rate) > 1.0)}


def _moves_oil(state: State, chosen: Chosen, side: str) -> bool:
    with_it = set_air(state.inputs, state.case, side, "advised", state.change, middle)
    without = set_air(state.inputs, state.case, side, "advised", state.engines, middle)
    if with_it is None or without is None:
        return True
    return abs(float(with_it) - float(without)) > 0.3e-6


def _mm(value: float) -> float:
    return round(value / MM, 1) + 0.0
