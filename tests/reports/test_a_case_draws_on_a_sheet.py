"""A case draws on a version of a data sheet: it fills what is not answered, and what it says is told."""
from __future__ import annotations

from copy import deepcopy

import pytest
from django.urls import reverse

from intake.errors import Refused
from intake.models import Event, Round, WorkOrder
from reports import services
from reports.models import Draft, Letter
from reports.service_sheet import sheet_data
from reports.sheet_under import lay_under
from tests.letter_cases import handed_in, tuner
from tests.reference_fork import case as reference_case

pytestmark = pytest.mark.django_db
FULL = {**reference_case({"oil_level_mm": 60}, bench={"travel": {"used_mm": 95, "end_feel": "stops dead"}})}
BOOK = {"bore_diameter_mm": "40", "oil_level_book_mm": "4.33 in",
        "oil_level_book_condition": "pushed together, spring out", "spring_rates_n_per_mm": "7.7 8.3 9.1"}


@pytest.fixture
def letter(monkeypatch) -> Letter:
    """A fork whose rider knows no level from papers and no bore of the left leg."""
    document = deepcopy(FULL)
    for side in ("left", "right"):
        document["fork"][side].pop("oil_level_book_mm", None)
    del document["fork"]["left"]["bore_diameter_mm"]
    order = handed_in()
    Round.objects.filter(pk=order.round_id).update(document=document)
    monkeypatch.setattr(services.letters, "print_letter", lambda *_: b"%PDF")
    return work(order)


def work(order: WorkOrder) -> Letter:
    assert services.draft_round(order_id=order.pk, worker="worker-1")
    return Letter.objects.get(round=order.round_id)


def again(letter: Letter) -> Draft:
    work(WorkOrder.objects.get(round=letter.round_id))
    return Draft.objects.filter(round=letter.round_id).latest("pk")


def kept(**changes: str):
    return services.keep_sheet(user=tuner(), kind="fork", name="Tourer, first series", note="bench notes",
                               typed=BOOK | changes)


def link(letter: Letter, version) -> None:
    services.link_sheet(case=letter.round.case, version=version, user=tuner())


def test_a_sheet_fills_what_is_not_answered_and_the_round_stays_as_it_is(letter):
    before = deepcopy(letter.round.document)
    link(letter, kept())
    under = lay_under(letter.round)
    filled = {row["path"] for row in under.sheets[0].filled}
    assert "fork.left.bore_diameter_mm" in filled and "fork.right.bore_diameter_mm" not in filled
    assert under.document["fork"]["left"]["oil_level_book_mm"] == {"value": 109.982, "known": "documented"}
    assert under.document["fork"]["right"]["bore_diameter_mm"] == before["fork"]["right"]["bore_diameter_mm"]
    assert Round.objects.get(pk=letter.round_id).document == before


def test_the_case_is_drafted_anew_and_letter_and_service_sheet_say_where_the_number_is_from(letter):
    link(letter, kept())
    assert WorkOrder.objects.get(round=letter.round_id).state == WorkOrder.State.WAITING
    draft = again(letter)
    assert draft.making == 1 and draft.findings["sheets"][0]["name"] == "Tourer, first series"
    assert "Tourer, first series" in draft.letter_text and "110" in draft.letter_text
    assert "you wrote" not in draft.letter_text.split("Numbers from our data sheets")[1]
    assert "Tourer, first series" in sheet_data(draft.findings)["note"]
    assert Event.objects.filter(case=letter.round.case, what="Data sheet laid under the answers.").count() == 1


def test_springs_that_can_be_had_are_the_ones_that_are_offered(letter):
    link(letter, kept())
    assert [one["rate_n_per_mm"] for one in again(letter).findings["fork"]["springs"]] == [7.7, 8.3, 9.1]


