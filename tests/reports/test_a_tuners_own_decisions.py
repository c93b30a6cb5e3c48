"""Numbers of a tuner's own and another leading cause: stored, drafted from by the one way there is, and taken back."""
from __future__ import annotations

import pytest

from intake.errors import Refused
from intake.models import Event, Round, WorkOrder
from reports import services
from reports.models import Draft, Letter
from reports.tuner_models import ChosenNumbers, Judgement
from tests.letter_cases import handed_in, handed_in_again, tuner, use_fake_engine
from tests.reference_fork import case as reference_case

pytestmark = pytest.mark.django_db
FULL = {**reference_case({"oil_level_mm": 60}, bench={"travel": {"used_mm": 95, "end_feel": "stops dead"}})}
OWN = {"level_left_mm": 150.0, "level_right_mm": 150.0}


@pytest.fixture
def letter(monkeypatch) -> Letter:
    """The letter of a fork with far too much oil, as the whole engine drafts it."""
    order = handed_in()
    Round.objects.filter(pk=order.round_id).update(document=FULL)
    monkeypatch.setattr(services.letters, "print_letter", lambda *_: b"%PDF")
    return work(order)


def work(order: WorkOrder) -> Letter:
    assert services.draft_round(order_id=order.pk, worker="worker-1")
    return Letter.objects.get(round=order.round_id)


def again(letter: Letter) -> Letter:
    return work(WorkOrder.objects.get(round=letter.round_id))


def choose(letter: Letter, chosen: dict[str, float], reason: str = "") -> ChosenNumbers:
    return services.choose_numbers(round=letter.round, revision=letter.round.revision, chosen=chosen, reason=reason,
                                   user=tuner())


def judge(letter: Letter, cause: str = "friction or misalignment", reason: str = "It skips.") -> Judgement:
    return services.judge(round=letter.round, revision=letter.round.revision, cause=cause, reason=reason, user=tuner())


def newest(letter: Letter) -> Draft:
    return Draft.objects.filter(round=letter.round_id).latest("pk")


def test_own_numbers_are_in_the_sheet_the_letter_and_the_figures_once_the_worker_was_there(letter):
    before = services.text_of(letter=letter)
    row = choose(letter, OWN, "I want more air.")
    assert (row.who, row.reason, row.numbers) == ("tuner", "I want more air.", OWN)
    assert services.text_of(letter=letter) == before
    after = again(letter)
    words, draft = services.text_of(letter=after), newest(letter)
    assert "150 mm" in words and "150 mm" not in before
    assert draft.numbers == row and draft.findings["service"]["left"]["level_to_set_mm"] == 150.0
    assert draft.findings["causes"] == Draft.objects.earliest("pk").findings["causes"]
    assert after.draft_id == draft.pk and after.version == 2


def test_the_same_numbers_twice_are_stored_once_and_none_puts_the_engines_back(letter):
    assert choose(letter, OWN) == choose(letter, OWN)
    again(letter)
    choose(letter, {})
    assert "150 mm" not in services.text_of(letter=again(letter))
    assert ChosenNumbers.objects.count() == 2 and Draft.objects.count() == 3


def test_touched_words_stay_and_the_letter_waits_until_the_tuner_has_chosen(letter):
    services.edit_blocks(letter=letter, based_on_version=1, texts={"answer": "My own words."}, user=tuner())
    judge(letter)
    after = again(letter)
    assert "My own words." in services.text_of(letter=after) and after.draft == newest(letter)
    with pytest.raises(Refused, match="changed under your words"):
        services.approve(letter=after, version=after.version, user=tuner())
    services.settle_block(letter=after, based_on_version=after.version, block="", take=False, user=tuner())
    assert "My own words." in services.text_of(letter=after)
    assert services.approve(letter=after, version=after.version, user=tuner()).draft_id == newest(letter).pk


@pytest.mark.parametrize("chosen, said", [
    ({"level_left_mm": 60.0}, "solid with oil"), ({"level_left_mm": 125.0}, "higher than the papers say"),
    ({**OWN, "rate_n_per_mm": 12.0}, "One thing at a time")])
def test_what_cannot_be_advised_is_refused_in_words_and_not_stored(letter, chosen, said):
    with pytest.raises(Refused, match=said):
        choose(letter, chosen)
    assert not ChosenNumbers.objects.exists() and WorkOrder.objects.get().state == WorkOrder.State.DONE


def test_numbers_chosen_on_answers_that_have_moved_on_are_refused(letter):
    order = handed_in_again(WorkOrder.objects.get(round=letter.round_id))
    with pytest.raises(Refused, match="changed since you looked"):
        services.choose_numbers(round=letter.round, revision=3, chosen=OWN, reason="", user=tuner())
    choose_after = work(order)
    choose(choose_after, OWN)
    assert "150 mm" in services.text_of(letter=again(choose_after))


