"""Saving what a person typed: merged by path, never lost."""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from copy import deepcopy
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from analysis.catalogue import QUESTIONS
from intake.errors import Refused
from intake.events import ANSWERS_SAVED, CHANGES_SAID, RIDER, record_event
from intake.models import Case, Event, Round
from intake.paths import Changes, answers_of, at_path, is_blank, put, same, storable
from intake.states import OPEN_FOR_ANSWERS, open_round

TRIES = 20
"""How often a save starts again because another device was quicker."""
EXTRAS = frozenset({"title", "notes"})


def save_answers(*, round: Round, answers: Mapping[str, Any], revision: int | None = None, who: str = RIDER) -> Round:
    """Merge answers, as typed and by path, into an open round, and return the round as it is now.

    A blank answer takes the old one away; ``None`` or ``{"known": "unknown"}`` says "asked, not known".  Faulty
    values are kept too: they stop the hand-in, not the saving.

    ``revision`` is the one the person's page was made from.  Where the round has moved on since then:

    - answers to different questions both stay;
    - an answer that this page shows unchanged does not undo a newer one from another device;
    - where both devices changed the same answer, the one saved last stands, and the one it replaced is kept in the
      diary; ``replaced_answers`` tells the page, so that the person can look again.

    So nothing typed is lost, and nobody in a cold garage is asked to type a page twice.

    Raises ``Refused`` where the round is handed in, the case has ended, or a path is not a question; and for an answer
    that is too long to keep, after all the others are saved.
    """
    _only_questions(answers)
    clean, refused = _storable_ones(answers)
    saved = _saved(round, clean, revision, who)
    if refused is not None:
        raise Refused(refused.problem, _("%(mend)s Everything else on the page is saved.") % {"mend": refused.mend})
    return saved


class Clash(Exception):
    """Answers that waited on a phone meet newer ones: ``paths``, as ``round`` stands now.  Nothing was saved."""

    def __init__(self, round: Round, paths: tuple[str, ...]) -> None:
        super().__init__(", ".join(paths))
        self.round = round
        self.paths = paths


def save_kept_answers(*, round: Round, answers: Mapping[str, Any], revision: int, who: str = RIDER) -> Round:
    """Save one page that waited on a phone without a signal, whole or not at all.

    Hours may lie between typing and sending, so the newest does not simply win here: where another device changed an
    answer after ``revision`` and both differ, ``Clash`` is raised and the person picks.  Sending the same page twice
    changes nothing.

    Raises ``Refused`` as ``save_answers`` does; for an answer that is too long to keep, before anything is saved.
    """
    _only_questions(answers)
    clean, refused = _storable_ones(answers)
    if refused is not None:
        raise refused
    for _try in range(TRIES):
        fresh = _open_round(round)
        newer = _changed_since(fresh, revision)
        mine = {path: raw for path, raw in clean.items() if path not in newer or not _unchanged(newer[path], raw)}
        clashing = tuple(path for path in mine if path in newer and _differs(fresh.document, path, mine[path]))
        if clashing:
            raise Clash(fresh, clashing)
        document = deepcopy(fresh.document)
        changes: Changes = {}
        for path, raw in mine.items():
            put(document, path, raw, changes)
        if not changes or _written(fresh, document, changes, [], who):
            return fresh
    raise Refused(_("Someone else is saving this case over and over."), _("Wait a moment and save again."))


def _differs(document: Any, path: str, raw: Any) -> bool:
    there, now = at_path(document, path)
    return there if is_blank(raw) else not (there and same(now, raw))


def _saved(round: Round, answers: Mapping[str, Any], revision: int | None, who: str) -> Round:
    for _try in range(TRIES):
        fresh = _open_round(round)
        document = deepcopy(fresh.document)
        changes, replaced = _merge(fresh, document, answers, revision)
        if not changes or _written(fresh, document, changes, replaced, who):
            return fresh
    raise Refused(_("Someone else is saving this case over and over."), _("Wait a moment and save again."))


def _storable_ones(answers: Mapping[str, Any]) -> tuple[dict[str, Any], Refused | None]:
    """Return the answers that can be kept, and what is said about the last one that cannot."""
    clean, refused = {}, None
    for path, raw in answers.items():
        try:
            clean[path] = storable(raw)
        except Refused as caught:
            refused = caught
    return clean, refused


def replace_document(*, round: Round, document: Mapping[str, Any], who: str) -> Round:
    """Put a whole document in the place of the round's own.  What stood there is kept in the diary."""
    clean = storable(document)
    for _try in range(TRIES):
        fresh = _open_round(round)
        if same(fresh.document, clean) or _written(fresh, clean, _difference(fresh.document, clean), [], who):
            return fresh
    raise Refused(_("Someone else is saving this case over and over."), _("Wait a moment and send it again."))


