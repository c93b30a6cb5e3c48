"""The sweep ties diary and reads into a chain; whoever changes, adds or takes away a row is found out, row by row."""
from __future__ import annotations

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from intake import sealing, services
from intake.models import Case, Erased, Event, Read, Seal
from intake.sealing import SETTLED, broken_links, newest_hash, seal_trail
from reports.sweeper import sweep

pytestmark = pytest.mark.django_db


def settle():
    before = timezone.now() - 2 * SETTLED
    Event.objects.update(at=before)
    Read.objects.update(at=before)
    Erased.objects.update(erased_at=before)


@pytest.fixture
def case() -> Case:
    case = services.start_case(rider_name="Rider", rider_email="rider@riders.example")
    for what in ("One.", "Two.", "Never committed.", "Three."):
        services.record_event(case=case, who="tuner", what=what, detail={"a": 1.0})
    Event.objects.filter(what="Never committed.").delete()
    Read.objects.create(case=case, user_id=1, what="desk-case")
    settle()
    seal_trail()
    return case


def audit(*more) -> str:
    said = StringIO()
    call_command("audit", "--check", *more, stdout=said)
    return said.getvalue()


def test_the_sweep_seals_what_is_settled_and_nothing_twice(case):
    young = services.record_event(case=case, who="tuner", what="Now.")
    for _ in range(2):
        sweep()
    assert young.pk not in [row for seal in Seal.objects.filter(kind="event") for row, *_ in seal.digests]
    Event.objects.filter(pk=young.pk).update(at=timezone.now() - 2 * SETTLED)
    sweep()
    assert Seal.objects.filter(kind="event").count() == 2 and "all whole" in audit()


@pytest.mark.parametrize("harm, fault", [
    (lambda row: Event.objects.filter(pk=row.pk).update(what="Another."), "row {} was changed"),
    (lambda row: Event.objects.filter(pk=row.pk).update(at=row.at + timedelta(seconds=1)), "row {} was changed"),
    (lambda row: Event.objects.filter(pk=row.pk).delete(), "row {} was taken away")])
def test_a_harmed_row_is_named(case, harm, fault):
    row = Event.objects.get(what="Two.")
    harm(row)
    (found,) = broken_links()
    assert fault.format(row.pk) in found
    with pytest.raises(CommandError):
        audit()


def test_a_row_slipped_in_between_is_named(case):
    free = Event.objects.get(what="Three.").pk - 1
    Event.objects.create(pk=free, case=case, who="tuner", what="Slipped in.")
    assert [one.rpartition(": ")[2] for one in broken_links()] == [f"row {free} was added afterwards."]


def test_a_seal_changed_or_taken_away_is_named(case):
    Seal.objects.filter(kind="event").update(to_id=10**6)
    assert any("the seal itself was changed" in one for one in broken_links())
    Seal.objects.filter(kind="event").delete()
    assert any("not tied to the seal before it" in one for one in broken_links())


def test_a_chain_made_anew_does_not_hold_the_hash_that_was_kept(case):
    known = newest_hash()
    assert "all whole" in audit("--known", known)
    Event.objects.filter(what="Two.").update(what="Another.")
    Seal.objects.all().delete()
    seal_trail()
    seal_trail()
    with pytest.raises(CommandError):
        audit("--known", known)


def test_an_erased_case_leaves_the_chain_whole_and_is_named_as_erased(case):
    services.erase_case(case=case, typed=case.number)
    settle()
    seal_trail()
    said = audit()
    assert "all whole" in said and "erased cases: 0" not in said


def test_a_case_that_only_looks_erased_is_found_out(case):
    Case.objects.filter(pk=case.pk).delete()
    assert len(list(broken_links())) >= 4


def test_of_two_sweeps_at_once_one_adds_the_link(case, monkeypatch):
    services.record_event(case=case, who="tuner", what="Four.")
    Event.objects.filter(what="Four.").update(at=timezone.now() - 2 * SETTLED)
    real = sealing._digest

    def other_sweep_is_quicker(kind, row):
        monkeypatch.setattr(sealing, "_digest", real)
        seal_trail()
        return real(kind, row)

    monkeypatch.setattr(sealing, "_digest", other_sweep_is_quicker)
    seal_trail()
    assert Seal.objects.filter(kind="event").count() == 2 and "all whole" in audit()
