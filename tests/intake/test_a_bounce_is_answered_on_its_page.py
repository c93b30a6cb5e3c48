"""A bounce that stands in a test's answers is answered at once, on the page it was handed in on."""
import numpy as np
import pytest

from analysis.catalogue import BENCH_TESTS, QUESTIONS
from intake.instruments import BY_PATH, instrument_for
from intake.reading import bounce_result, readable_case

TIMES = np.arange(0, 2.5, 1 / 60)


def swings(zeta, hertz=2.0):
    """A curve as the phone hands it in: 60 mm down, let go, dying away; the closed form of a damped swing."""
    own = 2 * np.pi * hertz
    slope = zeta / np.sqrt(1 - zeta**2)
    angle = own * np.sqrt(1 - zeta**2) * TIMES
    height = 60 - 60 * np.exp(-zeta * own * TIMES) * (np.cos(angle) + slope * np.sin(angle))
    return "\n".join(f"{t:.4f}; {mm:.2f}" for t, mm in zip(TIMES, height, strict=True))


@pytest.mark.parametrize("test", ["rebound", "rear_bounce"])
def test_a_curve_gives_damping_ratio_and_frequency(test):
    found = bounce_result(readable_case({"bench": {test: {"trace": swings(0.3)}}}), test)
    assert found is not None
    assert abs(found["damping_ratio"]["value"] - 0.3) < 0.01 and abs(found["natural_hz"]["value"] - 2.0) < 0.02


def test_a_curve_that_is_no_bounce_is_answered_with_why():
    still = "\n".join(f"{t:.4f}; 60.0" for t in TIMES)
    found = bounce_result(readable_case({"bench": {"rebound": {"trace": still}}}), "rebound")
    assert found is not None and found["damping_ratio"] is None and "hardly moved" in found["words"]


def test_counting_alone_says_nothing_that_the_rider_did_not_say():
    assert bounce_result(readable_case({"bench": {"rebound": {"swings": "none"}}}), "rebound") is None


def test_other_tests_have_no_such_answer():
    assert bounce_result(readable_case({"bench": {"rebound": {"trace": swings(0.3)}}}), "sag") is None


def test_the_answer_stands_on_the_page(rider):
    address = f"/{rider.case.number}/bench/rebound/"
    rider.client.post(address, {"bench.rebound.trace": swings(0.3), "then": "stay"})
    page = rider.client.get(address).content.decode()
    assert 'id="bounce"' in page and "0.30" in page and 'data-instrument="clip"' in page


def test_a_test_that_must_not_be_done_offers_no_instrument(rider):
    rider.client.post(f"/{rider.case.number}/bench/rebound/", {"bench.rebound.swings": "none", "then": "stay"})
    rider.client.post(f"/{rider.case.number}/form/safety/", {"safety.crack_or_crease": "yes"})
    page = rider.client.get(f"/{rider.case.number}/bench/rebound/").content.decode()
    assert "leave this test out" in page and "data-instrument" not in page


def test_every_instrument_stands_beside_a_question_it_can_answer():
    assert set(BY_PATH) <= set(QUESTIONS)
    units = {"stopwatch": "s", "level": "degree"}
    for path, instrument in BY_PATH.items():
        question = QUESTIONS[path]
        assert question.unit == units.get(instrument.name, "")
        assert set(instrument.answers) <= {choice.value for choice in question.choices}
    traces = [question for test in BENCH_TESTS for question in test.questions if question.trace]
    assert traces and all(instrument_for(question).name == "clip" for question in traces)
