"""From a handed-in round to its draft: claimed by lease, computed outside any transaction, stored in one."""
from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from datetime import timedelta
from functools import partial
from typing import Any

import numpy as np
from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone
from django.utils.translation import override

from analysis import ENGINE_VERSION, analyse, parse_case
from analysis.chosen import read_chosen
from intake.danger_words import spoken_of
from intake.errors import Refused
from intake.events import WORKER, record_event
from intake.models import Case, Round, WorkOrder
from intake.services import record_assessment
from intake.signals import work_waiting
from intake.states import hold
from reports.figures import figures
from reports.likeness import note_figures
from reports.models import BaseRates, Draft
from reports.own_hand import Hand, engines_verdict, hand_of
from reports.services.base_rates import rates_for
from reports.services.edge import claim_name, guarded, lease_end
from reports.services.letters import letter_head
from reports.services.versions import place_draft
from reports.sheet_under import lay_under
from reports.tried import try_numbers
from reports.wording import joined, letter_blocks

MAX_ATTEMPTS = 3
NAMED = 2
"""So many missing answers stand in a queue row by name."""
REST = timedelta(seconds=30)
"""Between a failed attempt and the next; grows with each attempt."""
State = WorkOrder.State


@dataclass(frozen=True)
class Claim:
    """One worker's hold on one order.  Everything written under it is conditional on it."""

    order_id: int
    round_id: int
    revision: int
    attempts: int
    by: str

    def held(self) -> QuerySet[WorkOrder]:
        """Return the order as a query that is empty once somebody else holds it or the answers were reopened."""
        return WorkOrder.objects.filter(pk=self.order_id, state=State.CLAIMED, claimed_by=self.by,
                                        revision=self.revision)


@dataclass(frozen=True)
class Drafted:
    """What the engine and the writers made of one round."""

    engine_version: str
    findings: dict[str, Any]
    figures: list[dict[str, Any]]
    letter_text: str
    language: str = "en"
    english_text: str = ""
    start: dict[str, Any] = field(default_factory=dict)
    blocks: list[dict[str, Any]] = field(default_factory=list)
    rates: BaseRates | None = None


def draft_round(*, order_id: int, worker: str) -> Draft | None:
    """Claim the order, draft its round and store the result; None where there was nothing to do or it failed.

    Safe to call any number of times, by any number of workers at once: one claim wins, and a result is stored only
    while its claim still holds.  A failure is written into the order; the third one parks it.
    """
    claim = _claim(order_id, worker)
    if claim is None:
        return None
    return guarded(partial(_draft, claim), on_failure=partial(_record_failure, claim))


def _claim(order_id: int, worker: str) -> Claim | None:
    name = claim_name(worker)
    # A conditional UPDATE and its row count: SQLite silently ignores SELECT ... FOR UPDATE SKIP LOCKED.
    claimed = WorkOrder.objects.filter(
        Q(state=State.WAITING) | Q(state=State.CLAIMED, claimed_until__lt=timezone.now()),
        pk=order_id, attempts__lt=MAX_ATTEMPTS,
    ).update(state=State.CLAIMED, claimed_by=name, claimed_until=lease_end(), attempts=F("attempts") + 1)
    order = WorkOrder.objects.filter(pk=order_id, claimed_by=name).first() if claimed else None
    return order and Claim(order.pk, order.round_id, order.revision, order.attempts, name)


def _draft(claim: Claim) -> Draft | None:
    round = Round.objects.select_related("case").get(pk=claim.round_id)
    if not _still_wanted(claim, round):
        claim.held().update(state=State.DONE, done_at=timezone.now(), claimed_until=None,
                            reason="No longer wanted: the answers were opened again or the case was withdrawn.")
        return None
    return _store(claim, round, compute(round), hand_of(round))


def _still_wanted(claim: Claim, round: Round) -> bool:
    handed_in = round.handed_in_at is not None and round.revision == claim.revision
    return handed_in and round.case.state != Case.State.WITHDRAWN


def compute(round: Round) -> Drafted:
    """Run the engine over the round's answers, draw the figures and write the letter.  Touches no row."""
    under, hand = lay_under(round), hand_of(round)
    case = parse_case(under.document)
    rates = rates_for(round=round)
    findings = analyse(case, random_numbers(round), read_chosen(hand.chosen), hand.cause,
                       rates.rates if rates else None, under.stock()).as_document() | under.told()
    language = round.case.language
    with override("en"):
        english = letter_blocks(findings, letter_head(round), case) if language != "en" else []
    with override(language):
        blocks = beside(letter_blocks(findings, letter_head(round), case), english)
        return Drafted(ENGINE_VERSION, findings, figures(findings), joined(block["text"] for block in blocks), language,
                       joined(block["text"] for block in english) if english else "",
                       try_numbers(under.document, findings, hand.chosen)["numbers"], blocks, rates)


