"""One case on the desk: the evidence beside the conclusion, and no advice past a stop sign."""
from __future__ import annotations

import pytest
from django.urls import reverse

from analysis.catalogue import BENCH_TESTS, SECTIONS
from intake.models import Round
from reports.desk_case import conclusion
from reports.desk_evidence import count_known, evidence
from tests.letter_cases import drafted_letter, findings, handed_in, use_fake_engine

pytestmark = pytest.mark.django_db
GATE = {"name": "oil on brake", "end": "front", "reason": "There is oil on the disc.", "do": "Take it to a workshop."}
SERVICE = {"left": {"level_to_set_mm": 140.0, "draw_off_ml": 99.8, "spread": {"draw_off_ml": 5.1}},
           "right": {"level_to_set_mm": 140.0, "draw_off_ml": -12.0}, "order": [], "check_after": []}


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch)


def show(tuner, case, **query):
    return tuner.client.get(reverse("desk-case", args=[case.number]), query)


def facts(document, faults=None):
    return {(fact.title, fact.leg): fact for group in evidence(document, (), faults or {}) for fact in group.facts}


def test_an_answer_is_shown_as_typed_as_understood_and_how_well_known():
    document = {"bike": {"mass_kg": {"value": "440 lb", "known": "remembered"}}, "rider": {"mass_kg": 82},
                "bench": {"travel": {"used_mm": 101}}}
    shown = facts(document)
    bike = shown["Mass, ready to ride", ""]
    assert (bike.typed, bike.converted, bike.known_words) == ("440 lb", "199.6 kg", "remembered")
    rider = shown["Mass, dressed to ride", ""]
    assert (rider.typed, rider.converted, rider.known_words) == ("82 kg", "", "from papers")
    assert shown["Deepest stroke, seal to tie", ""].known_words == "measured"


def test_legs_that_agree_are_one_line_and_legs_that_differ_are_two():
    level = "Oil level as it is now"
    same = facts({"fork": {"left": {"oil_level_mm": 140}, "right": {"oil_level_mm": 140}}})
    differ = facts({"fork": {"left": {"oil_level_mm": 140}, "right": {"oil_level_mm": 121}}})
    one = facts({"fork": {"right": {"oil_level_mm": 121}}})
    assert set(same) == {(level, "both legs")}
    assert (differ[level, "left"].typed, differ[level, "right"].typed) == ("140 mm", "121 mm")
    assert set(one) == {(level, "right")}


def test_asked_and_not_known_differs_from_never_answered():
    groups = {group.name: group for group in evidence({"bike": {"mass_kg": {"known": "unknown"}}}, (), {})}
    assert [fact.typed for fact in groups["bike"].facts] == ["not known"]
    assert "Mass, ready to ride" not in groups["bike"].open_titles
    assert "Wheelbase" in groups["bike"].open_titles


def test_a_faulty_answer_is_shown_with_its_fault_and_not_converted():
    shown = facts({"bike": {"mass_kg": "about a ton, mate"}}, {"bike.mass_kg": "It is not a mass."})
    fact = shown["Mass, ready to ride", ""]
    assert (fact.typed, fact.converted, fact.fault) == ("about a ton, mate", "", "It is not a mass.")


@pytest.mark.parametrize("junk", [
    {"fork": "broken"}, {"bike": {"mass_kg": [1, {"a": 2}]}}, {"complaint": {"symptoms": "x"}}, {"bench": None},
    {"bike": {"mass_kg": {"value": {"deep": 1}}}}])
def test_no_stored_document_breaks_the_page(tuner, junk):
    letter = drafted_letter()
    Round.objects.filter(pk=letter.round_id).update(document=junk)
    assert show(tuner, letter.round.case).status_code == 200


def test_every_section_and_bench_test_has_its_place():
    assert [group.name for group in evidence({}, (), {})] == [part.name for part in (*SECTIONS, *BENCH_TESTS)]


def test_causes_stand_with_what_moved_them_likeliest_first(tuner, monkeypatch):
    use_fake_engine(monkeypatch, causes=[
        {"name": "coil bind", "title": "Coil bind", "probability": 0.2},
        {"name": "over-filled", "title": "Too much oil", "probability": 0.8, "moved_by": ["It stopped dead."]}])
    response = show(tuner, drafted_letter().round.case)
    assert [bar.title for bar in response.context["bars"]] == ["Too much oil", "Coil bind"]
    assert "It stopped dead." in response.content.decode()


