"""From a case's answers to the shock, its linkage and the loads of the rear; what is missing or assumed is listed."""
from __future__ import annotations

import math
from dataclasses import dataclass, field

from analysis import typical
from analysis.case import Case
from analysis.estimates import MM, Assumed
from analysis.linkage import (
    Arm,
    Linkage,
    LinkageProblem,
    arm_linkage,
    constant_linkage,
    polynomial_linkage,
    table_linkage,
)
from analysis.rear import Rear, Shock, preload_from_lengths, wheel_load
from analysis.sag import Sag, sag_from_readings
from analysis.say import say
from analysis.spring import solid_length
from analysis.tables import read_table

UNSPRUNG_REAR_KG = 20.0
PILLION_ON_REAR = 0.85
LUGGAGE_ON_REAR = 1.10
"""A passenger sits well back; luggage behind the axle lifts the front.  Common practice, no source."""
READING_SD = 1.5e-3
_ARM = ("length_mm", "along_mm", "top_forward_mm", "top_up_mm", "droop_deg")


@dataclass
class RearReader:
    """Reads the rear's answers, and lists what is not there and what had to stand in."""

    case: Case
    missing: dict[str, str] = field(default_factory=dict)
    assumed: list[Assumed] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)

    def need(self, path: str, why: str) -> float | None:
        """Return a quantity, or list it as missing."""
        value = self.case.number(path)
        if value is None:
            self.missing[path] = why
        return value

    def or_assume(self, path: str, value: float, unit: str, reason: str) -> float:
        """Return a pure number or mass, or the usual one, listed as assumed."""
        known = self.case.number(path)
        if known is None:
            self.assumed.append(Assumed(path, value, unit, reason))
        return value if known is None else known


@dataclass(frozen=True)
class RearLoads:
    """Upright loads at the rear wheel above its unsprung mass, N; None where their masses are not known."""

    free: float | None
    rider: float | None
    two_up: float | None
    loaded: float | None


def anything_said(case: Case) -> bool:
    """True where the case says anything of the rear."""
    return any(path.startswith(("shock.", "bench.rear_")) for path in case.answers)


def read_linkage(read: RearReader) -> Linkage | None:
    """Return the linkage: a table, else an arm's geometry, else the mean ratio of both strokes; None: not known."""
    try:
        return _table(read) or _formula(read) or _arm(read) or _mean(read)
    except LinkageProblem as problem:
        read.troubles.append(say("Shock and wheel travel: {problem}. {mend}", problem=problem.problem,
                                 mend=problem.mend))
        return None


def _table(read: RearReader) -> Linkage | None:
    typed = read.case.value("shock.linkage_table_mm")
    if not isinstance(typed, str):
        return None
    pairs = read_table(typed, "mm")
    return table_linkage([z for z, _ in pairs], [s for _, s in pairs])


def _formula(read: RearReader) -> Linkage | None:
    """Wheel travel z to shock stroke by ``a z + b z² + c z³``, typed for mm and turned into m here."""
    travel = read.case.number("shock.wheel_travel_mm")
    a, b, c = (read.case.number(f"shock.curve.{name}") for name in ("a", "b_per_mm", "c_per_mm2"))
    if a is None or travel is None:
        return None
    return polynomial_linkage((0.0, a, (b or 0.0) / MM, (c or 0.0) / MM**2), travel)


def _arm(read: RearReader) -> Linkage | None:
    travel = read.case.number("shock.wheel_travel_mm")
    values = [read.case.number(f"shock.arm.{name}") for name in _ARM]
    if read.case.value("shock.layout") == "linkage" or travel is None:
        return None
    known = [v for v in values if v is not None]
    if len(known) < len(_ARM):
        return None
    length, along, top_x, top_y, droop = known
    above = read.or_assume("shock.arm.above_mm", 0.0, "mm", say("The lower mount is taken on the arm's own line."))
    return arm_linkage(Arm(length, along, top_x, top_y, droop, above), travel)


def _mean(read: RearReader) -> Linkage | None:
    travel = read.need("shock.wheel_travel_mm", say("It says how far the wheel moves for the shock's stroke."))
    stroke = read.need("shock.stroke_mm", say("With the wheel travel it gives the motion ratio."))
    if travel is None or stroke is None:
        return None
    read.assumed.append(Assumed("shock.linkage_table_mm", round(stroke / travel, 3), "",
                                say("No table: one ratio all the way, shock stroke over wheel travel.")))
    return constant_linkage(stroke / travel, travel)


def read_rear(read: RearReader, linkage: Linkage) -> Rear | None:
    """Return the rear with no preload yet; None where the spring's rate is not known."""
    rate = read.need("shock.spring.rate_n_per_mm", say("Sag and preload rest on it."))
    if rate is None:
        return None
    number = read.case.number
    stroke = number("shock.stroke_mm")
    rod, gas = number("shock.rod_diameter_mm"), number("shock.gas_pressure_bar")
    if rod is None or gas is None:
        read.assumed.append(Assumed("shock.gas_pressure_bar", 0.0, "bar",
                                    say("Rod and gas pressure are not both known: the gas's push is left out.")))
        rod = gas = 0.0
    length, bump = number("shock.bump_length_mm"), number("shock.bump_rate_n_per_mm")
    with_rubber = length is not None and bump is not None
    room = closes(read.case)
    shock = Shock(rate=rate, preload=0.0, closes=math.inf if room is None else room,
                  stroke=float(linkage.stroke(linkage.travel)) if stroke is None else stroke,
                  rod_area=math.pi / 4 * rod**2, gas_pressure=gas,
                  bump_length=length if with_rubber and length else 0.0,
                  bump_rate=bump if with_rubber and bump else 0.0)
    return Rear(shock, linkage, count(read.case))


