"""How a deep compression ended, told from its own motion: a mass thrown onto a spring, onto air, onto a dead stop.

The motions come from integrating Newton's law, not from the code under test.
"""
import numpy as np
import pytest
from scipy.integrate import solve_ivp

from analysis.air import circle_area
from analysis.travel_agreement import Stop, agreement, observed_stop, predicted_stops
from analysis.travel_events import HARD, SMOOTH, UNCLEAR, UNSEEN, WALL, Visit, visits
from analysis.travel_log import travel_log
from analysis.travel_signal import signal

MASS, SAG, RATE, AREA, STROKE = 100.0, 0.035, 17_000.0, circle_area(0.041), 0.140
CYCLE = 0.8


def spring(x):
    return RATE * (0.02 + x)


def with_air(left):
    """Springs and the air of both legs; beyond the last half millimetre of air the oil is as stiff as steel."""
    room = left + AREA * STROKE
    solid = min(room / AREA, STROKE) - 5e-4

    def force(x):
        squeezed = (room / (room - AREA * min(x, solid))) ** 1.2
        return spring(x) + 2 * 101_325.0 * AREA * (squeezed - 1) + 5e6 * max(x - solid, 0)
    return force


def thrown(force, speed, rate=1000.0, damping=800.0, times=1):
    """A mass at rest at its sag is thrown down at ``speed``, again and again."""
    time = np.arange(0, CYCLE, 1 / rate)
    load = force(SAG)
    path = solve_ivp(lambda _, y: [y[1], (load - force(y[0]) - damping * y[1]) / MASS], (0, CYCLE), [SAG, speed],
                     t_eval=time, max_step=2e-4)
    return signal(np.concatenate([time + i * (CYCLE + 1) for i in range(times)]), np.tile(path.y[0], times), None)


def shapes(one):
    return [visit.shape for visit in visits(one, 0.005)]


@pytest.mark.parametrize("force, speed, rate, shape", [
    (spring, 1.5, 1000, SMOOTH), (spring, 2.0, 400, SMOOTH), (spring, 1.5, 200, SMOOTH),
    (with_air(70.8e-6), 1.5, 1000, SMOOTH), (with_air(70.8e-6), 1.5, 500, SMOOTH),
    (with_air(-29e-6), 2.0, 1000, WALL), (with_air(-29e-6), 2.0, 500, WALL),
    (with_air(-29e-6), 3.0, 1000, HARD), (with_air(-29e-6), 3.0, 500, HARD), (with_air(-29e-6), 3.0, 200, UNCLEAR),
    (lambda x: spring(x) + 3e6 * max(x - 0.1, 0), 2.5, 1000, HARD)])
def test_spring_air_and_dead_stop_are_told_apart(force, speed, rate, shape):
    assert shapes(thrown(force, speed, rate)) == [shape]


def test_without_damping_a_spring_is_still_smooth():
    assert set(shapes(thrown(spring, 1.5, damping=0.0))) == {SMOOTH}


def test_a_flat_top_is_a_dead_stop():
    one = thrown(spring, 2.0)
    assert shapes(signal(one.time, np.minimum(one.travel, 0.09), None)) == [HARD]


def test_noise_of_a_converter_leaves_the_shapes():
    rng = np.random.default_rng(1)
    for force, speed, shape in ((with_air(-29e-6), 3.0, HARD), (with_air(70.8e-6), 1.5, SMOOTH)):
        one = thrown(force, speed)
        step = 0.15 / 4096
        noisy = np.round(one.travel / step + rng.normal(0, 0.5, one.travel.size)) * step
        assert shapes(signal(one.time, noisy, None)) == [shape]


def test_each_visit_has_its_time_stroke_and_speed_going_in():
    one = thrown(spring, 1.5, damping=0.0, times=3)
    found = [visit for visit in visits(one, 0.005)]
    omega = (RATE / MASS) ** 0.5
    amplitude = 1.5 / omega
    first = found[0]
    # A mass thrown from rest: x = A sin ωt, deepest after a quarter swing, √(A² − (A − d)²) ω at d before it.
    assert first.time == pytest.approx(np.pi / 2 / omega, abs=2e-3)
    assert first.stroke == pytest.approx(SAG + amplitude, abs=1e-4)
    assert first.speed == pytest.approx(omega * (amplitude**2 - (amplitude - 0.005) ** 2) ** 0.5, rel=0.05)
    assert [round(v.time - first.time, 2) for v in found if v.time % (CYCLE + 1) < 0.2] == [0, 1.8, 3.6]


