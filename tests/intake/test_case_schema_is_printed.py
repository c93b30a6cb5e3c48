"""``manage.py case-schema`` prints the schema and nothing else, and asks for no database."""
from __future__ import annotations

import json
from io import StringIO

from django.core.management import call_command

from analysis.schema import case_schema


def test_the_command_prints_the_schema_without_a_database() -> None:
    # The test has no database mark: any query would fail it.
    out = StringIO()
    call_command("case-schema", stdout=out)
    assert json.loads(out.getvalue()) == case_schema()
