"""What was typed is shown back converted, so that a slip is seen at once."""
from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.document import echo, parse_case


@pytest.mark.parametrize(("path", "raw", "shown"), [
    ("fork.left.oil_level_mm", "4.3 in", "4.3 in = 109.2 mm"),
    ("fork.left.oil_level_mm", {"value": '4.3"', "known": "guessed"}, '4.3" = 109.2 mm'),
    ("fork.left.oil_level_mm", "110,5 mm", "110,5 mm = 110.5 mm"),
    ("bike.wheelbase_mm", "1,450 mm", "1,450 mm = 1450 mm"),
    ("fork.left.spring.rate_n_per_mm", "1,050 kg/mm", "1,050 kg/mm = 10.3 N/mm"),
    ("fork.left.gauge_pressure_bar", "12 psi", "12 psi = 0.8274 bar above the air outside"),
    ("fork.left.oil_volume_ml", "16 fl oz", "16 fl oz = 473.2 ml (US fluid ounces)"),
    ("fork.left.oil_volume_ml", "16 imp fl oz", "16 imp fl oz = 454.6 ml"),
    ("bike.front_share", "49 %", "49 % = 0.49"),
    ("use.temperature_c", "68 °F", "68 °F = 20 °C"),
    ("fork.left.preload_pitch_mm_per_turn", "0.05 in/turn", "0.05 in/turn = 1.27 mm"),
])
def test_a_converted_value_is_shown_beside_what_was_typed(path: str, raw: object, shown: str) -> None:
    assert echo(path, raw) == shown


@pytest.mark.parametrize(("path", "raw"), [
    ("fork.left.oil_level_mm", 110), ("fork.left.oil_level_mm", "110"), ("fork.left.oil_level_mm", "110 mm"),
    ("fork.left.oil_level_mm", None), ("fork.left.oil_level_mm", "75 kg"),
    ("fork.left.oil_level_mm", {"known": "unknown"}),
    ("fork.left.rebound.clicks_out", "12 clicks"), ("fork.left.preload_turns_in", "3 turns"),
    ("use.braking_g", "0.9 g"),
    ("fork.damper", "damper rod"), ("no.such.path", "4.3 in"), ("bike.rake_deg", "24°"), ("use.temperature_c", "20 °C"),
])
def test_where_nothing_is_converted_nothing_is_said(path: str, raw: object) -> None:
    assert echo(path, raw) == ""


@given(st.sampled_from([
    ("bike.mass_kg", "lb", 100, 900), ("bike.mass_kg", "st", 10, 70), ("fork.travel_mm", "in", 2, 15),
    ("fork.left.oil_volume_ml", "fl oz", 5, 50), ("fork.left.spring.rate_n_per_mm", "lbf/in", 20, 300),
    ("tyres.pressure_front_bar", "psi", 10, 60), ("use.temperature_c", "°F", 0, 100),
    ("bike.rake_deg", "rad", 0.2, 0.8),
]), st.floats(0, 1))
def test_the_echo_typed_in_again_is_the_same_answer(field: tuple[str, str, float, float], share: float) -> None:
    path, unit, low, high = field
    typed = f"{low + share * (high - low):.5f} {unit}"
    left, right = echo(path, typed).split(" = ")
    shown = right.removesuffix(" above the air outside").removesuffix(" (US fluid ounces)")
    assert left == typed
    assert _value(path, shown) == pytest.approx(_value(path, typed), rel=6e-4)


def _value(path: str, raw: str) -> object:
    document: object = raw
    for key in reversed(path.split(".")):
        document = {key: document}
    return parse_case(document).value(path)