def beside(blocks: list[dict[str, Any]], english: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the blocks, each with the ``english`` words of the block of its name."""
    words = {block["name"]: block["text"] for block in english}
    return [{**block, "english": words.get(block["name"], "")} for block in blocks]


def random_numbers(round: Round) -> np.random.Generator:
    """Return the random numbers of this round and revision: the same ones whenever it is drafted again."""
    digest = hashlib.sha256(f"round {round.pk} revision {round.revision}".encode()).digest()
    return np.random.default_rng(int.from_bytes(digest[:16], "big"))


@transaction.atomic
def _store(claim: Claim, round: Round, drafted: Drafted, hand: Hand) -> Draft | None:
    hold(round.case)  # case before order, as at the hand-in, or the two could wait for each other
    done = claim.held().filter(round__in=Round.objects.filter(revision=claim.revision)).update(
        state=State.DONE, done_at=timezone.now(), claimed_until=None, reason="")
    if not done:
        return None  # the lease ran out and another worker has the order, or the answers have moved on
    draft, _ = Draft.objects.get_or_create(
        round=round, revision=claim.revision, engine_version=drafted.engine_version, making=hand.making,
        defaults={"rates": drafted.rates, "start": drafted.start, "numbers": hand.numbers, "judgement": hand.judgement,
                  "findings": drafted.findings, "figures": drafted.figures, "letter_text": drafted.letter_text,
                  "language": drafted.language, "english_text": drafted.english_text, "blocks": drafted.blocks})
    place_draft(draft=draft)
    order = WorkOrder.objects.select_related("round__case").get(pk=claim.order_id)
    note_figures(case=round.case, findings=draft.findings, document=lay_under(round).document)
    record_assessment(order=order, summary=summary_of(draft.findings) | hand.summary() | _spoken(round),
                      stop=bool(draft.findings["stop_riding"]))
    return draft


def _spoken(round: Round) -> dict[str, Any]:
    """Return the dangers that the rider's own words speak of, by name: a tuner must see them before opening a case."""
    names = [one.name for one in spoken_of(round)]
    return {"spoken": names} if names else {}


def summary_of(findings: dict[str, Any]) -> dict[str, Any]:
    """Return what one queue row shows of ``findings``."""
    verdict, causes, test = engines_verdict(findings), findings["causes"], findings["next_test"]
    first, second = (causes + [{}, {}])[:2]
    return {
        "verdict": verdict["words"], "kind": verdict["kind"],
        "cause": first.get("title"), "probability": first.get("probability"), "second": second.get("title"),
        "missing": len(findings["missing"]),
        "lacks": list(dict.fromkeys(one["title"] for one in findings["missing"]))[:NAMED],
        "disagreements": len(findings["disagreements"]),
        "marks": findings["marks"], "next_test": test and test["title"],
    }


def _record_failure(claim: Claim, words: str) -> None:
    if claim.attempts >= MAX_ATTEMPTS:
        park(orders=claim.held(), reason=words)
    else:
        # Still waiting, and not at once: what failed now fails again now.  The sweep rings when the rest is over.
        claim.held().update(state=State.WAITING, claimed_by="", reason=words,
                            claimed_until=timezone.now() + REST * claim.attempts)


@transaction.atomic
def park(*, orders: QuerySet[WorkOrder], reason: str) -> None:
    """Put the one order that ``orders`` selects aside for a person, with its reason; nothing where it selects none."""
    case = Case.objects.filter(rounds__work_order__in=orders).first()
    if case and orders.update(state=State.PARKED, claimed_until=None, reason=reason):
        record_event(case=case, who=WORKER, what="Could not be drafted; put aside.", detail={"reason": reason})


@transaction.atomic
def try_again(*, order: WorkOrder, user: AbstractBaseUser) -> None:
    """Let the worker have another go at a parked order."""
    back = WorkOrder.objects.filter(pk=order.pk, state=State.PARKED).update(
        state=State.WAITING, attempts=0, claimed_by="", claimed_until=None)
    if not back:
        raise Refused("This case is not put aside.", "Reload the page: it is waiting for its draft or has one already.")
    record_event(case=order.round.case, who=user.get_username(), what="Another try at the draft.", user=user)
    transaction.on_commit(lambda: work_waiting.send(sender=WorkOrder, order_id=order.pk), robust=True)


def draft_again(*, round: Round) -> None:
    """Give the round's work back to the workers, where it is handed in; whoever drafts it now loses the claim."""
    order = WorkOrder.objects.filter(round=round, revision=round.revision, round__handed_in_at__isnull=False).first()
    if order is None:
        return
    WorkOrder.objects.filter(pk=order.pk).update(state=State.WAITING, attempts=0, claimed_by="", claimed_until=None,
                                                 reason="", done_at=None)
    transaction.on_commit(lambda: work_waiting.send(sender=WorkOrder, order_id=order.pk), robust=True)
