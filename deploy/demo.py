"""The demo cases: handed in through the same services as any other, so that the worker really drafts them."""
from __future__ import annotations

import json
import time
from collections.abc import Sequence
from typing import Any

from django.conf import settings

from deploy.demo_closed import closed_documents
from intake import services
from intake.events import RIDER
from intake.models import Case, Round, WorkOrder
from intake.paths import answers_of

FOLDER = settings.BASE_DIR / "fixtures" / "demo"
PATIENCE = 90.0
DONE = (WorkOrder.State.DONE, WorkOrder.State.PARKED)


def documents() -> dict[str, dict[str, Any]]:
    """Return the demo documents by their file's name."""
    return {path.stem: json.loads(path.read_text()) for path in sorted(FOLDER.glob("*.json"))}


def every_document() -> dict[str, dict[str, Any]]:
    """Return the demo documents, and those of the cases that are closed once they are drafted."""
    told = documents()
    return told | closed_documents(told)


def real_cases_are_there() -> bool:
    """Return whether the database holds any case that is not a demo's."""
    return Case.objects.exclude(title__in={document["title"] for document in every_document().values()}).exists()


def load() -> list[Case]:
    """Hand in the demo cases that are not there yet.

    A database that holds any other case is left alone: demo cases have no business among real ones.
    """
    wanted = every_document()
    if real_cases_are_there():
        return []
    there = set(Case.objects.values_list("title", flat=True))
    return [hand_in(name, document) for name, document in wanted.items() if document["title"] not in there]


def hand_in(name: str, document: dict[str, Any]) -> Case:
    """Start a case for a demo rider, answer its questions and hand it in."""
    case = services.start_case(rider_email=f"{name}@example.org", title=document["title"])
    round = case.current_round
    answer(round, document)
    services.hand_in(round=round, who=RIDER)
    return case


def answer(round: Round, document: dict[str, Any]) -> None:
    """Save a document's answers, as somebody would who fills in the form."""
    answers = {path: raw for path, raw in answers_of(document).items() if path != "schema"}
    services.save_answers(round=round, answers=answers)


def wait_until_drafted(cases: Sequence[Case]) -> tuple[float, int]:
    """Wait for the worker; return the seconds it took and how many cases are still without a draft."""
    start = time.monotonic()
    while (left := _waiting(cases)) and time.monotonic() - start < PATIENCE:
        time.sleep(0.05)
    return time.monotonic() - start, left


def _waiting(cases: Sequence[Case]) -> int:
    return WorkOrder.objects.filter(round__case__in=cases).exclude(state__in=DONE).count()
