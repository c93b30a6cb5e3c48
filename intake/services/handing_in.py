"""Handing in a round: checked, frozen and put to work in one transaction, once."""
from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from analysis.catalogue import SECTIONS
from analysis.document import CaseFaults, Fault, parse_case
from intake.errors import Refused
from intake.events import record_event
from intake.models import Case, Round, Shop, WorkOrder
from intake.paths import at_path, is_blank, storable
from intake.search import note_words
from intake.services.answers import TRIES, replace_document
from intake.services.starting import start_case
from intake.signals import work_waiting
from intake.states import ENDED, move

LONGEST_JOB = 40
SAFETY_PATHS = tuple(path for section in SECTIONS if section.name == "safety"
                     for question in section.questions for path in question.paths())


def hand_in(*, round: Round, who: str, revision: int | None = None, since: str = "") -> WorkOrder:
    """Freeze the round, write its work order and ring the worker's bell after the commit; return the order.

    A doubled click, or two devices at once, get the same order and nothing happens twice: the state moves by a
    conditional UPDATE, and only the call that moved it goes on.  A round that was opened again for an answer gets a
    higher revision, so that its old draft is stale.  Unanswered safety questions do not stop the hand-in; they are
    noted in the diary.

    ``revision`` of the answers and ``since`` (when the case came into its state) are those of the page: a click that
    arrives late, after a tuner asked something or another device changed an answer, must not hand in what nobody has
    looked at.

    Raises ``analysis.CaseFaults`` with every fault of the document, and ``Refused`` where the case has ended or the
    page is older than the answers.
    """
    for _try in range(TRIES):
        fresh = Round.objects.select_related("case").get(pk=round.pk)
        known = WorkOrder.objects.filter(round=fresh).first() if fresh.handed_in_at else None
        if known is not None:
            return known
        if fresh.case.state in ENDED:  # it may have been handed in before, but its work was called off
            raise Refused(_("The case is %(state)s.") % {"state": fresh.case.get_state_display()},
                          _("Start a new case."))
        _still_as_seen(fresh, revision, since)
        check_document(fresh.document)
        order = _handed_in(fresh, who)
        if order is not None:
            return order
    raise Refused(_("The answers keep changing while you hand them in."), _("Wait a moment and hand them in again."))


def _still_as_seen(fresh: Round, revision: int | None, since: str) -> None:
    if since and since != fresh.case.state_since.isoformat() and fresh.case.state == Case.State.NEEDS_ANSWER:
        raise Refused(_("Your tuner has asked you something since you opened this page."),
                      _("Answer the question first, then hand in again."))
    if revision is not None and revision != fresh.revision:
        raise Refused(_("An answer was changed since you opened this page, perhaps on another device."),
                      _("Look the answers over once more, then hand in."))


def hand_in_job(
    *, shop: Shop, job: str, document: Mapping[str, Any], rider_email: str = "", rider_name: str = "",
    hand_in_now: bool = True,
) -> tuple[Case, bool]:
    """Hand in a shop's job whole, and return the case and whether it is new.

    Without ``hand_in_now`` its answers are checked all the same, and the case waits, open for photos; the same job sent
    again to be handed in does that.

    The same job with the same content is the same case, however often and however much at once it is sent; the
    unique constraint decides between two at the same moment.  Raises ``Refused`` where the job was handed in with
    other content, and ``analysis.CaseFaults`` for a bad document; then nothing is stored.
    """
    job, who = _checked_job(job), f"shop: {shop}"
    content = content_hash(document=document, rider_email=rider_email, rider_name=rider_name)
    known = _known_job(shop, job, content)
    if known is not None:
        return _no_longer_open(known, who) if hand_in_now else known, False
    try:
        with transaction.atomic():
            case = start_case(rider_email=rider_email, rider_name=rider_name, shop=shop, shop_job=job)
            Case.objects.filter(pk=case.pk).update(shop_content=content)
            round = replace_document(round=case.current_round, document=document, who=who)
            if hand_in_now:
                hand_in(round=round, who=who)
            else:
                check_document(round.document)
    except IntegrityError:
        known = _known_job(shop, job, content)
        if known is None:
            raise
        return _no_longer_open(known, who) if hand_in_now else known, False
    case.refresh_from_db()
    return case, True


