"""Each page saves on its own; what was typed is kept as typed, shown back converted, and never lost."""
from __future__ import annotations

import pytest
from django.urls import reverse

from analysis.catalogue import BENCH_TESTS, SECTIONS, SIDES
from analysis.catalogue.bike import BIKE
from intake.services import save_answers
from tests.intake.rider_pages import Rider, words_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def rider():
    return Rider()


def open_up(rider, question):
    """Save the answers that the question hangs on, leg by leg."""
    condition = question.shown_when
    for side in SIDES if condition else ():
        path = condition.path.format(side=side)
        page = next(part for part in SECTIONS for other in part.questions if path in other.paths())
        rider.save(page.name, **{path: condition.values[0]})


@pytest.mark.parametrize("section", SECTIONS, ids=lambda place: place.name)
def test_every_section_asks_all_its_questions(rider, section):
    page = rider.read("section", section.name)
    for question in section.questions:  # one after the other: what asks for this one may put that one away
        if question.shown_when:
            open_up(rider, question)
            page = rider.read("section", section.name)
        for path in question.paths():
            assert f'name="{path}"' in page


@pytest.mark.parametrize("test", BENCH_TESTS, ids=lambda place: place.name)
def test_every_bench_test_shows_safety_first_then_its_steps_and_a_drawing(rider, test):
    page = rider.read("bench-test", test.name)
    words = words_of(page)
    places = [words.index(text) for text in (test.safety, test.purpose, *test.steps)]
    assert places == sorted(places)
    assert "<title id=" in page and "<desc id=" in page
    assert f'name="bench.{test.name}.not_done"' in page


def test_a_number_in_another_unit_is_kept_as_typed_and_shown_back_converted(rider):
    rider.save("bike", **{"bike__mass_kg": "440", "bike__mass_kg~unit": "lb", "bike__mass_kg~known": "documented"})
    assert rider.document["bike"]["mass_kg"] == {"value": "440 lb", "known": "documented"}
    page = rider.read("section", "bike")
    assert "440 lb = 199.6 kg" in page
    assert 'value="440"' in page and "<option selected>lb</option>" in page


def test_a_unit_typed_by_hand_outweighs_the_one_picked_beside_it(rider):
    rider.save("fork", **{"fork__travel_mm": "5.5 in", "fork__travel_mm~unit": "cm"})
    assert rider.document["fork"]["travel_mm"] == "5.5 in"


def test_saving_leads_to_the_next_page(rider):
    answer = rider.save("complaint", complaint__words="Harsh.", then="next")
    assert answer.status_code == 302 and answer.url == rider.url("section", "safety")


def test_a_faulty_number_keeps_everything_typed_on_the_page_and_in_the_file(rider):
    answer = rider.save("bike", bike__mass_kg="200", bike__wheelbase_mm="55 parsecs")
    assert answer.url == rider.url("section", "bike") + "#look"
    assert rider.document["bike"] == {"mass_kg": "200", "wheelbase_mm": "55 parsecs"}
    page = rider.read("section", "bike")
    assert 'value="55 parsecs"' in page and 'value="200"' in page
    assert '<a href="#bike-wheelbase_mm">Wheelbase</a>' in page
    assert 'tabindex="-1" autofocus' in page
    assert page.count("The unit &quot;parsecs&quot; is not known") + page.count("unit &quot;parsecs&quot;") >= 2


def test_an_unusual_number_is_asked_back_once_and_does_not_hold_the_rider_up(rider):
    answers = {"rider__mass_kg": "172", "rider__mass_kg~known": "measured"}
    assert rider.save("rider", **answers).url.endswith("/form/rider/#look")
    assert "172 kg is unusual" in words_of(rider.read("section", "rider"))
    assert rider.save("rider", **answers).url == rider.url("section", "use")


def test_unknown_is_an_answer_for_every_kind_of_question(rider):
    rider.save("bike", **{"bike__mass_kg": "", "bike__mass_kg~known": "unknown", "bike__kind": "unknown"})
    rider.save("complaint", **{"complaint__symptoms": "unknown", "complaint__symptoms~shown": "1"})
    rider.save("safety", safety__brake_weak="unknown")
    assert rider.document["bike"] == {"mass_kg": {"known": "unknown"}, "kind": {"known": "unknown"}}
    assert rider.document["complaint"]["symptoms"] == {"known": "unknown"}
    assert rider.document["safety"]["brake_weak"] == {"known": "unknown"}
    assert f"2 of {len(BIKE.questions)}" in words_of(rider.read("case-page"))


def test_unticking_everything_takes_a_list_away_and_an_absent_list_stays(rider):
    rider.save("complaint", **{"complaint__symptoms": ["dives", "leaks"], "complaint__symptoms~shown": "1"})
    rider.save("complaint", complaint__words="It dives.")
    assert rider.document["complaint"]["symptoms"] == ["dives", "leaks"]
    rider.save("complaint", **{"complaint__symptoms~shown": "1"})
    assert "symptoms" not in rider.document["complaint"]


