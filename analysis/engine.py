"""The engine's one run: from a case to its findings."""
from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from analysis import typical
from analysis.advice import Facts, advice_for, change_for
from analysis.amounts import leg_sheet
from analysis.catalogue import QUESTIONS, SIDES
from analysis.chassis import normal_trail, rake_after, trail
from analysis.curves import curve, marks
from analysis.disagreements import disagreements
from analysis.document import Case
from analysis.findings import Findings
from analysis.fork import Fork, fork_force
from analysis.gates import Gate, gentle_signs, opening_is_workshop_only, safety_gates
from analysis.inputs import ML, MM, Inputs, read_inputs
from analysis.next_test import next_test
from analysis.observations import sag_and_band, sag_reading
from analysis.posterior import Posterior, assess, moved_most
from analysis.preload import PreloadCheck, preload_check
from analysis.service import ServiceSheet, service_sheet
from analysis.setups import (
    SETS, Change, Loads, band_of, drawing, excess, figures_of, fork_of, gas_area, leg_volumes, limit_of, loads_of,
    middle, needed_rate, seal_area, spread_of,
)
from analysis.verdict import Verdict, verdict

AMBER_LOCK_SHARE = 0.6
"""A leg that is solid before this share of its stroke is ridden gently, if at all: common practice, no source."""


def analyse(case: Case, rng: np.random.Generator) -> Findings:
    """Return everything the engine can say of a case.

    Safety gates come first and no number outvotes them.  ``rng`` drives the draws: the same case and generator state
    give the same findings.
    """
    gates = safety_gates(case)
    inputs = read_inputs(case)
    posterior = assess(case, inputs, rng)
    clashes = disagreements(case, inputs, posterior)
    judged = verdict(posterior, gates, clashes, lambda path: _again(case, path, rng))
    state = _State(case, inputs, judged, gates)
    front_stopped = any(gate.end in ("front", "both") for gate in gates)
    barred = opening_is_workshop_only(case)
    test = None if gates else next_test(posterior, ("oil", "springs_out") if barred else (), rng)
    fork = _fork_part(state, rng, front_stopped)
    return Findings(
        fork=fork, sag=_sag_part(state), preload=_preload_part(state.check, front_stopped),
        service=None if front_stopped else _service_part(state.sheet), chassis=_chassis_part(state),
        causes=_causes_part(posterior), hidden=_hidden_part(posterior), verdict=judged,
        next_test=test and {
            "name": test.test.name, "title": test.test.title, "why": test.test.purpose, "minutes": test.test.minutes,
            "gain_bits": round(test.gain_bits, 3), "by_workshop": test.by_workshop,
            "expect": [{"cause": title, "words": words} for title, words in test.expect]},
        gates=gates, ride_gently=_gently(case, fork, gates), cautions=_cautions(state, barred),
        assumed=inputs.assumed, doubts=[{"path": d.path, "question": d.question} for d in case.doubts],
        disagreements=clashes, missing=_missing(case), advice=_advice_part(state, fork, front_stopped),
        marks=marks(state.forks, fork, case, inputs), curves=[
            curve(name, state.forks[name]) for name in SETS if state.forks[name] is not None
            and not (front_stopped and name == "advised")],
    )


def _again(case: Case, path: str, rng: np.random.Generator) -> Posterior:
    """Assess the case as if one answer had not been given."""
    rest = case.without(path)
    return assess(rest, read_inputs(rest), rng)


class _State:
    """What the parts of one run share: nominal forks of the three sets, loads, preload check and service sheet."""

    def __init__(self, case: Case, inputs: Inputs, judged: Verdict, gates: Sequence[Gate]) -> None:
        self.case, self.inputs, self.judged = case, inputs, judged
        self.loads = loads_of(inputs, middle)
        found = fork_of(inputs, case, "found", Change(), middle)
        book = fork_of(inputs, case, "book", Change(), middle)
        self.check = preload_check(case, inputs, found or book, self.loads)
        self.sheet = _sheet(case, inputs)
        base = found or book
        self.facts = Facts(
            inputs, self.check, self.sheet,
            needed_rate(inputs, base, self.loads) if base else None,
            next((r.value for r in (inputs.left.rate, inputs.right.rate) if r is not None and r.value > 0), None),
            bool(opening_is_workshop_only(case)))
        cause = judged.cause if judged.kind == "cause" else None
        self.change = change_for(cause, self.facts)
        self.advice = () if gates or cause is None else advice_for(cause, self.facts)
        self.forks = {"found": found, "book": book, "advised": fork_of(inputs, case, "advised", self.change, middle)}


