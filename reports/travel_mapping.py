"""What a person says of a recording's columns: read the same from a command's options and from a page's form."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from analysis.case import Case, Fault
from analysis.columns import Column
from analysis.csv_rows import LogFaults
from analysis.travel_log import Sensor
from analysis.units import UnitProblem, to_si

STROKES = {"front": "fork.travel_mm", "rear": "shock.stroke_mm"}
"""Where a case says the full stroke of each end."""
NEAR = "5 mm"
Typed = Mapping[str, str | None]
Names = Mapping[str, str]
"""What each field is called where it was typed: "front", "front_zero", "front_full", "front_stroke", ..., "near"."""


@dataclass(frozen=True)
class Mapped:
    """The columns as understood: the time, a sensor for each end that was named, and what is near an end (m)."""

    time: Column
    sensors: Mapping[str, Sensor]
    near: float


def read_mapping(typed: Typed, case: Case | None, names: Names) -> Mapped:
    """Return the mapping; a stroke that was not typed is the case's.  Raises LogFaults with everything that is wrong.

    ``typed`` has "time", "time_unit", "unit", "near", and for "front" and "rear" the column and "_zero", "_full",
    "_stroke".
    """
    faults: list[Fault] = []
    near = _length(typed.get("near") or NEAR, names["near"], faults)
    sensors = {end: _sensor(end, typed, case, names, faults) for end in STROKES if typed.get(end)}
    if not typed.get("time"):
        faults.append(Fault(names["time"], "no column of time was named", "Say which column holds the time."))
    if not sensors:
        faults.append(Fault(names["front"], "no column of travel was named",
                            f"Name {names['front']}, {names['rear']}, or both."))
    if near is not None and near <= 0:
        faults.append(Fault(names["near"], "this is not above zero", f"Write for example {NEAR}."))
    if faults or near is None:
        raise LogFaults(tuple(faults))
    return Mapped(Column(typed["time"] or "", "s", typed.get("time_unit") or None), sensors, near)


def _sensor(end: str, typed: Typed, case: Case | None, names: Names, faults: list[Fault]) -> Sensor:
    """Return how one end is mapped."""
    column, zero, full = (typed.get(f"{end}{part}") or None for part in ("", "_zero", "_full"))
    length = _stroke(end, typed, case, names, faults)
    if full is None:
        offset = _length(zero, names[f"{end}_zero"], faults) if zero else 0.0
        return Sensor(column or "", typed.get("unit") or None, offset or 0.0, None, length)
    if zero is None:
        faults.append(Fault(names[f"{end}_zero"], f"{names[f'{end}_full']} needs it",
                            "Give what it reads at full extension."))
    at_zero, at_full = (_length(reading, names[f"{end}{part}"], faults, "") for reading, part in (
        (zero or "0", "_zero"), (full, "_full")))
    return Sensor(column or "", None, 0.0, (at_zero or 0.0, at_full or 0.0), length)


def _stroke(end: str, typed: Typed, case: Case | None, names: Names, faults: list[Fault]) -> float | None:
    """Return the full stroke, m: as typed, else as the case has it."""
    told = typed.get(f"{end}_stroke")
    if not told:
        return None if case is None else case.number(STROKES[end])
    length = _length(told, names[f"{end}_stroke"], faults)
    if length is not None and length <= 0:
        faults.append(Fault(names[f"{end}_stroke"], "this is not above zero", "Write for example 140 mm."))
    return length


def _length(typed: str, name: str, faults: list[Fault], unit: str = "mm") -> float | None:
    try:
        return to_si(typed, unit)
    except UnitProblem as problem:
        faults.append(Fault(name, problem.problem, problem.mend))
        return None
