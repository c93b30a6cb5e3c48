"""What the findings say of the fork, as JSON Schema."""
from __future__ import annotations

from analysis.schema_words import Schema, band, group, listing, maybe, number, one_of, or_null, text, texts, yes_no
from analysis.setups import SETS

LIMITS = ("full stroke", "coil bind", "spring", "air ramp", "hydraulic lock")
_LIMIT = ("What ends the stroke under hard braking: the full stroke, coils that touch, springs and load alone, air "
          "that is squeezed, or a leg without air left.")
_FORK_UNKNOWN = "the fork of that set is not known, or its front is stopped."

_VOLUMES: Schema = {
    "air_volume_compressed_ml": maybe("Air left in the leg at full stroke, ml; below 0 the oil ends the stroke."),
    "air_volume_extended_ml": maybe("Air in the leg at full extension, ml."),
    "compression_ratio": maybe("Air at full extension over air at full stroke, a ratio."),
    "lock_stroke_mm": maybe("Stroke at which the leg has no air left, mm; null also where it never comes to that."),
}
_STROKES: Schema = {
    "usable_stroke_mm": "Stroke that hard braking reaches, mm.", "free_sag_mm": "Sag under the bike alone, mm.",
    "rider_sag_mm": "Sag with the rider, mm.", "coil_bind_stroke_mm": "Stroke at which the springs' coils touch, mm.",
}


def fork_schema() -> Schema:
    """Both legs and the fork as a whole, as found, by the book and as advised."""
    parts: Schema = {side: _leg(f"The {side} leg.") for side in ("left", "right")}
    parts["brake_load_n"] = _sets("Load along the fork in hard braking, N.", number("N."))
    parts |= {name: _sets(words, maybe("mm.")) for name, words in _STROKES.items()}
    parts["limited_by"] = _sets(_LIMIT, or_null(one_of(LIMITS, "What ends it."), _FORK_UNKNOWN))
    parts["spread"] = group("How far each figure may be off.", {
        name: _sets(words, band("mm,", null=_FORK_UNKNOWN)) for name, words in _STROKES.items()})
    parts |= {"springs": listing(spring_schema("at the fork"), "What each spring on a shelf would give at the front."),
              "twist": _twist(), "when_hot": _when_hot()}
    return group("The fork.", parts, optional=("springs", "twist", "when_hot"))


def _sets(words: str, each: Schema) -> Schema:
    return group(words, dict.fromkeys(SETS, each))


def _leg(words: str) -> Schema:
    spread = {name: number(f"Standard deviation, {unit}.") for name, unit in (
        ("air_volume_compressed_ml", "ml"), ("air_volume_extended_ml", "ml"), ("compression_ratio", "a ratio"),
        ("lock_stroke_mm", "mm"), ("excess_oil_ml", "ml"))}
    nullable = {name: or_null(part, "too few draws have such a number.") for name, part in spread.items()}
    return group(words, {
        **_VOLUMES, "excess_oil_ml": maybe("Oil above the amount in the papers, ml; below 0 there is too little."),
        "book": group("The same leg with the oil of the papers.", _VOLUMES),
        "advised": group("The same leg with the advice followed.", _VOLUMES),
        "spread": group("How far the figures as found may be off; only of those that are known.", nullable, nullable)})


def spring_schema(where: str) -> Schema:
    """One spring on the shelf, at the fork or the rear wheel."""
    return group("One spring.", {
        "rate_n_per_mm": number("Rate of one spring, N/mm."),
        "preload_needed_mm": number("Preload that would give the wanted rider sag, mm."),
        "preload_mm": number("Preload nearest to it that can be set, mm."),
        "free_sag_mm": number(f"Sag under the bike alone {where}, mm."),
        "rider_sag_mm": number(f"Sag with the rider {where}, mm."),
        "bind_margin_mm": maybe("Room before the coils touch at the end of the stroke, mm; below 0 they touch first."),
        "fits": yes_no("Suits rider and bike inside the range of preload."),
        "best": yes_no("The best of those that fit."),
        "words": text("Why it fits or does not."),
        "spread": group("How far it may be off.", {"rider_sag_mm": band(f"Sag with the rider {where}, mm,")}),
    })


def _twist() -> Schema:
    return or_null(group("What unequal legs do in hard braking.", {
        "at_mm": number("Stroke that braking reaches, mm."),
        "difference_n": number("Difference of the legs' forces, N."),
        "moment_nm": number("Moment that twists axle and yokes, N·m."),
        "harder": one_of(("left", "right"), "The leg that pushes harder."),
        "spread": group("How far it may be off.", {"moment_nm": band("N·m,", null="too few draws have one.")}),
    }), "the legs push alike, or are not known.")


