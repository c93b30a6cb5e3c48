"""Gas under pressure is opened by a workshop only; it does not stop the ride by itself."""
from __future__ import annotations

from typing import Any

import pytest

from analysis.document import parse_case
from analysis.gates import opening_is_workshop_only, safety_gates
from analysis.state import kept_closed


def reasons(document: dict[str, Any]) -> tuple[str, ...]:
    return opening_is_workshop_only(parse_case(document))


def test_a_sealed_cartridge_is_not_opened_at_home_and_may_be_ridden() -> None:
    document = {"fork": {"damper": "sealed cartridge"}}
    assert len(reasons(document)) == 1
    assert safety_gates(parse_case(document)) == ()


@pytest.mark.parametrize("damper", ["damper rod", "open cartridge", "separate function"])
def test_an_open_damper_may_be_opened(damper: str) -> None:
    assert reasons({"fork": {"damper": damper}}) == ()


@pytest.mark.parametrize(("typed", "closed"), [
    (1.9, False), (2, False), ("2 bar", False), (2.1, True), ("32 psi", True),
])
def test_above_two_bar_a_workshop_opens_the_leg(typed: object, closed: bool) -> None:
    # Common practice, no source: the limit of two bar.
    assert bool(reasons({"fork": {"right": {"gauge_pressure_bar": typed}}})) is closed


def test_the_leg_is_named_with_its_pressure() -> None:
    (reason,) = reasons({"fork": {"right": {"gauge_pressure_bar": 9}}})
    assert "right leg holds 9 bar" in reason


@pytest.mark.parametrize("sign", ["pressure_unknown", "cap_damaged"])
def test_unknown_pressure_or_a_damaged_cap_keeps_it_closed(sign: str) -> None:
    assert reasons({"safety": {sign: True}})
    assert not reasons({"safety": {sign: False}})


@pytest.mark.parametrize(("sides", "named"), [
    (("left",), "in the left leg:"), (("right",), "in the right leg:"), (("left", "right"), "in both legs:")])
def test_a_little_pressure_is_let_off_by_a_workshop_too(sides: tuple[str, ...], named: str) -> None:
    held = parse_case({"fork": {side: {"gauge_pressure_bar": 0.5} for side in sides}})
    (reason,) = kept_closed(held)
    assert named in reason
    assert kept_closed(parse_case({"fork": {"left": {"gauge_pressure_bar": 0}}})) == ()