def _mm(value: Any) -> float | None:
    return _scaled(value, MM, 1)


def _ml(value: Any) -> float | None:
    return _scaled(value, ML, 1)


def _scaled(value: Any, unit: float, digits: int) -> float | None:
    if value is None or not math.isfinite(float(value)):
        return None
    return round(float(value) / unit, digits) + 0.0


_UNIT = {"air_volume_compressed_ml": ML, "air_volume_extended_ml": ML, "compression_ratio": 1.0, "lock_stroke_mm": MM}


def _fork_part(state: _State, rng: np.random.Generator, front_stopped: bool) -> dict[str, Any]:
    """Both legs' volumes and the fork's figures, for found, book and advised, with their spreads."""
    pick = drawing(rng)
    part: dict[str, Any] = {side: _leg_part(state, side, pick, front_stopped) for side in SIDES}
    drawn_loads = loads_of(state.inputs, pick)
    names = ("usable_stroke_mm", "free_sag_mm", "rider_sag_mm", "coil_bind_stroke_mm")
    part["brake_load_n"] = dict.fromkeys(SETS, round(float(state.loads.braking), 1))
    part |= {name: {} for name in (*names, "limited_by")} | {"spread": {name: {} for name in names}}
    for which in SETS:
        hidden = front_stopped and which == "advised"
        nominal = None if hidden else state.forks[which]
        drawn = None if nominal is None else fork_of(state.inputs, state.case, which, state.change, pick)
        figures, bands = figures_of(nominal, state.loads), figures_of(drawn, drawn_loads)
        for name in names:
            part[name][which] = _mm(figures[name])
            band = band_of(bands[name])
            part["spread"][name][which] = band and [_mm(end) for end in band]
        part["limited_by"][which] = limit_of(nominal, state.loads)
    return part


def _leg_part(state: _State, side: str, pick: Any, front_stopped: bool) -> dict[str, Any]:
    inputs, case = state.inputs, state.case
    found = leg_volumes(inputs, case, side, "found", Change(), middle)
    drawn = leg_volumes(inputs, case, side, "found", Change(), pick)
    over, over_drawn = excess(inputs, case, side, middle), excess(inputs, case, side, pick)
    part: dict[str, Any] = {name: _scaled(value, _UNIT[name], 2 if name == "compression_ratio" else 1)
                            for name, value in found.items()}
    part["excess_oil_ml"] = _ml(over)
    for which in ("book", "advised"):
        hidden = front_stopped and which == "advised"
        values = dict.fromkeys(_UNIT) if hidden else leg_volumes(inputs, case, side, which, state.change, middle)
        part[which] = {name: _scaled(value, _UNIT[name], 2 if name == "compression_ratio" else 1)
                       for name, value in values.items()}
    spreads = {name: spread_of(value) for name, value in drawn.items()} | {"excess_oil_ml": spread_of(over_drawn)}
    part["spread"] = {name: _scaled(value, _UNIT.get(name, ML), 2) for name, value in spreads.items()
                      if part[name] is not None}
    return part


def _sag_part(state: _State) -> dict[str, Any] | None:
    """Measured sags, half bands and the friction they speak of; the exact way, through the force at both readings."""
    case = state.case
    free, rider = sag_reading("free")(case), sag_reading("rider")(case)
    if free is None and rider is None:
        return None
    bands = {which: sag_and_band(case, which) for which in ("free", "rider")}
    friction = _friction(state, bands)
    part: dict[str, Any] = {
        "free_mm": _mm(free.value) if free else None, "rider_mm": _mm(rider.value) if rider else None,
        "rider_share": round(rider.value / state.inputs.stroke.value, 3) if rider else None,
        "friction_n": None if friction is None else round(friction, 1),
        "friction_too_high": any(b is not None and b[1].value > 7 * MM for b in bands.values())}
    for which, both in bands.items():
        part[f"{which}_half_band_mm"] = _mm(both[1].value) if both else None
    return part


def _friction(state: _State, bands: Mapping[str, Any]) -> float | None:
    fork = state.forks["found"] or state.forks["book"]
    both = bands["rider"] or bands["free"]
    if fork is None or both is None:
        return None
    sag, band = both[0].value, both[1].value
    deep, high = (float(fork_force(fork, max(x, 0.0), typical.N_SLOW[0])) for x in (sag + band, sag - band))
    return (deep - high) / 2 if math.isfinite(deep) else None


def _preload_part(check: PreloadCheck, front_stopped: bool) -> dict[str, Any]:
    return {"words": check.words, "error_mm": _mm(check.error),
            "turns_to_target": None if front_stopped else check.turns,
            "mm_to_target": None if front_stopped else _mm(check.to_target), "out_of_range": check.out_of_range}


