"""Print the JSON Schema of a case document, or of the findings that come of one."""
from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from analysis.findings_schema import findings_schema
from analysis.schema import case_schema

SCHEMAS = {"case": case_schema, "findings": findings_schema}


class Command(BaseCommand):
    help = "Print the JSON Schema (2020-12) of a case document or of findings. Needs no database."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare what can be given."""
        parser.add_argument("document", nargs="?", choices=SCHEMAS, default="case",
                            help="which document's schema (default: %(default)s)")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the schema to standard output."""
        self.stdout.write(json.dumps(SCHEMAS[options["document"]](), indent=2, ensure_ascii=False))