def _no_longer_open(case: Case, who: str) -> Case:
    """Hand a job in that was kept open for its photos; a later round has a hand-in of its own."""
    newest = case.current_round
    if case.state == Case.State.COLLECTING and newest.number == 1:
        hand_in(round=newest, who=who)
        case.refresh_from_db()
    return case


def check_document(document: Any) -> None:
    """Raise ``analysis.CaseFaults`` with every fault, one for a missing complaint included."""
    faults: tuple[Fault, ...] = ()
    try:
        parse_case(document)
    except CaseFaults as caught:
        faults = caught.faults
    if not (_told(document, "complaint.words") or _told(document, "complaint.symptoms")):
        faults += (Fault("complaint.words", _("Nothing says what the bike does or does not do."),
                         _("Write a few words, or pick what fits from the list.")),)
    if faults:
        raise CaseFaults(faults)


def _handed_in(fresh: Round, who: str) -> WorkOrder | None:
    """Do the hand-in in one transaction; None where something else came first."""
    with transaction.atomic():
        if not move(fresh.case, Case.State.HANDED_IN, question="", question_path="", asked={}):
            return None
        before = WorkOrder.objects.filter(round=fresh).first()
        revision = fresh.revision + 1 if before and before.revision == fresh.revision else fresh.revision
        frozen = Round.objects.filter(pk=fresh.pk, revision=fresh.revision, handed_in_at__isnull=True)
        if not frozen.update(handed_in_at=timezone.now(), revision=revision):
            transaction.set_rollback(True)  # a save slipped in between: check what it wrote and try again
            return None
        order = _work_order(fresh, revision)
        _name(fresh)
        note_words(case=fresh.case)
        record_event(case=fresh.case, who=who, what="Handed in.", detail={
            "round": fresh.number, "revision": revision, "safety_unanswered": _safety_unanswered(fresh.document)})
        transaction.on_commit(lambda: work_waiting.send(sender=WorkOrder, order_id=order.pk), robust=True)
    fresh.refresh_from_db()
    return order  # not read again: a tuner's question may have called it off by now


def _work_order(fresh: Round, revision: int) -> WorkOrder:
    """Write the order anew: whoever still works at an older revision finds the claim gone."""
    order, _made = WorkOrder.objects.update_or_create(round=fresh, defaults=dict(
        revision=revision, state=WorkOrder.State.WAITING, claimed_by="", claimed_until=None, attempts=0, reason="",
        done_at=None))
    return order


def _name(fresh: Round) -> None:
    """Give the case a title from the person's own words where it has none yet."""
    if fresh.case.title:
        return
    words = [_said(fresh.document, path) for path in ("bike.description", "complaint.words")]
    title = _said(fresh.document, "title") or ": ".join(word for word in words if word)
    Case.objects.filter(pk=fresh.case_id).update(title=title[:160])


def _told(document: Any, path: str) -> Any:
    """Return the bare answer at ``path``; None where there is none."""
    raw = at_path(document, path)[1]
    value = raw.get("value") if isinstance(raw, dict) else raw
    return None if is_blank(value) else value


def _said(document: Any, path: str) -> str:
    value = _told(document, path)
    return " ".join(value.split()) if isinstance(value, str) else ""


def _safety_unanswered(document: Any) -> list[str]:
    return [path for path in SAFETY_PATHS if not at_path(document, path)[0]]


def _checked_job(job: str) -> str:
    job = storable(job).strip()
    if not job or len(job) > LONGEST_JOB:
        raise Refused("The job number is empty." if not job else f"The job number is longer than {LONGEST_JOB} signs.",
                      f"Send your own number of the job, 1 to {LONGEST_JOB} signs.")
    return job


def content_hash(**content: Any) -> str:
    """Return what tells a repeated hand-in from one with other content."""
    return hashlib.sha256(json.dumps(storable(content), sort_keys=True).encode()).hexdigest()


def _known_job(shop: Shop, job: str, content: str) -> Case | None:
    case = Case.objects.filter(shop=shop, shop_job=job).first()
    if case is not None and case.shop_content != content:
        raise JobKnown(case)
    return case


class JobKnown(Refused):
    """The shop has handed in this job before, with other content."""

    def __init__(self, case: Case) -> None:
        super().__init__(
            f"Job {case.shop_job} was handed in before with other content; it is case {case.number}.",
            f"Send a new job number for another bike or complaint. To correct case {case.number}, wait until its state "
            f"is 'needs an answer' or 'collecting', then PUT the whole document to /api/cases/{case.number}/document/.")
        self.case = case
