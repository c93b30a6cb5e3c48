"""Exact oil amounts for each leg, how sure they are, and the order of work."""
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.air import circle_area, compressed_volume, compression_ratio, extended_volume
from analysis.service import LegSheet, leg_sheet, service_sheet
from tests.reference_fork import case, findings

ML = 1e-6
KNOWN = {
    "gas_area": circle_area(0.036), "seal_area": circle_area(0.041), "stroke": 0.140, "level_now": 0.042,
    "level_to_set": 0.140, "level_book": 0.140, "amount_book": 520 * ML, "steel": 53.7 * ML, "cap": 18 * ML,
}
SPREADS = {
    "gas_area": 8.5e-6, "seal_area": 6.4e-6, "stroke": 0.002, "level_now": 0.002, "level_to_set": 0.001,
    "level_book": 0.001, "amount_book": 3 * ML, "steel": 4 * ML, "cap": 2 * ML,
}
RIGHT = KNOWN | {"level_now": 0.139}


# Arithmetic on the reference leg; the shares that stay behind are common practice, no source.
def test_the_amounts_for_an_over_filled_leg():
    sheet = leg_sheet(**KNOWN)
    assert sheet.draw_off / ML == pytest.approx(99.8, abs=0.05)
    assert sheet.dry_fill / ML == pytest.approx(520)
    assert sheet.drained_fill / ML == pytest.approx(494)
    assert sheet.not_pumped_fill / ML == pytest.approx(442)
    assert sheet.air_volume / ML == pytest.approx(70.8, abs=0.05)
    assert sheet.ratio == pytest.approx(3.61, abs=0.005)


def test_inputs_held_for_exact_leave_only_the_spread_of_what_stays_behind():
    spread = leg_sheet(**KNOWN).spread
    assert spread["draw_off"] == spread["dry_fill"] == spread["air_volume"] == spread["ratio"] == 0.0
    assert spread["drained_fill"] == pytest.approx(520 * ML * 0.015)
    assert spread["not_pumped_fill"] == pytest.approx(520 * ML * 0.04)


@given(now=st.floats(0.02, 0.3), to_set=st.floats(0.09, 0.3))
def test_drawing_off_brings_the_oil_to_the_level(now, to_set):
    sheet = leg_sheet(**KNOWN | {"level_now": now, "level_to_set": to_set})
    assert now + sheet.draw_off / KNOWN["gas_area"] == pytest.approx(to_set, abs=1e-12)
    assert sheet.dry_fill == pytest.approx(520 * ML - KNOWN["gas_area"] * (to_set - 0.140), abs=1e-12)


def test_each_spread_is_that_of_many_drawn_legs():
    draw = np.random.default_rng(11)
    many = {name: draw.normal(value, SPREADS[name], 100_000) for name, value in KNOWN.items()}
    air = compressed_volume(many["gas_area"], many["level_to_set"], many["steel"], many["cap"])
    stays = {name: draw.normal(*share, 100_000) for name, share in {"in": (0.05, 0.015), "not": (0.15, 0.04)}.items()}
    drawn = {
        "draw_off": many["gas_area"] * (many["level_to_set"] - many["level_now"]), "dry_fill": many["amount_book"],
        "drained_fill": many["amount_book"] * (1 - stays["in"]),
        "not_pumped_fill": many["amount_book"] * (1 - stays["not"]),
        "air_volume": air, "ratio": compression_ratio(air, extended_volume(air, many["seal_area"], many["stroke"])),
    }
    spread = leg_sheet(**KNOWN, sd=SPREADS).spread
    assert set(spread) == set(drawn)
    for name, values in drawn.items():
        assert spread[name] == pytest.approx(np.std(values), rel=0.04), name


def test_a_level_other_than_the_books_makes_the_amount_less_sure():
    as_book, higher = (leg_sheet(**KNOWN | {"level_to_set": level}, sd=SPREADS) for level in (0.140, 0.130))
    assert higher.dry_fill - as_book.dry_fill == pytest.approx(0.010 * KNOWN["gas_area"])
    assert higher.spread["dry_fill"] > as_book.spread["dry_fill"] == pytest.approx(3 * ML)


