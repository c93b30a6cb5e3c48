"""What a case really was is a row, held against what the rider was told first; a correction takes its place."""
from __future__ import annotations

import pytest
from django.urls import reverse

from intake.errors import Refused
from intake.models import Case
from reports import services
from reports.models import Draft, Outcome, WorthOfTest
from reports.outcome_odds import base_odds, bits_by_test, brier
from tests.letter_cases import approved_letter, drafted_letter, tuner, use_fake_engine
from tests.reports.closed_cases import closed

pytestmark = pytest.mark.django_db
CAUSES = [
    {"name": "over-filled", "title": "Too much oil", "probability": 0.8, "standard_error": 0.004, "bits": [
        {"path": "bench.oil.level_mm", "moved_bits": 2.0}, {"path": "bench.push.rear_wheel", "moved_bits": 1.0}]},
    {"name": "coil bind", "title": "Coil bind", "probability": 0.2, "standard_error": 0.002, "bits": []}]


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch, causes=CAUSES, fork={"usable_stroke_mm": {"advised": 118.0}, "left": {
        "excess_oil_ml": 90.0}, "right": {"excess_oil_ml": 100.0}})


def test_the_row_holds_what_we_said_and_whether_we_were_right():
    row = closed(words="100 ml out", lesson="Measure.", measured={"stroke_mm": 115.0})
    assert (row.lead, row.lead_odds, row.lead_right, row.grade) == ("over-filled", 0.8, True, 1)
    assert row.predicted == {"stroke_mm": 118.0, "oil_ml": 100.0} and row.measured == {"stroke_mm": 115.0}
    # Brier's sum over the classes by hand: (0.8 - 1)² + 0.2² = 0.08.
    assert row.brier == pytest.approx(0.08)


def test_brier_of_two_causes_shares_the_one_that_it_was():
    odds = [("over-filled", 0.5), ("coil bind", 0.5)]
    assert brier(odds, ["over-filled", "coil bind"]) == 0  # by hand: each is half of what it was
    assert sum(p for _, p in base_odds(odds, {"over-filled": 3, "coil bind": 1})) == 1
    assert base_odds(odds, {"over-filled": 3, "coil bind": 1})[0] == ("over-filled", 0.75)


def test_bits_are_gathered_test_by_test():
    from analysis.observations import ANSWERS
    paths = [entry.path for entry in ANSWERS if entry.test == "push"][:2]
    findings = {"causes": [{"name": "a", "bits": [{"path": path, "moved_bits": 1.5} for path in paths]}]}
    assert bits_by_test(findings, "a") == {"push": 1.5 * len(paths)} and bits_by_test(findings, "b") == {}


def test_what_was_told_first_counts_and_not_a_later_draft():
    case = Case.objects.get(pk=approved_letter().round.case_id)
    first = Draft.objects.get()
    Draft.objects.create(round=case.current_round, revision=9, engine_version="9", findings={"causes": []},
                         letter_text="later")
    assert services.told_first(case) == first


@pytest.mark.parametrize("outcome, proof, right, scored", [
    ("coil bind", "seen inside", False, True), ("something else", "seen inside", False, False),
    ("over-filled", "disproved", False, True), ("never heard", "", None, False)])
def test_right_and_wrong_are_said_only_where_they_are_known(outcome, proof, right, scored):
    row = closed(outcome, proof, words="a rag in the air box")
    assert row.lead_right is right and (row.brier is not None) == scored


def test_a_correction_takes_the_place_of_the_first_and_leaves_it_readable(client):
    first = closed(words="It was the oil.")
    case = Case.objects.get(pk=first.case_id)
    second = services.record_outcome(case=case, outcome="coil bind", proof="seen inside", words="", user=tuner())
    assert list(Outcome.objects.values_list("cause", "stands")) == [("over-filled", False), ("coil bind", True)]
    assert second.replaces == first and second.closed_at == first.closed_at
    assert Case.objects.get(pk=case.pk).outcome == "coil bind"
    client.force_login(tuner(), backend="reports.sign_in_backend.SignInBackend")
    page = client.get(reverse("desk-case", args=[case.number])).content.decode()
    assert "It was the oil." in page and "corrected since" in page and "Coil bind" in page


def test_the_same_again_changes_nothing():
    first = closed(words="Oil.")
    again = services.record_outcome(case=Case.objects.get(), outcome="over-filled", proof="seen inside", words="Oil.",
                                    user=tuner())
    assert again == first and Outcome.objects.count() == 1


@pytest.mark.parametrize("said", [
    {"also": ["gremlins"]}, {"done_by": "a friend"}, {"measured": {"stroke_mm": 9999.0}}, {"measured": {"odd": 1.0}},
    {"lesson": "x" * 301}, {"also": ["coil bind", "dry seals", "bent part", "wrong assembly", "leaking seal"]}])
def test_what_cannot_be_is_refused_and_the_case_stays_open(said):
    with pytest.raises(Refused):
        closed(**said)
    assert Case.objects.get().state == Case.State.READY and not Outcome.objects.exists()


def test_the_form_takes_all_of_it_and_keeps_what_was_typed_where_something_lacks(client):
    case = Case.objects.get(pk=drafted_letter().round.case_id)
    client.force_login(tuner(), backend="reports.sign_in_backend.SignInBackend")
    address = reverse("close-case", args=[case.number])
    typed = {"outcome": "over-filled", "also": ["coil bind"], "proof": "seen inside", "done_by": "workshop",
             "words": "Drained.", "stroke_mm": "118.5", "lesson": "Pump first."}
    shown = client.post(address, typed)
    assert shown.status_code == 422 and "118.5" in shown.content.decode() and "Pump first." in shown.content.decode()
    assert "We said 118" in shown.content.decode()
    assert client.post(address, typed | {"harm": "yes"}).status_code == 302
    row = Outcome.objects.get()
    assert (row.causes, row.solved, row.measured, row.harm) == (
        ["over-filled", "coil bind"], "workshop", {"stroke_mm": 118.5}, True)
    assert "118.5" in client.get(address).content.decode()  # it can be said anew, from what was said


def test_a_case_gone_quiet_is_counted_too_when_it_is_closed_from_the_queue(client):
    case = Case.objects.get(pk=drafted_letter().round.case_id)
    client.force_login(tuner(), backend="reports.sign_in_backend.SignInBackend")
    client.post(reverse("ticked"), {"case": [case.number], "action": "close", "sure": "1"})
    assert Outcome.objects.get().solved == "never heard" and not WorthOfTest.objects.exists()
