"""A number typed without its unit that is unusual as it stands, and usual in another unit, is offered in that one."""
from __future__ import annotations

import pytest

from analysis.meant import other_meaning
from tests.reference_fork import case, findings


# 4.3 in are 109.2 mm, 14 cm are 140 mm: definitions of the units.
@pytest.mark.parametrize(("path", "typed", "unit", "other", "value", "possible"), [
    ("fork.travel_mm", "4.3", "mm", "in", "109.2 mm", False),
    ("fork.travel_mm", "4.3", "cm", "in", "109.2 mm", True),
    ("fork.left.oil_level_mm", "14", "mm", "cm", "140 mm", True),
])
def test_the_unit_that_makes_it_usual(path: str, typed: str, unit: str, other: str, value: str, possible: bool) -> None:
    meant = other_meaning(path, typed, unit)
    assert meant is not None
    assert (meant.number, meant.unit, meant.other, meant.value) == (typed, unit, other, value)
    assert meant.possible == possible


@pytest.mark.parametrize(("path", "typed"), [
    ("fork.travel_mm", "120"), ("fork.travel_mm", "999999"), ("fork.travel_mm", "a lot"), ("bike.kind", "1"),
    ("bike.front_share", "0.5"), ("nobody.asks", "1")])
def test_nothing_is_offered_where_no_unit_makes_it_usual(path: str, typed: str) -> None:
    assert other_meaning(path, typed, "mm") is None


# 28 st are 178 kg and 42 st are 267 kg: definition of the stone.
def test_a_child_s_light_bike_is_not_asked_for_in_stone() -> None:
    assert other_meaning("bike.mass_kg", "42", "kg") is None
    meant = other_meaning("rider.mass_kg", "13", "kg")
    assert meant is not None and meant.other == "st"


# 5.5 in are 139.7 mm, as in the papers; 5.5 mm is oil to the brim.
@pytest.mark.parametrize(("typed", "kind"), [(5.5, "cannot tell yet"), ("5,5", "cannot tell yet"), ("5.5 mm", "cause")])
def test_no_cause_is_named_on_a_number_whose_unit_is_in_doubt(typed: object, kind: str) -> None:
    found = findings(case({"oil_level_mm": typed}))
    assert found["verdict"]["kind"] == kind and bool(found["advice"]) == (kind == "cause")
    why = " ".join(found["verdict"]["why_open"])
    assert ("another unit" in why and "Did you mean 5.5 in?" in why) == (kind != "cause")


def test_a_doubted_unit_that_carries_nothing_holds_nothing_up() -> None:
    assert findings(case({"oil_level_mm": 60}, rider={"mass_kg": 190}))["verdict"]["kind"] == "cause"


# 30 cm would be 160 mm from the papers' 140 mm, 30 mm is 110 mm from it; 14 cm would be just it.
@pytest.mark.parametrize(("typed", "book", "kind"), [(30, 140, "cause"), (14, 140, "cannot tell yet"),
                                                     (30, None, "cannot tell yet")])
def test_a_level_is_doubted_where_another_unit_fits_the_papers_better(typed: float, book: float | None, kind: str,
                                                                      ) -> None:
    assert findings(case({"oil_level_mm": typed, "oil_level_book_mm": book}))["verdict"]["kind"] == kind
