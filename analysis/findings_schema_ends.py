"""What the findings say of the rear, the steering and the damping, as JSON Schema."""
from __future__ import annotations

from typing import get_args

from analysis.adjusters import Kind
from analysis.bounce_sources import FRONT, REAR, Sources
from analysis.decay import Model, Reason
from analysis.findings_schema_fork import spring_schema
from analysis.rear_part import LOADS
from analysis.schema_words import (
    Schema,
    assumed_schema,
    group,
    listing,
    maybe,
    number,
    one_of,
    or_null,
    text,
    texts,
    yes_no,
)
from analysis.setups import SETS

_NO_SPRING = "spring or linkage of the rear is not known."


def shock_schema() -> Schema:
    """The rear, at the wheel."""
    numbers = listing({"type": "number"}, "As many as the others.")
    missing = group("One question.", {"path": text("Its path."), "title": text("Its title."),
                                      "why": text("Why it would help.")})
    sag = group("One load.", {
        "predicted_mm": maybe("Sag at the wheel by reckoning, mm."),
        "spread_mm": or_null({"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2,
                              "description": "5 and 95 % points, mm."}, _NO_SPRING),
        "measured_mm": maybe("Sag at the wheel as measured, mm."),
    })
    rates: Schema = {name: maybe(f"N/mm {place}.") for name, place in (
        ("start", "at the start"), ("rider_sag", "at rider sag"), ("end", "at the end"))}
    ratios: Schema = {"start": number("Shock over wheel at the start."), "end": number("Shock over wheel at the end."),
                      "mean": number("Shock over wheel over all."), "wheel_over_shock": number("Wheel over shock.")}
    return or_null(group("The rear.", {
        "shocks": {"type": "integer", "description": "How many there are."},
        "layout": or_null(text("How the shock is mounted."), "not known."),
        "motion_ratio": or_null(group("Ratio of movements.", ratios), "not known."),
        "wheel_rate_n_per_mm": or_null(group("Rate at the wheel.", rates), _NO_SPRING),
        "gas_force_n": maybe("Push of the gas at the shock, all shocks together, N."),
        "usable_travel_mm": maybe("Travel of the wheel that can be used, mm."),
        "ended_by": or_null(one_of(("full travel", "coil bind", "shock stroke"), "What ends it."), _NO_SPRING),
        "bind_margin_mm": maybe("Room before the coils touch at the end of the shock's stroke, mm; below 0: none."),
        "friction_n": maybe("Friction at the wheel, from both readings of a sag, N."),
        "preload": _rear_preload(),
        "curve": or_null(group("Over the wheel's travel.", {"travel_mm": numbers, "force_n": numbers,
                                                            "rate_n_per_mm": numbers}), _NO_SPRING),
        "sag": group("Sag at the wheel under each load.", dict.fromkeys(LOADS, sag)),
        "springs": listing(spring_schema("at the wheel"), "What each spring on a shelf would give at the rear."),
        "missing": listing(missing, "What would help at the rear."), "assumed": assumed_schema(),
        "troubles": texts("What could not be used, and what to do about it."),
    }), "the case says nothing of the rear.")


def _rear_preload() -> Schema:
    one = group("One load.", {
        "needed_mm": number("Preload that gives the sag that suits, mm."), "change_mm": number("From now, mm."),
        "turns": maybe("The same in turns."),
        "can_be_set": or_null(yes_no("Inside the adjuster's range."), "the range is not known."),
        "words": text("What is said of it."),
    })
    loads = tuple(load for load in LOADS if load != "free")
    return or_null(group("Preload of the rear.", {
        "now_mm": number("As it is, mm."), "target_sag_mm": number("Rider sag that suits, mm at the wheel."),
        "range_mm": or_null({"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2,
                             "description": "Least and most that can be set, mm."}, "not known."),
        "for": group("By load; only those that are known.", dict.fromkeys(loads, one), loads),
    }), "not known, or the rear is stopped.")


