"""Assess one case document from a file: no database, no server."""
from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

import numpy as np
from django.core.management.base import BaseCommand

from analysis import Case, CaseFaults, analyse, parse_case
from analysis.document import read_json
from reports.terminal import summary

SEED = 20240229
"""The random numbers' default start: the same document gives the same findings."""


class Command(BaseCommand):
    help = "Assess a case document and print what was found. Needs no database."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare what can be given."""
        parser.add_argument("case", metavar="CASE.json", help="the case document; - reads it from standard input")
        parser.add_argument("--json", action="store_true", help="print the findings as JSON and nothing else")
        parser.add_argument("--pdf", metavar="FILE", help="also write the report to FILE")
        parser.add_argument("--seed", type=int, default=SEED, help="start of the random numbers (default: %(default)s)")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the findings; a document that cannot be read ends with status 2 and every fault on standard error."""
        case, title = self._case(options["case"])
        if options["seed"] < 0:
            self._give_up("--seed must be 0 or more")
        findings = analyse(case, np.random.default_rng(options["seed"])).as_document()
        if options["pdf"]:
            self._write_report(Path(options["pdf"]), findings, case, title)
        if options["json"]:
            self._say(json.dumps(findings, indent=2, ensure_ascii=False, allow_nan=False))
        else:
            self._say(summary(findings, title))

    def _case(self, name: str) -> tuple[Case, str]:
        try:
            document = read_json(sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes())
            return parse_case(document), str(document.get("title") or "") if isinstance(document, dict) else ""
        except OSError as error:
            self._give_up(f"Cannot read {name}: {(error.strerror or str(error)).lower()}")
        except CaseFaults as bad:
            faults = [f"{fault.path or 'the document'}: {fault.problem}. {fault.mend}" for fault in bad.faults]
            count = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
            self._give_up("\n".join([f"{name} has {count}:", *faults]))

    def _write_report(self, path: Path, findings: dict[str, Any], case: Case, title: str) -> None:
        from reports.figures import figures  # here: drawing takes a second to load, and most runs draw nothing
        from reports.pdf import report_pdf
        from reports.wording import letter_text

        head = {"title": title}
        try:
            path.write_bytes(report_pdf(letter_text(findings, head, case), findings, figures(findings), head))
        except OSError as error:
            self._give_up(f"Cannot write {path}: {(error.strerror or str(error)).lower()}")

    def _give_up(self, words: str) -> NoReturn:
        self.stderr.write(words)
        raise SystemExit(2)

    def _say(self, words: str) -> None:
        """Print ``words``, with "?" for what the terminal's encoding does not have."""
        encoding = getattr(self.stdout, "encoding", None) or "utf-8"
        self.stdout.write(words.encode(encoding, "replace").decode(encoding))
