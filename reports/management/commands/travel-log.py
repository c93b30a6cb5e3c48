"""Read a logger's recording of fork and shock: no database, no server."""
from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

import numpy as np
from django.core.management.base import BaseCommand

from analysis import Case, CaseFaults, Fault, analyse, parse_case
from analysis.columns import Column
from analysis.csv_rows import LogFaults
from analysis.document import read_json
from analysis.travel_log import Sensor
from analysis.travel_part import travel_log_part
from analysis.units import UnitProblem, to_si
from reports.terminal_log import travel_summary

SEED = 20240229
STROKES = {"front": "fork.travel_mm", "rear": "shock.stroke_mm"}
_ENDS = {"front": "", "rear": "rear-"}


class Command(BaseCommand):
    help = "Read a travel log (CSV): travel used, ride height, deep visits, speeds. Needs no database."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare what can be given."""
        parser.add_argument("log", metavar="LOG.csv", help="the recording; - reads it from standard input")
        parser.add_argument("--time", metavar="COLUMN", required=True, help="heading of the time, or its place from 1")
        parser.add_argument("--time-unit", metavar="UNIT", help="unit of the time (s where the file says nothing)")
        parser.add_argument("--unit", help="unit of the travel, for example mm or in (mm where the file says nothing)")
        for end, prefix in _ENDS.items():
            parser.add_argument(f"--{end}", metavar="COLUMN", help=f"heading of the {end}'s travel, or its place")
            parser.add_argument(f"--{prefix}zero", metavar="READING", dest=f"{end}_zero", help=(
                f"what the {end} reads at full extension: a length, or with --{prefix}full any number"))
            parser.add_argument(f"--{prefix}full", metavar="READING", dest=f"{end}_full",
                                help=f"what the {end} reads at full stroke, for volts and counts")
            parser.add_argument(f"--{prefix}stroke", metavar="LENGTH", dest=f"{end}_stroke",
                                help=f"the {end}'s full stroke (the case's where none is given)")
        parser.add_argument("--near", metavar="LENGTH", default="5 mm",
                            help="what is near an end (default: %(default)s)")
        parser.add_argument("--case", metavar="CASE.json", help="the case, for its strokes and predicted stops")
        parser.add_argument("--json", action="store_true", help="print the results as JSON and nothing else")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print what the log says; what cannot be read ends with status 2 and every fault on standard error."""
        case = self._case(options["case"]) if options["case"] else None
        faults: list[Fault] = []
        near = _length(options["near"], "--near", faults)
        sensors = {end: _sensor(end, options, case, faults) for end in _ENDS if options[end]}
        if not sensors:
            faults.append(Fault("--front", "no column of travel was named", "Name --front, --rear, or both."))
        if near is not None and near <= 0:
            faults.append(Fault("--near", "this is not above zero", "Write for example 5 mm."))
        if faults or near is None:
            self._refuse("the options have", faults)
        findings = None if case is None else analyse(case, np.random.default_rng(SEED)).as_document()
        try:
            part = travel_log_part(self._read(options["log"]), Column(options["time"], "s", options["time_unit"]),
                                   sensors, findings, near)
        except LogFaults as bad:
            self._refuse(f"{options['log']} has", bad.faults)
        self._say(json.dumps(part, indent=2, ensure_ascii=False, allow_nan=False) if options["json"]
                  else travel_summary(part))

    def _case(self, name: str) -> Case:
        try:
            return parse_case(read_json(self._read(name)))
        except CaseFaults as bad:
            self._refuse(f"{name} has", bad.faults)

    def _read(self, name: str) -> bytes:
        try:
            return sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
        except OSError as error:
            self.stderr.write(f"Cannot read {name}: {(error.strerror or str(error)).lower()}")
            raise SystemExit(2) from None

    def _refuse(self, what: str, faults: Any) -> NoReturn:
        lines = [f"{fault.path or 'the document'}: {fault.problem}. {fault.mend}" for fault in faults]
        count = "1 fault" if len(lines) == 1 else f"{len(lines)} faults"
        self.stderr.write("\n".join([f"{what} {count}:", *lines]))
        raise SystemExit(2)

    def _say(self, words: str) -> None:
        """Print ``words``, with "?" for what the terminal's encoding does not have."""
        encoding = getattr(self.stdout, "encoding", None) or "utf-8"
        self.stdout.write(words.encode(encoding, "replace").decode(encoding))


def _sensor(end: str, options: dict[str, Any], case: Case | None, faults: list[Fault]) -> Sensor:
    """Return how one end is mapped; the stroke comes from the options, else from the case."""
    flag = f"--{_ENDS[end]}"
    zero, full, stroke = (options[f"{end}_{key}"] for key in ("zero", "full", "stroke"))
    known = case.value(STROKES[end]) if case is not None else None
    length = _length(stroke, f"{flag}stroke", faults) if stroke else known if isinstance(known, float) else None
    if length is not None and length <= 0:
        faults.append(Fault(f"{flag}stroke", "this is not above zero", "Write for example 140 mm."))
    if full is None:
        offset = _length(zero, f"{flag}zero", faults) if zero else 0.0
        return Sensor(options[end], options["unit"], offset or 0.0, None, length)
    if zero is None:
        faults.append(Fault(f"{flag}zero", f"{flag}full needs it", "Give what it reads at full extension."))
    at_zero, at_full = _length(zero or "0", f"{flag}zero", faults, ""), _length(full, f"{flag}full", faults, "")
    return Sensor(options[end], None, 0.0, (at_zero or 0.0, at_full or 0.0), length)


def _length(typed: str, flag: str, faults: list[Fault], unit: str = "mm") -> float | None:
    try:
        return to_si(typed, unit)
    except UnitProblem as problem:
        faults.append(Fault(flag, problem.problem, problem.mend))
        return None