def test_the_right_leg_takes_the_left_ones_answers_only_where_it_is_empty(rider):
    rider.save("springs", **{"fork__left__spring__rate_n_per_mm": "0.95 kgf/mm",
                             "fork__left__spring__rate_n_per_mm~known": "documented",
                             "fork__left__spring__free_length_mm": "300", "fork__right__spring__free_length_mm": "310",
                             "same_as_left": "1"})
    right = rider.document["fork"]["right"]["spring"]
    assert right["rate_n_per_mm"] == {"value": "0.95 kgf/mm", "known": "documented"}
    assert right["free_length_mm"] == "310"


def test_a_question_that_hangs_on_an_answer_comes_and_goes_and_its_answer_stays(rider):
    rider.save("fork", fork__damper="open cartridge")
    rider.save("legs", fork__left__inner_parts_area_mm2="314")
    rider.save("fork", fork__damper="damper rod")
    asked, _, not_needed = rider.read("section", "legs").partition("Not needed any more")
    assert "inner_parts_area" not in asked and 'value="314"' in not_needed
    rider.save("legs", fork__left__oil_level_mm="140")
    assert rider.document["fork"]["left"]["inner_parts_area_mm2"] == "314"
    rider.save("fork", fork__damper="open cartridge")
    assert 'value="314"' in rider.read("section", "legs")


def test_a_number_without_a_word_on_how_it_is_known_is_asked_about(rider):
    rider.save("fork", fork__travel_mm="140")
    assert "How do you know this number?" in rider.read("section", "fork")
    rider.save("fork", **{"fork__travel_mm": "140", "fork__travel_mm~known": "guessed"})
    assert "How do you know this number?" not in rider.read("section", "fork")


def test_another_devices_answer_is_not_undone_by_a_page_that_was_opened_before(rider):
    shown = str(rider.case.current_round.revision)
    save_answers(round=rider.case.current_round, answers={"bike.mass_kg": "210"})
    rider.save("bike", bike__mass_kg="", bike__wheelbase_mm="1430", revision=shown)
    assert rider.document["bike"] == {"mass_kg": "210", "wheelbase_mm": "1430"}


def test_a_page_opened_in_another_round_is_not_saved_in_this_one_but_shown_to_be_looked_at(rider):
    path = "bench.travel.used_mm"
    answer = rider.measure("travel", **{path: "101", "round": "2"})
    assert answer.status_code == 409 and rider.document.get("bench") is None
    page = answer.content.decode()
    assert "another round" in words_of(page) and 'value="101"' in page and 'name="round" value="1"' in page
    rider.measure("travel", **{path: "101", "round": "1"})
    assert rider.document["bench"]["travel"]["used_mm"] == "101"


def test_sag_is_worked_out_as_soon_as_three_readings_are_there(rider):
    rider.measure("sag", bench__sag__extended_mm="140", bench__sag__free_from_below_mm="113",
                  bench__sag__free_from_above_mm="12.1 cm")
    words = words_of(rider.read("bench-test", "sag"))
    assert "Free sag 23 mm half the gap between the two readings: 4 mm" in words
    assert "Rider sag" not in words.split("What you found")[1].split("Shiny tube")[0]


def test_a_test_that_could_not_be_done_counts_as_done_with_its_reason(rider):
    rider.answer_first()
    rider.measure("push", bench__push__not_done="My back hurts.")
    page = words_of(rider.read("case-page"))
    assert "Push with the front brake held left out My back hurts." in page


def test_a_page_that_does_not_exist_and_someone_elses_case_look_alike(rider):
    assert rider.client.get(rider.url("section", "nonsense")).status_code == 404
    other = Rider()
    theirs = rider.client.get(other.url("section", "bike"))
    assert theirs.status_code == 404
    assert rider.client.post(other.url("section", "bike"), {"bike.mass_kg": "1"}).status_code == 404
    assert other.document == {}


def test_what_is_typed_is_shown_as_text_and_never_as_markup(rider):
    rider.save("complaint", complaint__words="<script>alert(1)</script>")
    for page in (rider.read("section", "complaint"), rider.read("check")):
        assert "<script>alert" not in page and "&lt;script&gt;alert" in page


def test_a_page_typed_after_the_hand_in_is_refused_with_its_words_still_on_it(rider):
    rider.complain()
    rider.client.post(rider.url("hand-in"))
    answer = rider.save("bike", bike__mass_kg="201")
    assert answer.status_code == 409
    assert 'value="201"' in answer.content.decode()
    assert "bike" not in rider.document


def test_pages_need_the_cross_site_token():
    from django.test import Client
    strict = Client(enforce_csrf_checks=True)
    answer = strict.post(reverse("case-start"), {"rider_name": "Rider"})
    assert answer.status_code == 403
    assert "still on that page" in words_of(answer.content.decode())


def test_a_text_that_is_too_long_stays_on_the_page_and_the_rest_is_saved():
    rider = Rider()
    answer = rider.save("bike", bike__description="x" * 30_000, bike__mass_kg="210 kg")
    assert answer.status_code == 409 and rider.document["bike"] == {"mass_kg": "210 kg"}
    assert "30000 characters" in answer.content.decode() and "x" * 30_000 in answer.content.decode()
    assert rider.save("bike", bike__description="A red tourer", bike__mass_kg="210 kg").status_code == 302
    assert rider.document["bike"]["description"] == "A red tourer"
