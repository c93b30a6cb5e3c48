"""Read a logger's recording of fork and shock: no database, no server."""
from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

import numpy as np
from django.core.management.base import BaseCommand

from analysis import Case, CaseFaults, analyse, parse_case
from analysis.csv_rows import LogFaults
from analysis.document import read_json
from analysis.travel_part import travel_log_part
from reports.terminal_log import travel_summary
from reports.travel_mapping import NEAR, read_mapping

SEED = 20240229
_ENDS = {"front": "", "rear": "rear-"}
NAMES = {"time": "--time", "near": "--near", **{end: f"--{end}" for end in _ENDS},
         **{f"{end}_{part}": f"--{prefix}{part}" for end, prefix in _ENDS.items()
            for part in ("zero", "full", "stroke")}}


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
        parser.add_argument("--near", metavar="LENGTH", default=NEAR,
                            help="what is near an end (default: %(default)s)")
        parser.add_argument("--case", metavar="CASE.json", help="the case, for its strokes and predicted stops")
        parser.add_argument("--json", action="store_true", help="print the results as JSON and nothing else")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print what the log says; what cannot be read ends with status 2 and every fault on standard error."""
        case = self._case(options["case"]) if options["case"] else None
        try:
            mapped = read_mapping(options, case, NAMES)
        except LogFaults as bad:
            self._refuse("the options have", bad.faults)
        findings = None if case is None else analyse(case, np.random.default_rng(SEED)).as_document()
        try:
            part = travel_log_part(self._read(options["log"]), mapped.time, mapped.sensors, findings, mapped.near)
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
