"""``manage.py case-schema`` prints a document's schema and nothing else, and asks for no database."""
from __future__ import annotations

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from analysis.findings_schema import findings_schema
from analysis.schema import case_schema


def test_the_command_prints_the_schema_without_a_database() -> None:
    # The test has no database mark: any query would fail it.
    out = StringIO()
    call_command("case-schema", stdout=out)
    assert json.loads(out.getvalue()) == case_schema()


def test_the_findings_schema_is_printed_when_asked_for() -> None:
    out = StringIO()
    call_command("case-schema", "findings", stdout=out)
    assert json.loads(out.getvalue()) == findings_schema()


def test_a_document_that_there_is_not_is_refused() -> None:
    with pytest.raises(CommandError, match="letter"):
        call_command("case-schema", "letter")
