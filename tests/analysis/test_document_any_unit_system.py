"""The same bike told in metric, US and imperial units is the same case.

The unit definitions are those of the 1959 yard and pound agreement and the 1901 CGPM.  Kind: exact by definition.
"""
from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.document import parse_case

POUND, INCH, GRAVITY = 0.45359237, 25.4, 9.80665


def bike(
    mass: object, travel: object, rate: object, volume: object, pressure: object, warmth: object,
) -> dict[str, Any]:
    leg = {"spring": {"rate_n_per_mm": rate}, "oil_volume_ml": volume, "gauge_pressure_bar": pressure}
    return {"bike": {"mass_kg": mass}, "fork": {"travel_mm": travel, "left": leg, "right": leg},
            "use": {"temperature_c": warmth}}


@given(st.floats(80, 400), st.floats(80, 300), st.floats(4, 12), st.floats(200, 1200), st.floats(0, 1),
       st.floats(-10, 40))
def test_any_unit_system_gives_the_same_case(
    kg: float, mm: float, rate: float, ml: float, bar: float, celsius: float,
) -> None:
    metric = parse_case(bike(kg, mm, rate, ml, bar, celsius))
    others = [
        bike(f"{kg / POUND:.12g} lb", f"{mm / INCH:.12g} in", f"{rate * INCH / POUND / GRAVITY:.12g} lbf/in",
             f"{ml / 29.5735295625:.12g} fl oz", f"{bar * 1e5 / 6894.757293168362:.12g} psi",
             f"{celsius * 1.8 + 32:.12g} °F"),
        bike(f"{kg / POUND / 14:.12g} st", f'{mm / INCH:.12g}"', f"{rate / GRAVITY:.12g} kg/mm",
             f"{ml / 28.4130625:.12g} imp fl oz", f"{bar * 100:.12g} kPa", f"{celsius + 273.15:.12g} K"),
        bike(f"{kg:.12g} kg".replace(".", ","), f"{mm / 10:.12g} cm", f"{rate * 1000:.12g} N/m", f"{ml:.12g} cc",
             f"{bar * 1000:.12g} mbar", f"{celsius:.12g}°"),
    ]
    for document in others:
        case = parse_case(document)
        assert case.answers.keys() == metric.answers.keys()
        for path, answer in metric.answers.items():
            assert case.value(path) == pytest.approx(answer.value, rel=1e-9, abs=1e-6)
            assert case.answers[path].sd == pytest.approx(answer.sd, rel=1e-9)


@pytest.mark.parametrize(("typed", "metres"), [
    ("1.25 mm/turn", 1.25e-3), ("1,25 mm/rev", 1.25e-3), ("0.05 in/turn", 1.27e-3), (1.25, 1.25e-3)])
def test_a_threads_pitch_may_be_given_for_one_turn(typed: object, metres: float) -> None:
    case = parse_case({"fork": {"left": {"preload_pitch_mm_per_turn": typed}}})
    assert case.value("fork.left.preload_pitch_mm_per_turn") == pytest.approx(metres)


def test_braking_may_be_given_with_its_g() -> None:
    assert parse_case({"use": {"braking_g": "0.9 g"}}).value("use.braking_g") == pytest.approx(0.9)
