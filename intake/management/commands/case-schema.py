"""Print the JSON Schema of a case document."""
from __future__ import annotations

import json
from typing import Any

from django.core.management.base import BaseCommand

from analysis.schema import case_schema


class Command(BaseCommand):
    help = "Print the JSON Schema (2020-12) of a case document. Needs no database."
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the schema to standard output."""
        self.stdout.write(json.dumps(case_schema(), indent=2, ensure_ascii=False))