def test_own_numbers_are_left_behind_by_new_answers(letter):
    choose(letter, OWN)
    order = handed_in_again(WorkOrder.objects.get(round=letter.round_id))
    assert "150 mm" not in services.text_of(letter=work(order))


def test_an_approved_letter_takes_no_numbers(letter):
    services.approve(letter=letter, version=1, user=tuner())
    with pytest.raises(Refused, match="approved"):
        choose(letter, OWN)


def test_another_cause_leads_the_letter_and_the_engines_odds_stay_on_file(letter):
    row = judge(letter)
    assert row.odds["cause"] == "over-filled" and row.odds["causes"][0][0] == "over-filled"
    after = again(letter)
    words = services.text_of(letter=after)
    assert "In our tuner's own judgement: Friction, or legs clamped out of line." in words.split("##")[0]
    after.round.case.refresh_from_db()
    summary = after.round.case.summary
    assert summary["judgement"] == {"title": "Friction, or legs clamped out of line", "who": "tuner"}
    assert summary["cause"] == "Too much oil, too little air" and summary["kind"] == "cause"
    assert Event.objects.filter(what="Leading cause judged otherwise.", detail__reason="It skips.").exists()


def test_a_judgement_can_be_taken_back_and_stays_on_file(letter):
    first = services.text_of(letter=letter)
    judge(letter)
    again(letter)
    services.take_back_judgement(round=letter.round, user=tuner())
    services.take_back_judgement(round=letter.round, user=tuner())
    assert services.text_of(letter=again(letter)) == first
    row = Judgement.objects.get()
    assert row.taken_back_at and row.taken_back_by == "tuner"
    letter.round.case.refresh_from_db()
    assert "judgement" not in letter.round.case.summary


def test_a_second_judgement_takes_the_place_of_the_first(letter):
    judge(letter)
    judge(letter, "spring too stiff", "Too hard for the weight.")
    assert [row.taken_back_at is None for row in Judgement.objects.all()] == [False, True]
    assert newest(again(letter)).findings["verdict"]["cause"] == "spring too stiff"


@pytest.mark.parametrize("cause, reason, said", [
    ("over-filled", " ", "needs its reason"), ("too much air pressure", "So.", "can have"),
    ("gremlins", "So.", "no cause")])
def test_a_judgement_without_reason_or_of_no_cause_is_refused(letter, cause, reason, said):
    with pytest.raises(Refused, match=said):
        judge(letter, cause, reason)


def test_no_judgement_gets_past_a_safety_sign(monkeypatch):
    use_fake_engine(monkeypatch, stop_riding=True, stop_reasons=[])
    stopped = work(handed_in())
    with pytest.raises(Refused, match="safety sign"):
        judge(stopped, "coil bind")


def test_a_draft_made_while_a_tuner_decides_is_not_stored(letter, monkeypatch):
    """The worker that drafts at this moment loses its claim, and the next one drafts from the decision."""
    from reports.services import drafting

    order = WorkOrder.objects.get(round=letter.round_id)
    judge(letter, "coil bind")
    plain = drafting.compute

    def decided_meanwhile(round):
        made = plain(round)
        judge(letter, "coil bind", "On second thoughts.")
        return made

    monkeypatch.setattr(drafting, "compute", decided_meanwhile)
    assert services.draft_round(order_id=order.pk, worker="worker-1") is None
    assert Draft.objects.count() == 1
    monkeypatch.setattr(drafting, "compute", plain)
    assert newest(again(letter)).making == 3


def test_numbers_that_the_draft_has_already_are_no_decision(letter):
    with pytest.raises(Refused, match="has already"):
        choose(letter, {})
    assert not ChosenNumbers.objects.exists()


def test_numbers_chosen_for_one_cause_do_not_stay_under_another(letter):
    choose(letter, OWN)
    judge(letter)
    draft = newest(again(letter))
    assert draft.numbers.numbers == {} and draft.findings["service"]["left"]["level_to_set_mm"] == 140.0
    assert draft.findings["verdict"]["cause"] == "friction or misalignment"


def test_a_letter_is_not_approved_while_a_decision_waits_for_its_draft(letter):
    choose(letter, OWN)
    with pytest.raises(Refused, match="not drafted yet"):
        services.approve(letter=letter, version=1, user=tuner())
    after = again(letter)
    assert services.approve(letter=after, version=2, user=tuner()).approved_at


def test_numbers_looked_at_before_another_decision_are_not_stored_after_it(letter, monkeypatch):
    from reports.services import choosing
    tried = choosing.try_numbers

    def meanwhile(*args, **kwargs):
        monkeypatch.setattr(choosing, "try_numbers", tried)
        judge(letter)
        return tried(*args, **kwargs)

    monkeypatch.setattr(choosing, "try_numbers", meanwhile)
    with pytest.raises(Refused, match="came in between"):
        choose(letter, OWN)
    assert not ChosenNumbers.objects.exists()