def save_changes(*, round: Round, words: str | None, done: str | None = None, who: str = RIDER) -> Round:
    """Keep what was really changed on the bike since the last letter, in the person's words.

    ``done`` is one of ``Round.Done`` or blank; where either is None, what stands there stays.
    """
    fresh = _open_round(round)
    words = fresh.changes if words is None else storable(words).strip()
    done = done if done in ("", *Round.Done.values) else fresh.done
    if (words, done) == (fresh.changes, fresh.done):
        return fresh
    with transaction.atomic():
        if not open_round(fresh).filter(revision=fresh.revision).update(
                changes=words, done=done, revision=fresh.revision + 1):
            raise Refused(_("The case was saved elsewhere at the same time."), _("Save again."))
        detail = {"round": fresh.number, "revision": fresh.revision + 1, "was": fresh.changes, "now": words,
                  "done": done}
        record_event(case=fresh.case, who=who, what=CHANGES_SAID, detail=detail)
    fresh.refresh_from_db()
    return fresh


def replaced_answers(*, round: Round) -> dict[str, dict[str, Any]]:
    """Return the answers of another device that the last save replaced: by path, ``was`` and ``now``."""
    last = _saves_since(round, round.revision - 1).last()
    if last is None:
        return {}
    return {path: last.detail["changes"][path] for path in last.detail["replaced"]}


def _only_questions(answers: Iterable[str]) -> None:
    strange = sorted(path for path in answers if path not in QUESTIONS and path not in EXTRAS)
    if strange:
        raise Refused(_("There is no question '%(path)s'.") % {"path": strange[0][:80]},
                      _("Open the page again and answer what it asks."))


def _open_round(round: Round) -> Round:
    fresh = Round.objects.select_related("case").get(pk=round.pk)
    if fresh.case.state not in OPEN_FOR_ANSWERS:
        raise Refused(
            _("The case is %(state)s, so its answers can no longer be changed.") % {
                "state": fresh.case.get_state_display()},
            _("Write to your tuner if something is wrong or missing: they can ask for it, and the page opens again.")
            if fresh.case.state not in (Case.State.CLOSED, Case.State.WITHDRAWN) else _("Start a new case."))
    if fresh.handed_in_at is not None:
        raise Refused(_("Round %(number)d is handed in, so its answers can no longer be changed.") % {
            "number": fresh.number}, _("Open the case's newest round."))
    return fresh


def _merge(
    fresh: Round, document: dict[str, Any], answers: Mapping[str, Any], revision: int | None,
) -> tuple[Changes, list[str]]:
    newer = {} if revision is None else _changed_since(fresh, revision)
    changes: Changes = {}
    for path, raw in answers.items():
        if path not in newer or not _unchanged(newer[path], raw):
            put(document, path, raw, changes)
    return changes, [path for path in changes if path in newer]


def _unchanged(change: dict[str, Any], raw: object) -> bool:
    """Tell whether ``raw`` is what the page showed before another device changed it."""
    if "was" not in change:
        return is_blank(raw)
    return same(change["was"], raw)


def _saves_since(round: Round, revision: int) -> QuerySet[Event]:
    return Event.objects.filter(
        case=round.case_id, what=ANSWERS_SAVED, detail__round=round.number, detail__revision__gt=revision,
    ).order_by("id")


def _changed_since(fresh: Round, revision: int) -> Changes:
    """Return, by path, the first change after ``revision``: its ``was`` is what the person's page showed."""
    if revision >= fresh.revision:
        return {}
    found: Changes = {}
    for event in _saves_since(fresh, revision):
        found = event.detail["changes"] | found
    return found


def _written(fresh: Round, document: Any, changes: Changes, replaced: list[str], who: str) -> bool:
    """Write by conditional UPDATE: false means that another save or the hand-in came first."""
    with transaction.atomic():
        if not open_round(fresh).filter(revision=fresh.revision).update(document=document, revision=fresh.revision + 1):
            return False
        detail = {"round": fresh.number, "revision": fresh.revision + 1, "changes": changes, "replaced": replaced}
        record_event(case=fresh.case, who=who, what=ANSWERS_SAVED, detail=detail)
    fresh.refresh_from_db()
    return True


def _difference(old: Any, new: Any) -> Changes:
    before, after = answers_of(old), answers_of(new)
    changes: Changes = {}
    for path in before.keys() | after.keys():
        if path not in before or path not in after or not same(before[path], after[path]):
            changes[path] = ({"was": before[path]} if path in before else {}) | (
                {"now": after[path]} if path in after else {})
    return changes