def _sheet(case: Case, inputs: Inputs) -> ServiceSheet | None:
    """The service sheet, where the papers' level or amount is known for a leg at least."""
    if all(leg.level_book is None and leg.volume_book is None for leg in (inputs.left, inputs.right)):
        return None
    damper = case.value("fork.damper")
    pressurised = any(inputs.leg(side).gauge.value > 0 for side in SIDES) or None
    return service_sheet(*(_leg_amounts(case, inputs, side) for side in SIDES),
                         damper=damper if isinstance(damper, str) else None, pressurised=pressurised)


def _leg_amounts(case: Case, inputs: Inputs, side: str) -> Any:
    leg = inputs.leg(side)
    area, over = float(gas_area(leg, middle)), excess(inputs, case, side, middle)
    area_sd = math.pi / 2 * leg.bore_diameter.value * leg.bore_diameter.sd
    book = leg.level_book
    return leg_sheet(
        gas_area=area, seal_area=float(seal_area(leg, middle)), stroke=inputs.stroke.value,
        level_now=leg.level.value if leg.level else None, level_to_set=book.value if book else None,
        level_book=book.value if book else None, amount_book=leg.volume_book.value if leg.volume_book else None,
        steel=leg.steel.value, cap=leg.cap.value, excess=None if over is None else float(over),
        sd={"gas_area": math.hypot(area_sd, leg.inner_area.sd), "steel": leg.steel.sd, "cap": leg.cap.sd,
            "stroke": inputs.stroke.sd, "level_now": leg.level.sd if leg.level else 0.0,
            "level_to_set": book.sd if book else 0.0, "amount_book": leg.volume_book.sd if leg.volume_book else 0.0})


_SHEET_UNITS = {"level_now": ("level_now_mm", MM, 1), "level_to_set": ("level_to_set_mm", MM, 1),
                "level_tolerance": ("level_tolerance_mm", MM, 1), "draw_off": ("draw_off_ml", ML, 1),
                "dry_fill": ("dry_fill_ml", ML, 1), "drained_fill": ("drained_fill_ml", ML, 1),
                "not_pumped_fill": ("not_pumped_fill_ml", ML, 1), "air_volume": ("air_volume_ml", ML, 1),
                "ratio": ("ratio", 1.0, 2)}


def _service_part(sheet: ServiceSheet | None) -> dict[str, Any] | None:
    if sheet is None:
        return None
    legs = {}
    for side, leg in (("left", sheet.left), ("right", sheet.right)):
        legs[side] = {name: _scaled(getattr(leg, field), unit, digits)
                      for field, (name, unit, digits) in _SHEET_UNITS.items()}
        legs[side]["spread"] = {_SHEET_UNITS[field][0]: _scaled(value, _SHEET_UNITS[field][1], 2)
                                for field, value in leg.spread.items()}
    return {**legs, "difference_ml": _ml(sheet.difference), "order": list(sheet.order),
            "check_after": list(sheet.check_after), "workshop_only": sheet.workshop_only}


def _chassis_part(state: _State) -> dict[str, Any] | None:
    """Rake and trail as measured and at rider sag, where wheel, offset, rake and wheelbase are all known."""
    names = ("rake_deg", "fork_offset_mm", "wheel_radius_front_mm", "wheelbase_mm")
    values = [state.case.value(f"bike.{name}") for name in names]
    if not all(isinstance(v, float) for v in values):
        return None
    rake, offset, radius, base = (float(v) for v in values if isinstance(v, float))
    sag = sag_reading("rider")(state.case)
    x = sag.value if sag else 0.0
    dipped = float(rake_after(rake, base, x))
    return {"rake_deg": round(math.degrees(rake), 2), "trail_mm": _mm(trail(radius, rake, offset)),
            "normal_trail_mm": _mm(normal_trail(radius, rake, offset)),
            "at_rider_sag": sag and {"rake_deg": round(math.degrees(dipped), 2), "trail_mm": _mm(trail(radius, dipped, offset)),
                                     "normal_trail_mm": _mm(normal_trail(radius, dipped, offset))}}


def _causes_part(posterior: Posterior) -> list[dict[str, Any]]:
    p, errors = posterior.probabilities(), posterior.standard_errors()
    order = [int(c) for c in np.argsort(-p)]
    part = []
    for rank, c in enumerate(order):
        cause = posterior.world.causes[c]
        moved = moved_most(posterior, c)[:3] if rank < 3 else []
        part.append({
            "name": cause.name, "title": cause.title, "probability": round(float(p[c]), 4),
            "standard_error": round(float(errors[c]), 4), "remedy": cause.remedy,
            "moved_by": [_moved_words(e.title, bits) for e, bits in moved if abs(bits) > 0.1]})
    return part


