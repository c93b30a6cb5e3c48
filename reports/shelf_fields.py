"""What stands on a data sheet: questions of the case document, read and refused by the case document's own reader."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from analysis.catalogue import QUESTIONS, Question
from analysis.document import faults_of
from intake.paths import put
from reports.desk_evidence import UNIT_WORDS

PATHS = {
    "fork": ("fork.layout", "fork.damper", "fork.springing", "fork.travel_mm", *(f"fork.{{side}}.{name}" for name in (
        "stanchion_diameter_mm", "bore_diameter_mm", "inner_parts_area_mm2", "oil_level_book_mm",
        "oil_volume_book_ml", "steel_volume_ml", "cap_intrusion_ml", "spring.rate_n_per_mm", "spring.free_length_mm",
        "preload_turns_range", "preload_pitch_mm_per_turn"))),
    "shock": tuple(f"shock.{name}" for name in (
        "layout", "wheel_travel_mm", "stroke_mm", "linkage_table_mm", "curve.a", "curve.b_per_mm", "curve.c_per_mm2",
        "spring.rate_n_per_mm", "spring.free_length_mm", "rod_diameter_mm", "gas_pressure_bar", "preload_kind",
        "preload_turns_range", "preload_pitch_mm_per_turn")),
}
CONDITION, LEVEL = "oil_level_book_condition", "oil_level_book_mm"
RATES, LENGTHS = "spring_rates_n_per_mm", "spring_free_lengths_mm"
OTHER_CONDITION = "other"
CONDITIONS = {"pushed together, spring out": "Leg pushed fully together, spring out",
              OTHER_CONDITION: "Some other way, or not said: the level is shown and not used"}
OF_ONE = {RATES: "spring.rate_n_per_mm", LENGTHS: "spring.free_length_mm"}
"""Lists, and the field that says what each of their numbers can be."""
LONGEST, MOST_STEPS = 500, 40


@dataclass(frozen=True)
class Field:
    """One value on a data sheet.  ``path`` is blank for what no case document has."""

    name: str
    title: str
    path: str = ""
    unit: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    help: str = ""

    @property
    def paths(self) -> tuple[str, ...]:
        """The full paths in a case document: both legs are filled alike."""
        return QUESTIONS_BY_PATH[self.path].paths() if self.path else ()


@dataclass(frozen=True)
class SheetFault:
    """What cannot be taken, in which field, and what to do."""

    name: str
    problem: str
    mend: str


QUESTIONS_BY_PATH: dict[str, Question] = {question.path: question for question in QUESTIONS.values()}


def _field(kind: str, path: str) -> Field:
    question = QUESTIONS_BY_PATH[path]
    return Field(path.removeprefix(f"{kind}.").removeprefix("{side}."), question.title, path,
                 UNIT_WORDS.get(question.unit, question.unit),
                 tuple((one.value, one.title) for one in question.choices), question.help)


def _fields(kind: str) -> tuple[Field, ...]:
    made = [_field(kind, path) for path in PATHS[kind]]
    steps = "As many as there are, with spaces between, such as {}."
    made += [Field(RATES, "Springs that can be had: rates", unit="N/mm", help=steps.format("8.5 9.0 9.5")),
             Field(LENGTHS, "Springs that can be had: free lengths", unit="mm", help=steps.format("240 250"))]
    if kind == "fork":
        place = next(place for place, one in enumerate(made) if one.name == LEVEL) + 1
        made.insert(place, Field(CONDITION, "How that level is read", choices=tuple(CONDITIONS.items()),
                                 help="Left blank, the level is not used."))
    return tuple(made)


FIELDS = {kind: _fields(kind) for kind in PATHS}


def steps_of(typed: str) -> list[str]:
    """Return the numbers of a list as they were typed, one each."""
    return typed.replace(";", " ").replace("|", " ").split()


def document_of(kind: str, values: Mapping[str, str]) -> dict[str, Any]:
    """Return the values as a case document, both legs alike."""
    document: dict[str, Any] = {}
    for field in FIELDS[kind]:
        for path in field.paths if values.get(field.name) else ():
            put(document, path, values[field.name], {})
    return document


def sheet_faults(kind: str, values: Mapping[str, str]) -> list[SheetFault]:
    """Return everything on a sheet that cannot be taken: once for both legs."""
    names = {path: field.name for field in FIELDS[kind] for path in field.paths}
    found = [SheetFault(names.get(fault.path, ""), f"{fault.problem}.", fault.mend)
             for fault in faults_of(document_of(kind, values))]
    long = [SheetFault(name, "This is longer than any value.", f"Write {LONGEST} signs at most.")
            for name, typed in values.items() if len(typed) > LONGEST]
    return list(dict.fromkeys([*found, *long, *_list_faults(kind, values), *_condition_faults(values)]))


def _list_faults(kind: str, values: Mapping[str, str]) -> list[SheetFault]:
    found = []
    for name, one in OF_ONE.items():
        steps = steps_of(values.get(name, ""))
        if len(steps) > MOST_STEPS:
            found.append(SheetFault(name, f"These are {len(steps)} numbers.", f"{MOST_STEPS} are the most."))
        for step in steps[:MOST_STEPS]:
            found += [SheetFault(name, f"{step}: {fault.problem}", fault.mend)
                      for fault in sheet_faults(kind, {one: step})]
    return found


def _condition_faults(values: Mapping[str, str]) -> list[SheetFault]:
    typed = values.get(CONDITION, "")
    if not typed or typed in CONDITIONS:
        return []
    return [SheetFault(CONDITION, f"“{typed[:60]}” is not one of the answers.",
                       f"Use “{'” or “'.join(CONDITIONS)}”.")]


def filled_by(kind: str, values: Mapping[str, str]) -> dict[str, str]:
    """Return by full path what a sheet can put into a case; a level in another condition than ours is left out."""
    usable = {name: typed for name, typed in values.items() if name != LEVEL or _same_condition(values)}
    return {path: usable[field.name] for field in FIELDS[kind] if usable.get(field.name) for path in field.paths}


def _same_condition(values: Mapping[str, str]) -> bool:
    return bool(values.get(CONDITION)) and values[CONDITION] != OTHER_CONDITION


def differences(kind: str, old: Mapping[str, str], new: Mapping[str, str]) -> list[tuple[str, str, str]]:
    """Return title, old and new value of everything that differs between two versions."""
    return [(field.title, old.get(field.name, ""), new.get(field.name, "")) for field in FIELDS[kind]
            if old.get(field.name, "") != new.get(field.name, "")]

