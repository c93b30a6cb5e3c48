"""The smaller parts of the findings, in the trade's units."""
from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis import typical
from analysis.estimates import ML, MM
from analysis.fork import fork_force
from analysis.fork_part import in_ml, in_mm, scaled
from analysis.observations import sag_and_band, sag_reading
from analysis.posterior import Evidence, Posterior, moved_most
from analysis.preload import PreloadCheck
from analysis.rear_part import attitude_part, shock_part
from analysis.sag import friction_between
from analysis.say import say
from analysis.service import ServiceSheet
from analysis.setups import SETS
from analysis.state import State
from analysis.world import World


def sag_part(state: State) -> dict[str, Any] | None:
    """Measured sags, half bands and the friction they speak of; the exact way, through the force at both readings."""
    case = state.case
    free, rider = sag_reading("free")(case), sag_reading("rider")(case)
    if free is None and rider is None:
        return None
    bands = {which: sag_and_band(case, which) for which in ("free", "rider")}
    friction = _friction(state, bands)
    part: dict[str, Any] = {
        "free_mm": in_mm(free.value) if free else None, "rider_mm": in_mm(rider.value) if rider else None,
        "rider_share": round(rider.value / state.inputs.stroke.value, 3) if rider else None,
        "friction_n": None if friction is None else round(friction, 1),
        "friction_too_high": any(b is not None and b[1].value > 7 * MM for b in bands.values())}
    for which, both in bands.items():
        part[f"{which}_half_band_mm"] = in_mm(both[1].value) if both else None
    return part


def _friction(state: State, bands: Mapping[str, Any]) -> float | None:
    fork = state.forks["found"] or state.forks["book"]
    both = bands["rider"] or bands["free"]
    if fork is None or both is None:
        return None
    sag, band = both[0].value, both[1].value
    deep, high = (float(fork_force(fork, max(x, 0.0), typical.N_SLOW[0])) for x in (sag + band, sag - band))
    return float(friction_between(deep, high)) if math.isfinite(deep) else None


def preload_part(check: PreloadCheck, front_stopped: bool) -> dict[str, Any]:
    """What sags and turns say about the preload; no change is named where the front is stopped."""
    return {"words": check.words, "error_mm": in_mm(check.error),
            "turns_to_target": None if front_stopped else check.turns,
            "mm_to_target": None if front_stopped else in_mm(check.to_target), "out_of_range": check.out_of_range}


_SHEET_UNITS = {"level_now": ("level_now_mm", MM, 1), "level_to_set": ("level_to_set_mm", MM, 1),
                "level_tolerance": ("level_tolerance_mm", MM, 1), "draw_off": ("draw_off_ml", ML, 1),
                "dry_fill": ("dry_fill_ml", ML, 1), "drained_fill": ("drained_fill_ml", ML, 1),
                "not_pumped_fill": ("not_pumped_fill_ml", ML, 1), "air_volume": ("air_volume_ml", ML, 1),
                "ratio": ("ratio", 1.0, 2)}


def service_part(sheet: ServiceSheet | None) -> dict[str, Any] | None:
    """The service sheet in the trade's units."""
    if sheet is None:
        return None
    legs: dict[str, dict[str, Any]] = {}
    for side, leg in (("left", sheet.left), ("right", sheet.right)):
        legs[side] = {name: scaled(getattr(leg, field), unit, digits)
                      for field, (name, unit, digits) in _SHEET_UNITS.items()}
        legs[side]["spread"] = {_SHEET_UNITS[field][0]: scaled(value, _SHEET_UNITS[field][1], 2)
                                for field, value in leg.spread.items()}
    return {**legs, "difference_ml": in_ml(sheet.difference), "order": list(sheet.order),
            "check_after": list(sheet.check_after), "workshop_only": sheet.workshop_only}


def rear_parts(state: State, fork: Mapping[str, Any], stopped: Sequence[str], stock: Sequence[float] = (),
               ) -> tuple[dict[str, Any] | None, dict[str, Any] | None]:
    """Return the rear's part and the chassis' part; no change is named for an end that is stopped."""
    shock = shock_part(state.case, stock)
    if shock is not None and {"rear", "both"} & set(stopped):
        shock |= {"preload": None, "springs": []}
    rear = None if shock is None else shock["sag"]["rider"]["measured_mm"]
    chassis = attitude_part(state.case, fork["rider_sag_mm"], dict.fromkeys(SETS, rear))
    if chassis is not None and stopped:
        chassis |= {"changes": [], "advised": None}
    return shock, chassis


def causes_part(posterior: Posterior) -> list[dict[str, Any]]:
    """All causes, likeliest first, with what moved the first three most in words, and each by how many bits."""
    p, errors = posterior.probabilities(), posterior.standard_errors()
    order = [int(c) for c in np.argsort(-p)]
    part = []
    for rank, c in enumerate(order):
        cause = posterior.world.causes[c]
        every = _one_a_path(moved_most(posterior, c))
        moved = every[:3] if rank < 3 else []
        part.append({
            "name": cause.name, "title": cause.title, "probability": round(float(p[c]), 4),
            "standard_error": round(float(errors[c]), 4), "remedy": cause.remedy,
            "moved_by": [_moved_words(e.title, bits) for e, bits in moved if abs(bits) > 0.1],
            "bits": [{"path": e.path, "moved_bits": round(bits, 2)} for e, bits in every if abs(bits) > 0.1]})
    return part


def _one_a_path(moved: Sequence[tuple[Evidence, float]]) -> list[tuple[Evidence, float]]:
    """Leave out what else the same answer says: leaving an answer out takes all of it away."""
    return list({e.path: (e, bits) for e, bits in reversed(moved)}.values())[::-1]


def _moved_words(title: str, bits: float) -> str:
    times = 2 ** abs(bits)
    if times > 30:
        template = ("{title}: makes it over 30 times as likely." if bits > 0 else
                    "{title}: makes it over 30 times less likely.")
    else:
        template = ("{title}: makes it about {times} times as likely." if bits > 0 else
                    "{title}: makes it about {times} times less likely.")
    return say(template, title=title, times=f"{times:.1f}" if times < 3 else f"{times:.0f}")


def hidden_part(posterior: Posterior) -> list[dict[str, Any]]:
    """The hidden quantities: 5 %, 50 % and 95 % points over all causes."""
    part = []
    for name, unit, values, scale in _hidden(posterior.world):
        low, mid, high = (round(q / scale, 2 if not unit else 1) + 0.0 for q in posterior.quantiles(values))
        part.append({"name": name, "unit": unit, "low": low, "middle": mid, "high": high})
    return part


def _hidden(world: World) -> list[tuple[str, str, NDArray[np.float64], float]]:
    springs = [(say("preload more than suits"), "mm", world.preload_error, MM),
               (say("spring rate as a share of what suits"), "", world.rate_share, 1.0)] if world.sprung else [
        (say("air pressure as a share of what suits"), "", world.air_share, 1.0)]
    return [
        (say("excess oil, left leg"), "ml", world.excess["left"], ML),
        (say("excess oil, right leg"), "ml", world.excess["right"], ML), *springs,
        (say("friction"), "N", world.friction, 1.0), (say("stroke taken by a wrong part"), "mm", world.lost, MM),
        (say("error of the travel reading"), "mm", world.slip, MM)]
