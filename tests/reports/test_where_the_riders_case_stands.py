"""The rider's case page: what we know, who has to act, the ruler, the letters, two rounds side by side."""
from __future__ import annotations

import pytest
from django.urls import reverse

from intake import services as cases
from intake.models import Case
from reports.models import Draft
from reports.rider_case import WAITS_FOR
from reports.rider_numbers import answer_pairs, number_pairs
from tests.intake.rider_pages import words_of
from tests.letter_cases import approved_letter, drafted_letter, use_fake_engine

pytestmark = pytest.mark.django_db
SAG = {"bench.sag.extended_mm": "120", "bench.sag.rider_from_below_mm": "85 mm", "bench.sag.rider_from_above_mm": "79"}
MARKS = {"stroke_mm": 140.0, "found": [{"name": "air runs out", "at_mm": 117.9}],
         "advised": [{"name": "rider sag", "at_mm": 44.0}], "measured": []}


def answered(rider, answers):
    typed = {"complaint.words": "It stops hard.", **answers}
    return cases.save_answers(round=rider.case.current_round, answers=typed)


def page(rider, name="case-page", **query) -> str:
    answer = rider.client.get(reverse(name, args=[rider.case.number]), query)
    assert answer.status_code == 200
    return answer.content.decode()


def test_measured_numbers_are_shown_at_once_and_drawn_on_the_ruler(rider):
    answered(rider, SAG | {"fork.travel_mm": "140"})
    shown = page(rider)
    assert "Rider sag 38\u00a0mm" in words_of(shown).replace(" mm", "\u00a0mm") and 'class="ruler ruler-large"' in shown
    assert "bottom-out 140" in shown


def test_how_well_it_is_known_is_counted(rider):
    answered(rider, SAG | {"bike.mass_kg": {"value": "210", "known": "remembered"},
                           "rider.mass_kg": {"known": "unknown"}})
    words = words_of(page(rider))
    assert "I measured it 3" in words and "I remember it 1" in words and "I do not know 1" in words


def test_nothing_unapproved_is_shown(rider, monkeypatch):
    use_fake_engine(monkeypatch, marks=MARKS)
    order = cases.hand_in(round=answered(rider, {}), who="rider")
    drafted_letter(order)
    assert Draft.objects.exists() and "117" not in page(rider) and "too much oil" not in page(rider).lower()


def test_with_the_letter_come_its_marks_and_the_letter_itself(rider, monkeypatch):
    use_fake_engine(monkeypatch, marks=MARKS)
    approved_letter(cases.hand_in(round=answered(rider, {}), who="rider"))
    shown = page(rider)
    assert "Found: air runs out" in shown and "118" in shown and "Advised: rider sag" in shown
    assert f"{reverse('letter', args=[rider.case.number])}?round=1" in shown


def test_a_stopped_bike_gets_no_advised_marks(rider, monkeypatch):
    use_fake_engine(monkeypatch, marks=MARKS, stop_riding=True)
    approved_letter(cases.hand_in(round=answered(rider, {}), who="rider"))
    assert "Advised: rider sag" not in page(rider)


@pytest.mark.parametrize("state, who", [(state, words) for state, words in WAITS_FOR.items()])
def test_it_says_whom_the_case_waits_for(rider, state, who):
    Case.objects.filter(pk=rider.case.pk).update(state=state, question="How high is the oil?")
    assert f"Waits for {who} since" in words_of(page(rider))


@pytest.mark.parametrize("state", [Case.State.CLOSED, Case.State.WITHDRAWN])
def test_an_ended_case_waits_for_nobody(rider, state):
    Case.objects.filter(pk=rider.case.pk).update(state=state)
    assert "Waits for" not in words_of(page(rider))


@pytest.fixture
def second_round(rider, monkeypatch):
    use_fake_engine(monkeypatch)
    round = answered(rider, SAG | {"fork.travel_mm": "140", "bike.kind": "classic", "bench.push.slow_stroke_mm": "40"})
    approved_letter(cases.hand_in(round=round, who="rider"))
    rider.case.refresh_from_db()
    opened = cases.open_next_round(case=rider.case, who="rider")
    return round, cases.save_answers(round=opened, answers={
        "fork.travel_mm": "145", "bench.sag.extended_mm": "120", "bench.sag.rider_from_below_mm": "80",
        "bench.sag.rider_from_above_mm": "74"})


def test_two_rounds_stand_side_by_side(rider, second_round):
    numbers = {pair.title: (pair.before, pair.after) for pair in number_pairs(*second_round)}
    assert numbers["Rider sag"] == ("38\u00a0mm", "43\u00a0mm")
    titles = {pair.title: (pair.before, pair.after) for pair in answer_pairs(*second_round)}
    changed = next(pair for title, pair in titles.items() if title.endswith("Full stroke"))
    assert changed == ("140 mm", "145 mm") and not any("Kind" in title for title in titles)


def test_what_is_measured_anew_and_not_yet_there_is_no_change(second_round):
    assert not [pair.title for pair in answer_pairs(*second_round) if not pair.after]


def test_the_page_shows_them_and_what_was_changed(rider, second_round):
    cases.save_changes(round=second_round[1], words="Drew off 100 ml from each leg.")
    words = words_of(page(rider, "before-and-after"))
    assert "Round 1 beside round 2" in words and "Drew off 100 ml" in words and "43" in words
    assert "Before and after, side by side" in words_of(page(rider))


@pytest.mark.parametrize("asked", ["1", "7", "x", "-1"])
def test_a_round_without_one_before_it_is_not_there(rider, second_round, asked):
    address = reverse("before-and-after", args=[rider.case.number])
    assert rider.client.get(address, {"round": asked}).status_code == 404


def test_reminders_are_stopped_and_started_again_by_post_alone(rider):
    address = reverse("reminders", args=[rider.case.number])
    assert rider.client.get(address).status_code == 405
    for wish, stopped in (("no", True), ("no", True), ("yes", False)):
        rider.client.post(address, {"remind": wish})
        rider.case.refresh_from_db()
        assert rider.case.no_reminders is stopped
    assert rider.case.events.filter(what="No more reminders.").count() == 1