def closes(case: Case) -> float | None:
    """Return how far the spring can be squeezed before its coils touch, L_free − N_t d, m; None: not known."""
    free, wire, coils = (case.number(f"shock.spring.{n}") for n in (
        "free_length_mm", "wire_diameter_mm", "total_coils"))
    if free is None or wire is None or coils is None:
        return None
    return float(free - solid_length(wire, coils))


def said_preload(case: Case) -> float | None:
    """Return the preload as it is set, m: from the spring's two lengths, or as it was given; None: not known."""
    free, installed = (case.number(f"shock.spring.{n}") for n in ("free_length_mm", "installed_length_mm"))
    if free is not None and installed is not None:
        return float(preload_from_lengths(free, installed))
    return case.number("shock.preload_mm")


def count(case: Case) -> int:
    """Return how many shocks there are."""
    return 2 if case.value("shock.layout") == "twin" else 1


def preload_range(case: Case, now: float) -> tuple[float, float] | None:
    """Return the least and the most preload that can be set, m, from where it is now; None: not known."""
    if case.value("shock.preload_kind") == "fixed":
        return now, now
    turns, span, pitch = (case.number(f"shock.{n}") for n in (
        "preload_turns_in", "preload_turns_range", "preload_pitch_mm_per_turn"))
    if turns is None or span is None or pitch is None:
        return None
    return now - turns * pitch, now + (span - turns) * pitch


def read_loads(read: RearReader) -> RearLoads:
    """Return the loads of the bike alone, with rider, with passenger, and with luggage too."""
    on_rear = _bike_on_rear(read)
    if on_rear is None:
        return RearLoads(None, None, None, None)
    unsprung = read.or_assume("bike.unsprung_rear_kg", UNSPRUNG_REAR_KG, "kg", say("Usual rear unsprung mass."))
    free = float(wheel_load(on_rear, unsprung))
    rider = read.need("rider.mass_kg", say("The rear's load rests on it."))
    if rider is None:
        return RearLoads(free, None, None, None)
    share = read.or_assume("rider.front_share", typical.RIDER_FRONT_SHARE[0], "", say("A usual riding position."))
    mass = on_rear + rider * (1 - share)
    pillion, luggage = read.case.number("use.pillion_kg") or 0.0, read.case.number("use.luggage_kg") or 0.0
    if pillion or luggage:
        read.assumed.append(Assumed("use.luggage_kg", LUGGAGE_ON_REAR, "",
                                    say("{pillion_on_rear} of a passenger and {luggage_on_rear} of luggage is taken "
                                        "to rest on the rear.", pillion_on_rear=f"{PILLION_ON_REAR:.0%}",
                                        luggage_on_rear=f"{LUGGAGE_ON_REAR:.0%}")))
    two_up = mass + PILLION_ON_REAR * pillion
    full = two_up + LUGGAGE_ON_REAR * luggage
    return RearLoads(free, float(wheel_load(mass, unsprung)),
                     float(wheel_load(two_up, unsprung)) if pillion else None,
                     float(wheel_load(full, unsprung)) if luggage else None)


def _bike_on_rear(read: RearReader) -> float | None:
    """Mass on the rear wheel without a rider, kg: weighed, or what the front does not carry."""
    weighed, mass = read.case.number("bike.rear_load_kg"), read.case.number("bike.mass_kg")
    if weighed is not None:
        return weighed
    if mass is None:
        read.missing["bike.rear_load_kg"] = say("Every load at the rear rests on it.")
        return None
    front, share = read.case.number("bike.front_load_kg"), read.case.number("bike.front_share")
    if front is not None:
        return mass - front
    if share is None:
        share = read.or_assume("bike.front_share", typical.BIKE_FRONT_SHARE[0], "",
                               say("Usual share on the front wheel."))
    return mass * (1 - share)


def measured_sag(case: Case, which: str) -> tuple[float, Sag | None] | None:
    """Return the rear's sag measured ('free', 'rider', 'two_up', 'loaded'), m, with its band where read twice."""
    number = case.number
    extended = number("bench.rear_sag.extended_mm")
    below, above = (number(f"bench.rear_sag.{which}_from_{way}_mm") for way in ("below", "above"))
    once = number(f"bench.rear_sag.{which}_mm")
    if extended is not None and below is not None and above is not None:
        sag = sag_from_readings(extended, below, above, READING_SD)
        return sag.mean, sag
    if extended is not None and once is not None:
        return extended - once, None
    one = next((r for r in (below, above) if r is not None), None)
    if extended is not None and one is not None:
        return extended - one, None
    told = number(f"shock.{which}_sag_mm")
    return None if told is None else (told, None)