def test_a_log_that_begins_deep_does_not_say_how_it_got_there():
    one = thrown(spring, 1.5)
    deep = int(np.argmax(one.travel))
    assert shapes(signal(one.time[deep:] - one.time[deep], one.travel[deep:], None)) == [UNSEEN]


def test_trembling_at_the_edge_is_one_visit():
    time = np.arange(0, 4, 0.002)
    travel = np.interp(time, [0, 1, 2, 4], [0.02, 0.1, 0.1, 0.02]) - 0.0045 + 0.001 * np.sin(2 * np.pi * 9 * time)
    assert len(visits(signal(time, travel, None), 0.005)) == 1


LOCK = Stop("the air of the left leg runs out", 0.118, 0.109, 0.127)


@pytest.mark.parametrize("deepest, wall, result", [
    (0.115, 0.115, "agrees"), (0.112, None, "agrees"), (0.1075, 0.1075, "agrees"), (0.101, 0.101, "stops elsewhere"),
    (0.090, None, "not reached"), (0.1295, 0.1295, "went beyond"), (0.1285, 0.1285, "agrees")])
def test_a_predicted_stop_is_held_against_the_log(deepest, wall, result):
    found = agreement(LOCK, deepest, wall)
    assert found.result == result
    assert found.words.startswith("Predicted that the air of the left leg runs out at 118 mm (109 to 127 mm);")
    assert f"{deepest * 1e3:.0f} mm" in found.words


def test_full_stroke_is_no_prediction():
    assert agreement(Stop("full stroke", 0.14, 0.14, 0.14), 0.14, None).words.startswith("Full stroke is 140 mm;")


def test_going_beyond_what_braking_reaches_is_not_against_it():
    braking = Stop("hard braking reaches", 0.08, 0.074, 0.0865, firm=False)
    assert "not against" in agreement(braking, 0.1, None).words
    assert "wrong" in agreement(LOCK, 0.135, None).words


def test_the_wall_is_the_middle_of_the_sudden_ends():
    seen = [Visit(0, x, 1.0, shape) for x, shape in ((0.1, HARD), (0.101, WALL), (0.102, HARD), (0.12, SMOOTH))]
    assert observed_stop(seen) == 0.101
    assert observed_stop(seen[3:]) is None


def test_findings_give_the_predicted_stops():
    findings = {"fork": {
        "left": {"lock_stroke_mm": 118.0, "spread": {"lock_stroke_mm": 5.0}}, "right": {"lock_stroke_mm": None},
        "usable_stroke_mm": {"found": 80.0}, "coil_bind_stroke_mm": {"found": 130.0},
        "spread": {"usable_stroke_mm": {"found": [74.0, 86.0]}, "coil_bind_stroke_mm": {"found": None}}},
        "marks": {"stroke_mm": 140.0}}
    stops = {stop.name: stop for stop in predicted_stops(findings)}
    assert list(stops) == ["the air of the left leg runs out", "the coils touch", "hard braking reaches", "full stroke"]
    assert stops["the air of the left leg runs out"].low == pytest.approx(0.118 - 1.645 * 0.005)
    assert stops["hard braking reaches"].high == pytest.approx(0.086) and not stops["hard braking reaches"].firm
    assert predicted_stops({}) == ()


def test_a_locked_fork_agrees_with_its_lock_and_not_with_full_stroke():
    one = thrown(with_air(-29e-6), 3.0, times=3)
    lock = STROKE - 29e-6 / AREA
    one = signal(one.time, np.maximum(one.travel, 0), STROKE)
    log = travel_log(one, [Stop("lock", lock, lock - 0.008, lock + 0.008), Stop("full stroke", STROKE, STROKE, STROKE)])
    assert [row.result for row in log.agreements] == ["agrees", "stops elsewhere"]
