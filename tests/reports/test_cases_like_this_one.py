"""Earlier cases beside a new one: the same rider's, the same kind's, and the solved ones nearest by their numbers."""
from __future__ import annotations

import pytest
from django.urls import reverse

from intake.models import Case
from intake.services import PROOFS
from reports import likeness
from reports.tuner_models import CaseFigures
from tests.letter_cases import drafted_letter, findings, handed_in, use_fake_engine

pytestmark = pytest.mark.django_db
OVER = {"spare": -0.10, "sag": 0.27, "friction_n": 70.0, "lead": "over-filled", "lead_odds": 0.9}


def case(**more) -> Case:
    return Case.objects.create(state=Case.State.READY, title="Now", **more)


def figures(of: Case, **numbers) -> CaseFigures:
    return CaseFigures.objects.create(case=of, **{**OVER, **numbers})


def solved(outcome: str = "over-filled", *, state: str = Case.State.CLOSED, **numbers) -> Case:
    made = Case.objects.create(state=state, outcome=outcome, outcome_proof="seen inside", title="Earlier")
    figures(made, **numbers)
    return made


def test_the_columns_come_from_what_the_engine_found():
    fork = {"left": {"air_volume_compressed_ml": 70.8, "air_volume_extended_ml": 255.7},
            "right": {"air_volume_compressed_ml": -30.0, "air_volume_extended_ml": 154.9}}
    found = likeness.figures_for(findings(fork=fork, sag={"rider_share": 0.27, "friction_n": 68.0}),
                                 {"bike": {"kind": "road"}, "fork": {"damper": {"value": "damper rod"}}})
    # −30 ml of the 184.9 ml that the full stroke takes: arithmetic.
    assert found["spare"] == pytest.approx(-30.0 / 184.9, abs=1e-3)
    assert (found["sag"], found["friction_n"], found["lead"], found["lead_odds"]) == (0.27, 68.0, "over-filled", 0.91)
    assert (found["bike_kind"], found["fork_kind"]) == ("road", "damper rod")


def test_a_draft_writes_the_columns_and_whatever_is_typed_breaks_nothing(monkeypatch):
    use_fake_engine(monkeypatch)
    letter = drafted_letter()
    assert CaseFigures.objects.get(case=letter.round.case).lead == "over-filled"
    assert likeness.figures_for({}, {"bike": "none", "fork": {"damper": ["a"]}})["fork_kind"] == ""


def test_the_nearest_come_first_and_say_what_it_was_and_how_it_was_proven():
    mine = case()
    figures(mine)
    far, near = solved("coil bind", spare=0.0, lead_odds=0.7), solved(spare=-0.11)
    found = likeness.nearest(mine)
    assert [one.case for one in found] == [near, far]
    assert (found[0].was, found[0].proven) == ("Too much oil, too little air", PROOFS["seen inside"])
    assert likeness.in_short(found) == "1 of 2 like this: too much oil, too little air"


def test_only_solved_cases_with_numbers_enough_and_near_enough_count():
    mine = case()
    figures(mine)
    solved(spare=0.9)
    solved("never heard")
    solved(state=Case.State.ADVISED, outcome="")
    solved(sag=None, friction_n=None, lead_odds=None)
    solved(friction_n=700.0)
    assert likeness.nearest(mine) == []


def test_without_the_air_the_sag_picks_the_candidates():
    mine = case()
    figures(mine, spare=None)
    near = solved(spare=0.4)
    assert [one.case for one in likeness.nearest(mine)] == [near]
    nothing = case()
    figures(nothing, spare=None, sag=None)
    assert likeness.nearest(nothing) == []


def test_a_percentage_is_hidden_under_ten_cases():
    mine = case()
    figures(mine)
    for _ in range(9):
        solved()
    assert "%" not in likeness.in_short(likeness.nearest(mine))
    solved("coil bind")
    assert likeness.in_short(likeness.nearest(mine)).startswith("9 of 10 like this: too much oil")
    assert likeness.in_short(likeness.nearest(mine)).endswith("90 %")


def test_the_same_rider_is_known_by_the_address_and_the_kind_by_bike_and_fork():
    mine, other = case(rider_email="Rider@Riders.example"), case(rider_email="rider@riders.example")
    case(rider_email="someone@riders.example")
    assert list(likeness.of_the_same_rider(mine)) == [other]
    assert list(likeness.of_the_same_rider(case())) == []
    figures(mine, bike_kind="road", fork_kind="damper rod")
    alike = solved(bike_kind="road", fork_kind="damper rod")
    solved(bike_kind="road", fork_kind="open cartridge")
    assert [one.case for one in likeness.of_the_same_kind(mine)] == [alike]


def test_however_many_cases_there_are_the_page_asks_as_often(tuner, monkeypatch, django_assert_max_num_queries):
    use_fake_engine(monkeypatch)
    letter = drafted_letter(handed_in())
    CaseFigures.objects.filter(case=letter.round.case).update(**OVER)
    for _ in range(12):
        solved()
    with django_assert_max_num_queries(6):
        shown = likeness.like_context(letter.round.case)
        list(shown["same_rider"])
    page = tuner.client.get(reverse("desk-case", args=[letter.round.case.number])).content.decode()
    assert "12 of 12 like this: too much oil, too little air" in page and PROOFS["seen inside"] in page
    assert len(shown["alike"]) == likeness.NEAREST


def test_a_row_of_the_queue_shows_the_tuners_view_beside_the_engines(tuner, monkeypatch):
    use_fake_engine(monkeypatch)
    mine = drafted_letter().round.case
    Case.objects.filter(pk=mine.pk).update(
        summary={**mine.summary, "judgement": {"who": "tuner", "title": "Coil bind"}})
    page = tuner.client.get(reverse("queue")).content.decode()
    assert "tuner holds: Coil bind" in page and "Too much oil" in page