def _moved_words(title: str, bits: float) -> str:
    times = 2 ** abs(bits)
    size = "over 30 times" if times > 30 else f"about {times:.1f} times" if times < 3 else f"about {times:.0f} times"
    return f"{title[0].upper()}{title[1:]}: makes it {size} {'likelier' if bits > 0 else 'less likely'}."


def _hidden_part(posterior: Posterior) -> list[dict[str, Any]]:
    world = posterior.world
    rows = [("excess oil, left leg", "ml", world.excess["left"], ML), ("excess oil, right leg", "ml", world.excess["right"], ML),
            ("preload more than suits", "mm", world.preload_error, MM),
            ("spring rate as a share of what suits", "", world.rate_share, 1.0),
            ("friction", "N", world.friction, 1.0), ("stroke taken by a wrong part", "mm", world.lost, MM),
            ("error of the travel reading", "mm", world.slip, MM)]
    part = []
    for name, unit, values, scale in rows:
        low, mid, high = (round(q / scale, 2 if not unit else 1) + 0.0 for q in posterior.quantiles(values))
        part.append({"name": name, "unit": unit, "low": low, "middle": mid, "high": high})
    return part


def _gently(case: Case, fork: Mapping[str, Any], gates: Sequence[Gate]) -> str | None:
    """One line for a fork that may be ridden with care only; None where there is no such sign, or a gate says more."""
    if gates:
        return None
    why = list(gentle_signs(case))
    stroke = case.value("fork.travel_mm")
    locks = [fork[s]["lock_stroke_mm"] for s in SIDES if fork[s]["lock_stroke_mm"] is not None]
    if locks and isinstance(stroke, float) and min(locks) * MM < AMBER_LOCK_SHARE * stroke:
        why.append("The oil stops the fork before six tenths of its stroke.")
    return f"Ride gently, short, dry and alone, if at all. {' '.join(why)}" if why else None


def _cautions(state: _State, barred: Sequence[str]) -> list[str]:
    said = list(barred)
    if state.inputs.unknown_load:
        said.append("Rider or bike has not been weighed: loads, sags and braking are rough.")
    cause = state.judged.cause
    if cause in ("over-filled", "too little oil", "unequal oil") and not barred:
        said.append("The fork cap is under spring force: preload right out first, hold the cap down on its last threads, "
                    "face to the side.")
        said.append("Cover disc and pads. Oil on the brake: do not ride until it is cleaned and the pads are replaced.")
    said.append("Tighten to the figures in the bike's own manual. First ride slow, brakes tried at walking speed.")
    return said


_WANTED = (
    ("fork.left.stanchion_diameter_mm", "It turns millilitres into stroke."),
    ("fork.travel_mm", "Every stop is judged against the full stroke."),
    ("fork.left.oil_level_book_mm", "It says how much oil there should be."),
    ("fork.left.oil_level_mm", "It settles whether there is too much oil."),
    ("fork.right.oil_level_mm", "One leg alone can lock the fork."),
    ("fork.left.spring.rate_n_per_mm", "Sags and stroke under load rest on it."),
    ("bench.sag.rider_from_below_mm", "Sag tells springs and preload from oil."),
    ("bench.travel.used_mm", "It shows where the fork really stops."),
    ("rider.mass_kg", "Every load rests on it."),
    ("bike.mass_kg", "Every load rests on it."),
)


def _missing(case: Case) -> list[dict[str, str]]:
    return [{"path": path, "title": QUESTIONS[path].title, "why": why} for path, why in _WANTED
            if case.answer(path) is None]


def _advice_part(state: _State, fork: Mapping[str, Any], front_stopped: bool) -> list[dict[str, Any]]:
    if front_stopped:
        return []
    expect = _expect(fork)
    return [{"title": a.title, "steps": list(a.steps), "expect": expect} for a in state.advice]


def _expect(fork: Mapping[str, Any]) -> str:
    """Say what the advised set should show, as bands."""
    said = []
    for name, words in (("usable_stroke_mm", "Under hard braking the fork should reach"), ("rider_sag_mm", "Rider sag should be")):
        band = fork["spread"][name]["advised"]
        if band:
            said.append(f"{words} {band[0]:.0f} to {band[1]:.0f} mm.")
    return " ".join(said) or "Tell us the same readings again, so that before and after can be compared."