def chassis_schema() -> Schema:
    """How the bike stands and steers."""
    steering: Schema = {
        "rake_deg": number("Steering axis from upright, degrees."), "trail_mm": number("Trail on the ground, mm."),
        "normal_trail_mm": number("Trail square to the steering axis, mm."), "wheelbase_mm": number("mm."),
    }
    stand = or_null(group("The same as the bike stands with its rider.", steering), "its sag is not known, or an end "
                    "is stopped.")
    change = group("One change.", {"change": text("What is changed."), **{
        name: number(f"How much it changes, {'degrees' if name.endswith('deg') else 'mm'}.") for name in steering}})
    braking = group("Hard braking.", {
        "front_share": number("Share of the weight on the front wheel at rest, of 1."),
        "height_mm": number("Height of the centre of gravity as the bike stands, mm."),
        "at_g": number("Braking that is reckoned with, g."), "moved_kg": number("Load that moves to the front, kg."),
        "rear_lifts_at_g": number("Braking at which the rear wheel lifts, g."),
        "limit_g": number("Hardest braking with the front, g."),
        "limited_by": one_of(("rear lifts", "front slides"), "What ends it."),
    })
    return or_null(group("The steering, both ends extended as in the papers.", {
        **steering, **dict.fromkeys(SETS, stand), "tubes_raised_mm": maybe("Tubes further up than in the papers, mm."),
        "measured": group("Heights as measured.", {
            "rear_mm": maybe("mm."), "front_mm": maybe("mm."),
            "arm_deg": maybe("Swinging arm below level, degrees.")}),
        "changes": listing(change, "What a first step of each change does; empty where an end is stopped."),
        "braking": or_null(braking, "masses or the centre's height are not known."), "assumed": assumed_schema(),
    }), "the geometry in the papers is not known.")


def damping_schema() -> Schema:
    """The bounce at both ends, the adjusters and the oil."""
    adjuster = group("One thing seen at an adjuster.", {
        "kind": one_of(get_args(Kind), "What was seen."), "side": one_of(("left", "right", "both"), "The leg."),
        "circuit": one_of(("rebound", "compression", "preload", "air pressure"), "The adjuster."),
        "words": text("The same in words."), "do": text("What to do."),
    })
    return or_null(group("Damping.", {
        "rebound": or_null(_bounce(FRONT), "the front was not bounced."),
        "rear": or_null(_bounce(REAR, "return_s", "return_words"), "the rear was not bounced."),
        "adjusters": listing(adjuster, "What the clicks say."), "oil": _oil(),
    }), "nothing was said of it.")


def _bounce(sources: Sources, *optional: str) -> Schema:
    froms = (*sources, *(("watch",) if optional else ()))
    parts: Schema = {
        "from": one_of(froms, "Where it is read from."), "words": text("What it says."),
        "refused": listing(group("One source.", {
            "from": one_of(froms, "The source."), "reason": one_of(get_args(Reason), "Why it cannot be used."),
            "words": text("The same in words."),
        }), "What could not be used."),
        "damping_ratio": _interval("Share of critical damping."), "decrement": _interval("Logarithmic decrement."),
        "friction_mm": _interval("Half the width of the band in which it can come to rest, mm."),
        "damped_hz": _interval("Swings a second, Hz."), "natural_hz": _interval("Swings a second undamped, Hz."),
        "model": or_null(one_of(get_args(Model), "What the swings die of."), "none was read."),
        "swings": maybe("How many swings were read."), "remark": text("How far it can be trusted; may be blank."),
    }
    timed: Schema = {"return_s": number("Time to come back, s."), "return_words": text("Said where it is slow.")}
    return group("A bounce.", parts | {name: timed[name] for name in optional}, optional)


def _interval(words: str) -> Schema:
    return or_null(group(f"{words} 95 % interval.", {
        "value": maybe("The value."), "low": maybe("Its lower end."), "high": maybe("Its upper end."),
    }), "not known.")


def _oil() -> Schema:
    label = group("The label on the bottle.", {
        "text": text("As typed."), "words": text("What it says of thickness."),
        "viscosity_cst": maybe("At 40 °C, mm²/s."),
    })
    point = group("One temperature.", {"temperature_c": number("°C."), "viscosity_cst": maybe("mm²/s.")})
    cold = group("In the cold.", {
        "temperature_c": number("Temperature of the tests, °C."), "against_c": number("Compared with, °C."),
        "most_times": maybe("How many times as strong slow damping is at most."),
    })
    return or_null(group("The oil.", {
        "label": or_null(label, "none was given."), "viscosity_40_cst": maybe("At 40 °C, mm²/s."),
        "grade": maybe("ISO 3448 grade; null also between two grades."), "viscosity_index": maybe("By ISO 2909."),
        "mixed_40_cst": maybe("Both oils together at 40 °C, mm²/s."),
        "at": listing(point, "Thickness over temperature; empty where it cannot be said."),
        "cold": or_null(cold, "not known."), "words": texts("What is said of the oil."),
    }), "nothing was said of it.")