def test_a_stop_sign_stands_on_top_and_takes_all_advice_away(tuner, monkeypatch):
    advice = [{"title": "Set the oil level", "steps": ["Draw off 100 ml."], "expect": "More travel."}]
    use_fake_engine(monkeypatch, stop_riding=True, stop_reasons=[GATE], service=SERVICE, advice=advice)
    page = show(tuner, drafted_letter().round.case).content.decode()
    assert page.index("Stop: do not ride") < page.index("Most likely too much oil.")
    assert GATE["reason"] in page and GATE["do"] in page
    for advised in ("Draw off 100 ml.", "Service sheet", "As advised", "Ask the rider for this"):
        assert advised not in page


def test_a_stop_sign_at_the_rear_leaves_the_advice_for_the_front():
    rear = conclusion(findings(stop_riding=True, stop_reasons=[{**GATE, "end": "rear"}], service=SERVICE))
    front = conclusion(findings(stop_riding=True, stop_reasons=[GATE], service=SERVICE))
    assert rear["service_rows"] and not front["service_rows"]


def test_the_service_sheet_says_draw_off_or_add_for_each_leg():
    rows = {row.title: row.cells for row in conclusion(findings(service=SERVICE))["service_rows"]}
    left, right = rows["To get there"]
    assert (left.words, left.sure) == ("draw off 100\u00a0ml", "±\u00a05\u00a0ml")
    assert right.words == "add 12\u00a0ml"


def test_figures_come_as_pictures_with_their_table_in_words(tuner):
    case = drafted_letter().round.case
    address = reverse("figure", args=[case.number, 1, 0])
    page = show(tuner, case).content.decode()
    assert address in page and "Usable stroke" in page
    picture = tuner.client.get(address)
    assert picture["Content-Type"] == "image/svg+xml" and b"<svg" in picture.content
    assert tuner.client.get(reverse("figure", args=[case.number, 1, 99])).status_code == 404


def test_a_case_without_a_draft_says_what_it_waits_for(tuner):
    page = show(tuner, handed_in().round.case).content.decode()
    assert "The draft waits for the worker." in page


def test_an_earlier_round_stays_readable_and_a_made_up_one_does_not_exist(tuner):
    letter = drafted_letter()
    Round.objects.create(case=letter.round.case, number=2, document={"complaint": {"words": "Better now"}})
    assert "Better now" in show(tuner, letter.round.case).content.decode()
    assert "Most likely too much oil." in show(tuner, letter.round.case, round=1).content.decode()
    for round in ("3", "x", "-1", "99999999999", "²"):
        assert show(tuner, letter.round.case, round=round).status_code == 404


def test_what_the_rider_typed_is_text_and_nothing_more(tuner):
    letter = drafted_letter()
    typed = {"complaint": {"words": "<img src=x onerror=alert(1)>\nold"}}
    Round.objects.filter(pk=letter.round_id).update(document=typed)
    page = show(tuner, letter.round.case).content.decode()
    assert "<img src=x" not in page and "&lt;img src=x" in page


def test_the_page_holds_no_inline_script_and_no_inline_style(tuner):
    page = show(tuner, drafted_letter().round.case).content.decode()
    assert "<style" not in page and " style=" not in page and "onclick" not in page and "<script>" not in page


def test_answers_that_do_not_fit_are_marked_where_they_stand_and_unfolded(tuner, monkeypatch):
    clash = {"between": ["A", "B"], "words": "Sag and level cannot both be right.", "ask": "", "fits_if": "",
             "paths": ["rider.mass_kg"]}
    use_fake_engine(monkeypatch, disagreements=[clash],
                    doubts=[{"path": "bike.mass_kg", "question": "Is it really 900 kg?"}])
    letter = drafted_letter()
    document = {"bike": {"mass_kg": 900}, "rider": {"mass_kg": 82}, "tyres": {"front_bar": {"value": 2.1}}}
    Round.objects.filter(pk=letter.round_id).update(document=document)
    groups = {group.name: group for group in show(tuner, letter.round.case).context["groups"]}
    assert groups["rider"].facts[0].odd == clash["words"] and groups["rider"].speaks_up
    assert groups["bike"].facts[0].odd == "Is it really 900 kg?"


def test_how_well_the_answers_are_known_is_counted_for_all_and_for_each_section():
    document = {"bike": {"mass_kg": {"value": "440 lb", "known": "remembered"}, "wheelbase_mm": 1400}}
    bike = next(group for group in evidence(document, (), {}) if group.name == "bike")
    assert bike.in_short == "2 answers: 1 from papers, 1 remembered" and not bike.speaks_up
    assert count_known([bike, bike]) == "4 answers: 2 from papers, 2 remembered"


def test_verdict_curves_and_letter_come_before_numbers_and_answers(tuner):
    page = show(tuner, drafted_letter().round.case).content.decode()
    places = [page.index(mark) for mark in ('class="answer sheet"', 'id="letter"', 'id="numbers"', 'id="answers"')]
    assert places == sorted(places)