def test_an_answer_that_differs_stands_and_is_shown_as_a_disagreement(letter, client):
    link(letter, kept())
    laid = lay_under(letter.round).sheets[0]
    assert [row["path"] for row in laid.differ] == ["fork.right.bore_diameter_mm"]
    client.force_login(tuner())
    words = client.get(reverse("desk-case", args=[letter.round.case.number])).content.decode()
    assert "Does not fit the sheet:" in words


def test_a_level_in_another_condition_is_never_used(letter):
    link(letter, kept(oil_level_book_condition=""))
    laid = lay_under(letter.round)
    assert "oil_level_book_mm" not in laid.document["fork"]["left"]
    assert "leg together" in laid.sheets[0].left_out[0]["why"]


def test_an_edited_sheet_changes_no_case_until_the_newer_version_is_taken(letter, client):
    first = kept()
    link(letter, first)
    second = services.keep_sheet(user=tuner(), kind="fork", name=first.name, note="", sheet=first.sheet, based_on=1,
                                 typed=BOOK | {"bore_diameter_mm": "39"})
    assert lay_under(letter.round).document["fork"]["left"]["bore_diameter_mm"]["value"] == 40.0
    case = letter.round.case
    client.force_login(tuner())
    words = client.get(reverse("desk-case", args=[case.number])).content.decode()
    assert "A newer version exists: 2" in words and "40 → <strong>39</strong>" in words
    client.post(reverse("case-sheet-link", args=[case.number]), {"sheet": second.sheet_id, "version": 2})
    assert lay_under(letter.round).document["fork"]["left"]["bore_diameter_mm"]["value"] == 39.0
    assert again(letter).making == 3  # laid, taken off, laid


def test_taking_it_off_drafts_from_the_answers_alone(letter):
    link(letter, kept())
    again(letter)
    services.unlink_sheet(case=letter.round.case, kind="fork", user=tuner())
    draft = again(letter)
    assert "sheets" not in draft.findings and draft.making == 2


def test_a_leg_without_a_spring_gets_none_from_a_sheet(letter):
    Round.objects.filter(pk=letter.round_id).update(document={"fork": {"damper": "separate function"}})
    link(letter, kept(**{"spring.rate_n_per_mm": "9"}))
    laid = lay_under(Round.objects.get(pk=letter.round_id))
    assert "spring" not in laid.document["fork"]["left"]
    assert any("Only one leg" in row["why"] for row in laid.sheets[0].left_out)


def test_legs_with_each_their_own_work_get_no_oil_from_a_sheet_that_names_no_leg(letter):
    Round.objects.filter(pk=letter.round_id).update(document={"fork": {"damper": "separate function"}})
    link(letter, kept())
    laid = lay_under(Round.objects.get(pk=letter.round_id))
    oil = {f"fork.{side}.oil_level_book_mm" for side in ("left", "right")}
    assert oil <= {row["path"] for row in laid.sheets[0].left_out if "does not say which leg" in row["why"]}
    assert not oil & {row["path"] for row in laid.sheets[0].filled}
    assert "fork.left.bore_diameter_mm" in {row["path"] for row in laid.sheets[0].filled}


def test_an_approved_letter_is_not_drafted_again(letter):
    Letter.objects.filter(pk=letter.pk).update(approved_at="2026-01-01T00:00Z", approved_version=1)
    with pytest.raises(Refused):
        link(letter, kept())


def test_numbers_chosen_on_one_sheet_do_not_stay_on_another(letter):
    """Nobody has looked what speaks against them with another bore, steel or book level."""
    own = {"level_left_mm": 150.0, "level_right_mm": 150.0}
    for move in (lambda: link(letter, kept()),
                 lambda: services.unlink_sheet(case=letter.round.case, kind="fork", user=tuner())):
        services.choose_numbers(round=letter.round, revision=letter.round.revision, chosen=own, reason="", user=tuner())
        assert again(letter).findings["service"]["left"]["level_to_set_mm"] == 150.0
        move()
        assert again(letter).findings["service"]["left"]["level_to_set_mm"] != 150.0
