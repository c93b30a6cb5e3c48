"""What a person types is kept: as typed, merged by path, from any number of devices."""
from __future__ import annotations

from typing import Any

import pytest

from intake import services
from intake.errors import Refused
from intake.models import Event, Round

pytestmark = pytest.mark.django_db


@pytest.fixture
def round(rider: Any) -> Round:
    return rider.case.current_round


def last_changes(round: Round) -> dict[str, Any]:
    return Event.objects.filter(case=round.case, what="Answers saved.").last().detail["changes"]


def test_answers_are_kept_as_typed_even_where_they_are_faulty(round):
    saved = services.save_answers(round=round, answers={
        "bike.mass_kg": "twohundred or so",
        "fork.left.spring.rate_n_per_mm": {"value": "0,95 kgf/mm", "known": "measured"}})
    assert saved.document == {
        "bike": {"mass_kg": "twohundred or so"},
        "fork": {"left": {"spring": {"rate_n_per_mm": {"value": "0,95 kgf/mm", "known": "measured"}}}}}


def test_each_change_grows_the_revision_and_no_change_does_not(round):
    first = services.save_answers(round=round, answers={"bike.mass_kg": "200 kg"})
    same = services.save_answers(round=first, answers={"bike.mass_kg": "200 kg"})
    second = services.save_answers(round=same, answers={"bike.mass_kg": "201 kg"})
    assert [first.revision, same.revision, second.revision] == [1, 1, 2]


def test_true_is_not_taken_for_one(round):
    services.save_answers(round=round, answers={"bike.mass_kg": 1})
    assert services.save_answers(round=round, answers={"bike.mass_kg": True}).document["bike"]["mass_kg"] is True


def test_a_blank_answer_takes_the_old_one_away_and_unknown_does_not(round):
    services.save_answers(round=round, answers={"bike.mass_kg": 200, "rider.mass_kg": 80})
    saved = services.save_answers(round=round, answers={
        "bike.mass_kg": {"value": " ", "known": "measured"}, "rider.mass_kg": {"known": "unknown"}})
    assert saved.document == {"rider": {"mass_kg": {"known": "unknown"}}}
    assert last_changes(round)["bike.mass_kg"] == {"was": 200}


def test_two_devices_on_different_questions_both_survive(round):
    page = round.revision
    services.save_answers(round=round, answers={"bike.mass_kg": "200"}, revision=page)
    saved = services.save_answers(round=round, answers={"rider.mass_kg": "85"}, revision=page)
    assert saved.document == {"bike": {"mass_kg": "200"}, "rider": {"mass_kg": "85"}}
    assert services.replaced_answers(round=saved) == {}


def test_an_old_page_that_shows_an_answer_unchanged_does_not_undo_a_newer_one(round):
    page = services.save_answers(round=round, answers={"bike.mass_kg": "200"}).revision
    services.save_answers(round=round, answers={"bike.mass_kg": "212"}, revision=page)
    saved = services.save_answers(
        round=round, answers={"bike.mass_kg": "200", "bike.rake_deg": "24", "rider.mass_kg": ""}, revision=page)
    assert saved.document["bike"] == {"mass_kg": "212", "rake_deg": "24"}


def test_an_old_page_that_shows_a_blank_does_not_undo_a_newer_answer(round):
    services.save_answers(round=round, answers={"bike.mass_kg": "212"}, revision=0)
    saved = services.save_answers(round=round, answers={"bike.mass_kg": "", "bike.rake_deg": "24"}, revision=0)
    assert saved.document["bike"] == {"mass_kg": "212", "rake_deg": "24"}


def test_where_both_devices_changed_an_answer_the_last_stands_and_the_other_is_kept_and_told(round):
    page = services.save_answers(round=round, answers={"bike.mass_kg": "200"}).revision
    services.save_answers(round=round, answers={"bike.mass_kg": "212"}, revision=page)
    saved = services.save_answers(round=round, answers={"bike.mass_kg": "221"}, revision=page)
    assert saved.document["bike"]["mass_kg"] == "221"
    assert services.replaced_answers(round=saved) == {"bike.mass_kg": {"was": "212", "now": "221"}}


def test_a_save_that_slips_in_between_is_merged_and_not_overwritten(round, monkeypatch):
    from intake.services import answers

    real, slipped = answers._merge, []

    def merge_late(*args: Any) -> Any:
        if not slipped:
            slipped.append(1)
            services.save_answers(round=round, answers={"rider.mass_kg": "85"})
        return real(*args)

    monkeypatch.setattr(answers, "_merge", merge_late)
    saved = services.save_answers(round=round, answers={"bike.mass_kg": "200"})
    assert saved.document == {"bike": {"mass_kg": "200"}, "rider": {"mass_kg": "85"}}
    assert saved.revision == 2


def test_a_plain_value_where_a_part_belongs_goes_to_the_diary_before_it_gives_way(round):
    Round.objects.filter(pk=round.pk).update(document={"bike": "a red one"})
    saved = services.save_answers(round=round, answers={"bike.mass_kg": 200})
    assert saved.document == {"bike": {"mass_kg": 200}}
    assert last_changes(round)["bike"] == {"was": "a red one"}


@pytest.mark.parametrize("typed, kept", [
    ("nul\x00byte", "nulbyte"), ("half a sign \ud83d", "half a sign ?"), (float("nan"), "nan"), (float("inf"), "inf")])
def test_signs_that_a_database_cannot_keep_do_not_stop_the_saving(round, typed, kept):
    services.save_answers(round=round, answers={"complaint.words": typed})
    round.refresh_from_db()
    assert round.document["complaint"]["words"] == kept


def test_what_is_not_a_question_is_refused_by_name(round):
    with pytest.raises(Refused, match="bike.colour"):
        services.save_answers(round=round, answers={"bike.colour": "red"})


def test_endless_text_is_refused_with_a_way_on(round):
    with pytest.raises(Refused) as refused:
        services.save_answers(round=round, answers={"complaint.words": "x" * 20_001})
    assert "20001" in refused.value.problem and "Shorten" in refused.value.mend


def test_what_was_changed_since_the_letter_is_kept_and_makes_the_draft_stale(round):
    saved = services.save_changes(round=round, words="100 ml drawn off each leg")
    assert (saved.changes, saved.revision) == ("100 ml drawn off each leg", 1)
