"""Cases on their way to a letter, for the tests of the worker, the letters and the mail."""
from __future__ import annotations

import time
from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractUser
from django.utils import timezone

from intake.models import Case, Round, Shop, WorkOrder
from intake.states import rank_anew
from reports import services
from reports.models import Draft, Letter
from reports.services import drafting, letters

WORDS = "## What we found\n\nMost likely **too much oil** in both legs.\n\n- Draw off 100 ml from each leg.\n"
PDF = b"%PDF-1.7 as approved"


def findings(**changes: Any) -> dict[str, Any]:
    """Return a small findings document with what the case file and the letter pages read."""
    return {
        "schema": 1, "engine": "1.0.0",
        "verdict": {"kind": "cause", "cause": "over-filled", "words": "Most likely too much oil.", "why_open": []},
        "causes": [{"name": "over-filled", "title": "Too much oil", "probability": 0.91, "standard_error": 0.004},
                   {"name": "coil bind", "title": "Coil bind", "probability": 0.05, "standard_error": 0.002}],
        "next_test": {"name": "oil", "title": "Oil level, leg by leg", "why": "It would settle it."},
        "missing": [{"path": "bike.mass_kg", "title": "Mass", "why": "Sag."}], "disagreements": [],
        "marks": {"stroke_mm": 140.0, "found": [], "advised": [], "measured": []},
        "stop_riding": False, "stop_reasons": [],
    } | changes


def figures() -> list[dict[str, Any]]:
    return [{"name": "force", "title": "Force against stroke", "svg": '<svg role="img" class="drawn"></svg>',
             "words": [["Usable stroke", "80 mm"]]}]


def drafted(text: str = WORDS, **changes: Any) -> drafting.Drafted:
    return drafting.Drafted("1.0.0", findings(**changes), figures(), text)


def use_fake_engine(monkeypatch: Any, text: str = WORDS, **changes: Any) -> None:
    """Let drafting take no time, and let each revision read differently."""
    monkeypatch.setattr(drafting, "compute",
                        lambda round: drafted(f"{text}\nRevision {round.revision}.\n", **changes))
    monkeypatch.setattr(letters, "print_letter", lambda letter, words, tuner: PDF)


def handed_in(*, shop: Shop | None = None, revision: int = 3, **case: Any) -> WorkOrder:
    """Return the work order of a case that was just handed in."""
    case = Case.objects.create(state=Case.State.HANDED_IN, rider_name="Rider", title="A bike that dives",
                               rider_email="rider@example.org", shop=shop, **case)
    round = Round.objects.create(case=case, number=1, document={"schema": 1}, revision=revision,
                                 handed_in_at=timezone.now())
    rank_anew(case)
    return WorkOrder.objects.create(round=round, revision=revision)


def handed_in_again(order: WorkOrder) -> WorkOrder:
    """Hand the same round in once more, with changed answers, as the case file does."""
    Round.objects.filter(pk=order.round_id).update(revision=order.revision + 1, handed_in_at=timezone.now())
    Case.objects.filter(rounds=order.round_id).update(state=Case.State.HANDED_IN)
    WorkOrder.objects.filter(pk=order.pk).update(
        revision=order.revision + 1, state=WorkOrder.State.WAITING, claimed_by="", claimed_until=None, attempts=0)
    order.refresh_from_db()
    order.round.refresh_from_db()
    return order


def tuner(name: str = "tuner") -> AbstractUser:
    return get_user_model().objects.get_or_create(username=name, defaults={"is_staff": True})[0]


def drafted_letter(order: WorkOrder | None = None) -> Letter:
    """Return a letter as the worker leaves it.  The caller has put the fake engine in place."""
    order = order or handed_in()
    draft = services.draft_round(order_id=order.pk, worker="worker-1")
    assert isinstance(draft, Draft)
    return Letter.objects.get(round=order.round_id)


def approved_letter(order: WorkOrder | None = None) -> Letter:
    letter = drafted_letter(order)
    return services.approve(letter=letter, version=letter.version, user=tuner())


def wait_for(true: Any, seconds: float = 20.0) -> None:
    """Wait until ``true()`` holds, and fail where it never does."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "It never happened."
        time.sleep(0.02)