@pytest.mark.parametrize("missing, gone", [
    ("gas_area", {"draw_off", "air_volume", "ratio"}), ("level_now", {"draw_off"}), ("seal_area", {"ratio"}),
    ("stroke", {"ratio"}), ("steel", {"air_volume", "ratio"}), ("cap", {"air_volume", "ratio"}),
    ("amount_book", {"dry_fill", "drained_fill", "not_pumped_fill"}),
    ("level_book", {"dry_fill", "drained_fill", "not_pumped_fill"}),
    ("level_to_set", {"draw_off", "air_volume", "ratio"}),
])
def test_what_is_not_known_leaves_a_gap_and_never_a_guess(missing, gone):
    sheet = leg_sheet(**KNOWN | {missing: None}, sd=SPREADS)
    names = ("draw_off", "dry_fill", "drained_fill", "not_pumped_fill", "air_volume", "ratio")
    assert {name for name in names if getattr(sheet, name) is None} == gone
    assert set(sheet.spread) == set(names) - gone


def test_another_level_cannot_be_poured_without_the_bore():
    sheet = leg_sheet(**KNOWN | {"gas_area": None, "level_to_set": 0.130})
    assert sheet.dry_fill is None and sheet.drained_fill is None


def test_nothing_known_gives_nothing():
    assert leg_sheet() == LegSheet()


def test_an_excess_found_another_way_stands_in_for_a_level_that_was_not_read():
    sheet = leg_sheet(**KNOWN | {"level_now": None}, excess=80 * ML, sd={"excess": 9 * ML})
    assert (sheet.draw_off, sheet.spread["draw_off"]) == pytest.approx((80 * ML, 9 * ML))
    assert leg_sheet(**KNOWN, excess=80 * ML).draw_off / ML == pytest.approx(99.8, abs=0.05)


def test_a_level_that_leaves_hardly_any_air_has_a_ratio_of_no_known_spread():
    just = leg_sheet(**KNOWN | {"cap": KNOWN["gas_area"] * 0.140 - 53.7 * ML - 1e-12}, sd=SPREADS)
    assert just.ratio > 1e6
    assert "ratio" not in just.spread and "air_volume" in just.spread


def test_the_difference_between_the_legs_and_its_spread():
    left, right = leg_sheet(**KNOWN, sd=SPREADS), leg_sheet(**RIGHT, sd=SPREADS)
    sheet = service_sheet(left, right, "damper rod")
    assert sheet.difference == pytest.approx(KNOWN["gas_area"] * (0.139 - 0.042))
    assert sheet.difference_sd == pytest.approx(np.hypot(left.spread["draw_off"], right.spread["draw_off"]))
    unknown = service_sheet(left, leg_sheet(), "damper rod")
    assert unknown.difference is None and unknown.difference_sd is None


def order(damper="open cartridge", left=KNOWN, right=RIGHT, **more):
    return service_sheet(leg_sheet(**left, sd=SPREADS), leg_sheet(**right, sd=SPREADS), damper, **more).order


def place(steps, words):
    found = [number for number, step in enumerate(steps) if words in step]
    assert found, f"no step says {words!r}"
    return found[0]


@pytest.mark.parametrize("damper", ["damper rod", "open cartridge", "separate function", None])
def test_the_work_is_safe_before_it_is_exact(damper):
    steps = order(damper)
    sequence = [
        "Write down every setting", "stand under the frame", "Cover the brake disc", "preload adjusters right out",
        "Unscrew the cap", "Both springs must be out", "both legs are fully together", "ten",
        "Left leg: draw off about 100 ml, give or take 2 ml.", "Keep what you drew off", "fully extended", "torque"]
    places = [place(steps, words) for words in sequence]
    assert places == sorted(places)


def test_the_level_decides_and_the_legs_end_equal():
    steps = order()
    assert "140 mm (within 2 mm)" in steps[place(steps, "Left leg: draw off")]
    assert "the level decides, not the millilitres" in steps[place(steps, "Left leg: draw off")]
    assert "520 ml into a dry leg" in steps[place(steps, "Left leg: if all")]
    assert "494 ml after draining and pumping, 442 ml after draining only" in steps[place(steps, "Left leg: if all")]
    assert place(steps, "Right leg: the oil already stands right")
    assert place(steps, "within 2 mm of each other")


# Read on a hanging leg at the papers' 140 mm: pushed together it would stand above the rim.
@pytest.mark.parametrize("left", [
    KNOWN | {"level_now": -0.040}, KNOWN | {"level_now": 0.015},
    KNOWN | {"level_now": None, "excess": KNOWN["gas_area"] * 0.150}])
