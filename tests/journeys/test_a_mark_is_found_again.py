"""The reckoning behind the film and the level, run by itself where it will run: in a browser."""
import base64

import numpy as np
import pytest

from tests.journeys.phone_page import ADDRESS, phone_with

pytestmark = pytest.mark.browser
SIZE = 120
MODULES = {"tracker", "follower", "trace", "graph", "angle"}


@pytest.fixture(scope="module")
def run(browser):
    """Run JavaScript that has the modules by name, with one argument."""
    with phone_with(browser, "awake", "") as page:
        page.goto(ADDRESS)
        lines = " ".join(f'const {name} = await import("/static/intake/{name}.js");' for name in sorted(MODULES))
        yield lambda script, argument=None: page.evaluate(f"async (given) => {{ {lines} {script} }}", argument)


def blob(x, y, light=1.0):
    """A soft orange spot on grey, its middle between the pixels."""
    row, col = np.mgrid[0:SIZE, 0:SIZE]
    share = np.exp(-((col - x) ** 2 + (row - y) ** 2) / (2 * 5.0**2))[..., None]
    return light * (np.array([120, 124, 130]) * (1 - share) + np.array([240, 90, 30]) * share)


def pattern(x, y, light=1.0):
    """A chequered crossing, black on white, larger than what is looked at: no blob."""
    row, col = np.mgrid[0:SIZE, 0:SIZE]
    smooth = np.tanh((col - x) / 1.5) * np.tanh((row - y) / 1.5)
    return light * (128 + 90 * smooth[..., None] * np.ones(3))


def as_patch(picture):
    whole = np.dstack([np.clip(np.round(picture), 0, 255), np.full((SIZE, SIZE), 255)]).astype(np.uint8)
    return {"data": base64.b64encode(whole.tobytes()).decode(), "width": SIZE, "height": SIZE, "left": 0, "top": 0}


def found(run, first, start, second):
    return run("for (const patch of [given.first, given.second]) "
               "patch.data = Uint8Array.from(atob(patch.data), (one) => one.charCodeAt(0));"
               "const mark = tracker.learn(given.first, ...given.start);"
               "return mark.problem ? mark : tracker.find(mark, given.second);",
               {"first": as_patch(first), "start": start, "second": as_patch(second)})


@pytest.mark.parametrize("draw", [blob, pattern])
@pytest.mark.parametrize(("by", "light"), [((0.0, 0.0), 1), ((7.3, -4.6), 1), ((-9.5, 11.25), 1), ((3.4, 3.7), 0.75)])
def test_a_mark_is_placed_to_a_tenth_of_a_pixel_in_any_light(run, draw, by, light):
    here = found(run, draw(60, 60), [60, 60], draw(60, 60))
    there = found(run, draw(60, 60), [60, 60], draw(60 + by[0], 60 + by[1], light))
    assert abs(there["x"] - here["x"] - by[0]) < 0.1 and abs(there["y"] - here["y"] - by[1]) < 0.1


def test_what_is_gone_is_not_found(run):
    noise = np.random.default_rng(3).uniform(0, 255, (SIZE, SIZE, 3))
    assert found(run, blob(60, 60), [60, 60], noise) is None


@pytest.mark.parametrize(("picture", "problem"), [
    (blob(60, 60) * 0.1, "dark"), (np.full((SIZE, SIZE, 3), 140.0), "alike"),
    (blob(40, 60) + blob(72, 60) - np.array([120, 124, 130]), "alike"),
])
def test_a_mark_that_could_be_taken_for_something_else_is_refused(run, picture, problem):
    start = [60, 60] if problem == "dark" else [40, 60]
    assert found(run, picture, start, picture) == {"problem": problem}


def test_a_mark_at_the_edge_is_refused(run):
    assert found(run, blob(8, 60), [8, 60], blob(8, 60)) == {"problem": "edge"}


def test_motion_is_measured_along_its_own_line_and_up_is_more(run):
    way = np.array([0.6, -0.8])
    points = [{"x": 50 + s * way[0], "y": 90 + s * way[1]} for s in (0, 10, 25, 5)]
    assert run("return trace.alongMotion(given, 2)", points) == pytest.approx([0, 20, 50, 10])


def test_pictures_left_out_do_not_change_the_rate(run):
    times = [n / 30 for n in range(60) if n % 7 and n % 5]
    assert run("return trace.picturesPerSecond(given)", times) == pytest.approx(30, abs=1e-6)


def test_slowed_pictures_get_their_real_times_back(run):
    times = [2 + n / 30 for n in range(90)]
    real = run("return trace.realTimes(given, 240)", times)
    assert real["times"][0] == 0 and real["times"][-1] == pytest.approx(89 / 240)
    assert run("return trace.realTimes(given, 0)", times)["times"][-1] == pytest.approx(89 / 30)


def test_a_film_with_more_pictures_than_were_taken_is_refused(run):
    assert run("return trace.realTimes(given, 30)", [n / 60 for n in range(60)]) == {"problem": "rate", "held": 60}


def test_no_more_than_six_hundred_points_are_handed_in_and_none_is_dropped(run):
    times, mm = [n / 240 for n in range(2000)], [float(n) for n in range(2000)]
    pairs = np.array(run("return trace.thinned(given.times, given.mm)", {"times": times, "mm": mm}))
    assert len(pairs) == 500 and np.allclose(pairs[:, 1] / 240, pairs[:, 0]) and pairs[:, 1].mean() == 999.5


def test_the_scale_of_a_curve_has_round_numbers(run):
    assert run("return graph.ticks(1.58, 5)") == [0, 0.5, 1, 1.5]
    assert run("return graph.ticks(87, 4)") == [0, 50]
    assert run("return graph.ticks(0.3, 5)") == pytest.approx([0, 0.1, 0.2, 0.3])


@pytest.mark.parametrize(("beta", "up"), [(0, 0), (66, 66), (-10, -10), (100, 80), (-170, -10)])
def test_the_phones_long_edge_against_level(run, beta, up):
    assert run("return angle.pitch(given)", beta) == pytest.approx(up)