def _when_hot() -> Schema:
    strokes: Schema = {"usable_stroke_mm": maybe("Stroke that hard braking reaches, mm."),
                       "rider_sag_mm": maybe("Sag with the rider, mm.")}
    figures: Schema = {**strokes, "limited_by": one_of(LIMITS, _LIMIT), "lock_stroke_mm": maybe(
        "Stroke at which the first leg has no air left, mm; null also where none comes to it.")}
    return or_null(group("What warm oil and air leave of the stroke.", {
        "oil_c": number("Temperature of the warm oil, °C."),
        "from_c": number("Temperature at which it was filled, °C."),
        **figures, "advised": or_null(group("The same with the advice followed.", {
            **figures, "spare_mm": maybe("Air left at full stroke in the leg with the least, as a length of the "
                                         "sliding tube, mm; the oil at 60 °C or more.")}), _FORK_UNKNOWN),
        "spread": group("How far it may be off.", {
            name: band("mm,", null="too few draws have one.") for name in strokes}),
    }), "the amount of oil is not known.")


def sag_schema() -> Schema:
    """The sags that were measured at the front."""
    return or_null(group("Sag as measured at the front.", {
        "free_mm": maybe("Sag under the bike alone, mm."), "rider_mm": maybe("Sag with the rider, mm."),
        "rider_share": maybe("Sag with the rider over full stroke, share of 1."),
        "friction_n": maybe("Friction, from the forces at both readings, N."),
        "friction_too_high": yes_no("The readings from below and from above lie too far apart."),
        "free_half_band_mm": maybe("Half of what lies between both readings, bike alone, mm."),
        "rider_half_band_mm": maybe("Half of what lies between both readings, with the rider, mm."),
    }), "no sag was measured.")


def preload_schema() -> Schema:
    """What sags and turns say of the front's preload."""
    return group("Preload of the front.", {
        "words": text("What is said of it."),
        "error_mm": maybe("Preload that the sag speaks of, less what spring and turns say, mm."),
        "turns_to_target": maybe("Turns that would give the sag that suits, in where above 0; null also where there "
                                 "are no turns or the front is stopped."),
        "mm_to_target": maybe("Preload to add for the sag that suits, mm; below 0 to take out; null also where the "
                              "front is stopped."),
        "out_of_range": yes_no("The adjuster's range is not enough."),
    })


def service_schema() -> Schema:
    """Exact amounts of oil for each leg, and the order of the work."""
    amounts: Schema = {
        "level_now_mm": maybe("Level as it is, mm below the top of the tube, leg fully together, spring out."),
        "level_to_set_mm": maybe("Level to set, mm in the same way."),
        "level_tolerance_mm": maybe("How near to it is near enough, mm."),
        "draw_off_ml": maybe("Oil to draw off, ml; below 0 to add."),
        "dry_fill_ml": maybe("Oil for a dry leg, ml."),
        "drained_fill_ml": maybe("Oil for a leg that was drained and pumped, ml."),
        "not_pumped_fill_ml": maybe("Oil for a leg that was drained and not pumped, ml."),
        "air_volume_ml": maybe("Air at full stroke then, ml."),
        "ratio": maybe("Air at full extension over air at full stroke then, a ratio."),
    }
    spread: Schema = {name: maybe(f"Standard deviation, {'ml' if name.endswith('ml') else 'a ratio'}.")
                      for name in amounts if not name.startswith("level")}
    leg = group("One leg.", {**amounts, "spread": group("How far the amounts may be off; only of those that are known.",
                                                        spread, spread)})
    return or_null(group("The service sheet.", {
        "left": leg, "right": leg, "difference_ml": maybe("Difference of the legs' air, left less right, ml."),
        "order": texts("The steps of the work in their order."), "check_after": texts("What to check afterwards."),
        "workshop_only": yes_no("Only a workshop may do it."),
    }), "the papers' amounts are not known, or the front is stopped.")


def marks_schema() -> Schema:
    """Marks of the stroke ruler."""
    mark = group("One mark.", {"name": text("What it is."), "at_mm": number("Stroke, mm from full extension.")})
    return group("The stroke with its marks.", {
        "stroke_mm": number("Full stroke, mm."), "found": listing(mark, "As found."),
        "advised": listing(mark, "As advised; empty where the front is stopped."),
        "measured": listing(mark, "As measured."),
    })


def curve_schema() -> Schema:
    """Force and pressure over the stroke for each set that is known."""
    lists: Schema = {name: listing({"type": ["number", "null"]}, f"{words} null: locked, or beyond touching coils.")
                     for name, words in (
        ("force_n", "Force of the fork, N."), ("spring_n", "Part of the springs, N."), ("air_n", "Part of the air, N."),
        ("pressure_bar_left", "Gauge pressure of the left leg, bar."),
        ("pressure_bar_right", "Gauge pressure of the right leg, bar."))}
    return listing(group("One set.", {
        "name": one_of(SETS, "The set."), "stroke_mm": listing({"type": "number"}, "Stroke, mm; as many as forces."),
        **lists}), "Curves of the sets that are known.")