def test_oil_that_would_run_over_the_rim_is_drawn_off_on_the_way(left):
    steps = order(left=left)
    assert place(steps, "Left leg: by our reckoning the oil reaches the rim") < place(steps, "Raise the wheel gently")
    assert not any("Right leg: by our reckoning" in step for step in steps)


def test_oil_with_room_below_the_rim_is_left_until_the_leg_is_together():
    assert not any("reaches the rim" in step for step in order())
    assert not any("reaches the rim" in step for step in order(left=KNOWN | {"level_now": None, "excess": 99.8 * ML}))


def test_too_little_oil_is_added():
    assert place(order(left=KNOWN | {"level_now": 0.180}), "Left leg: add about 41 ml, give or take 2 ml.")


def test_a_missing_reading_still_gives_a_way_to_the_level():
    assert place(order(left=KNOWN | {"level_now": None}), "Left leg: bring the oil to 140 mm")


def test_a_missing_level_to_set_leaves_only_amounts():
    only = {"amount_book": 520 * ML, "excess": 26 * ML}
    steps = service_sheet(leg_sheet(**only), leg_sheet(amount_book=520 * ML), "damper rod").order
    assert place(steps, "Left leg: draw off about 26 ml. Read the level before and after")
    assert steps[place(steps, "Right leg:")].endswith("what stays inside counts.")


def test_nothing_known_sends_to_the_manual():
    assert place(order(left={}), "Left leg: no amount can be given yet.")


def test_a_level_that_would_lock_the_leg_is_not_set():
    steps = order(left=KNOWN | {"level_to_set": 0.060, "level_book": 0.060})
    assert place(steps, "Left leg: do not set 60 mm yet.")
    assert not any("Left leg: draw off" in step or "Left leg: if all" in step for step in steps)


@pytest.mark.parametrize("damper, right", [
    ("separate function", KNOWN), ("open cartridge", KNOWN | {"level_to_set": 0.12})])
def test_legs_with_different_numbers_are_not_made_equal(damper, right):
    steps = order(damper, right=right)
    assert place(steps, "do not make them equal")
    assert not any("within 2 mm of each other" in step for step in steps)


def test_an_unknown_inside_is_looked_up_first():
    assert order(None)[0].startswith("Find out from the manual what is inside")


@pytest.mark.parametrize("damper, pressurised", [("sealed cartridge", None), ("open cartridge", True), (None, True)])
def test_a_sealed_or_pressurised_leg_is_for_a_workshop_only(damper, pressurised):
    left, right = leg_sheet(**KNOWN), leg_sheet(**KNOWN | {"level_now": 0.150})
    sheet = service_sheet(left, right, damper, pressurised=pressurised)
    assert sheet.workshop_only
    assert sheet.order[0].startswith("Do not open")
    assert not any(word in " ".join(sheet.order) for word in ("Unscrew", "draw off", "Pump"))
    assert "about 100 ml too much in it now" in sheet.order[place(sheet.order, "left leg")]
    assert "about 10 ml too little in it now" in sheet.order[place(sheet.order, "right leg")]


def test_the_workshop_gets_no_number_that_is_not_known_or_would_lock():
    locking = leg_sheet(**KNOWN | {"level_to_set": 0.060, "level_book": 0.060})
    steps = service_sheet(locking, leg_sheet(), "sealed cartridge").order
    assert "level 60 mm" not in " ".join(steps)
    assert not any("right leg" in step for step in steps)


def test_an_ordinary_leg_is_not_for_the_workshop_only():
    assert not service_sheet(leg_sheet(**KNOWN), leg_sheet(**KNOWN), "damper rod", pressurised=False).workshop_only


def test_what_to_look_at_afterwards_starts_with_the_brake_and_ends_with_when_to_stop():
    after = service_sheet(leg_sheet(), leg_sheet(), "damper rod").check_after
    assert "brake lever" in after[0]
    assert after[-1].startswith("Stop riding")
    assert any("20 km" in each for each in after)


# Arithmetic: 1017.9 mm² of bore turn the book level's 1 mm, or three where it is only remembered, into millilitres.
def test_a_book_level_that_is_only_remembered_makes_the_amount_to_draw_off_less_sure():
    def spread(book):
        sheet = findings(case({"oil_level_mm": 42, "oil_level_book_mm": book}))["service"]["left"]
        return sheet["spread"]["draw_off_ml"]

    sure, unsure = spread(140), spread({"value": 140, "known": "remembered"})
    assert unsure**2 - sure**2 == pytest.approx((3**2 - 1**2) * 1.0179**2, rel=0.15)
