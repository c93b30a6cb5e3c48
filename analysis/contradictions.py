"""Answers that cannot both be true.

Only what is impossible in any case is a fault.  What merely does not fit together, such as more sag than stroke, is
left to the findings, which know the spreads and the physics.
"""
from __future__ import annotations

import math

from analysis.atmosphere import pressure_at
from analysis.case import Answer
from analysis.catalogue import SIDES
from analysis.notes import Notes
from analysis.say import say

_SURE = ("measured", "documented")
_CERTAIN = 4.0
"""Standard deviations beyond which a difference is no slip of the hand."""

LEAST_PRESSURE = 5e3
"""Less than this, absolute and in Pa, is in no fork leg."""

REAR_READINGS = ("free_from_below_mm", "free_from_above_mm", "rider_from_below_mm", "rider_from_above_mm", "two_up_mm",
                 "loaded_mm")
SAG_READINGS = ("free_from_below_mm", "free_from_above_mm", "rider_from_below_mm", "rider_from_above_mm")


def find_contradictions(notes: Notes) -> None:
    """Add a fault for each impossible pair of answers, and a doubt for each pair that is only nearly so."""
    for side in SIDES:
        _check_leg(f"fork.{side}.", notes)
    for name in SAG_READINGS:
        _not_above(f"bench.sag.{name}", "bench.sag.extended_mm", notes, counted=False,
                   words=say("more of the tube shows with weight on the wheel than fully extended"))
    for name in REAR_READINGS:
        _not_above(f"bench.rear_sag.{name}", "bench.rear_sag.extended_mm", notes, counted=False,
                   words=say("the rear stands higher with weight on it than with the wheel hanging"))
    _not_above("bike.front_load_kg", "bike.mass_kg", notes, counted=False,
               words=say("the front wheel carries more than the whole bike"))
    _not_above("bike.rear_load_kg", "bike.mass_kg", notes, counted=False,
               words=say("the rear wheel carries more than the whole bike"))


def _check_leg(leg: str, notes: Notes) -> None:
    _not_above(f"{leg}spring.active_coils", f"{leg}spring.total_coils", notes,
               words=say("more coils work than there are"))
    _not_above(f"{leg}preload_turns_in", f"{leg}preload_turns_range", notes,
               words=say("the preload is turned in further than it goes"))
    for circuit in ("rebound", "compression"):
        _not_above(f"{leg}{circuit}.clicks_out", f"{leg}{circuit}.clicks_range", notes,
                   words=say("the rebound adjuster stands further out than it goes" if circuit == "rebound" else
                             "the compression adjuster stands further out than it goes"))
    _check_pressure(leg, notes)
    _check_areas(leg, notes)
    _check_spring(leg, notes)
    _check_amounts(leg, notes)


def _pair(first: str, second: str, notes: Notes) -> tuple[Answer, float, Answer, float] | None:
    one, other = notes.answers.get(first), notes.answers.get(second)
    if one is None or other is None or not isinstance(one.value, float) or not isinstance(other.value, float):
        return None
    return one, one.value, other, other.value


def _not_above(path: str, limit_path: str, notes: Notes, words: str, counted: bool = True) -> None:
    """Note where ``path`` exceeds ``limit_path``: a fault where both are sure counts or the gap is beyond doubt."""
    pair = _pair(path, limit_path, notes)
    if pair is None or pair[1] <= pair[3]:
        return
    one, value, other, limit = pair
    certain = counted and one.known in _SURE and other.known in _SURE
    if certain or value - limit > _CERTAIN * math.hypot(one.sd, other.sd):
        notes.fault(path, say("{words} ({typed} against {typed_2} at {limit_path})", words=words, typed=one.typed,
                              typed_2=other.typed, limit_path=limit_path), say("Check both numbers."))
    else:
        notes.doubt(path, say("It seems that {words} ({typed} against {typed_2}). Please check both.", words=words,
                              typed=one.typed, typed_2=other.typed))


OF_AIR_SPRINGS = (1.5e5, 13e5)
"""What air springs usually hold, Pa above the air outside; other legs hardly hold any.  Common practice, no source."""


def _check_pressure(leg: str, notes: Notes) -> None:
    gauge = notes.answers.get(f"{leg}gauge_pressure_bar")
    closed = notes.answers.get("use.closed_altitude_m") or notes.answers.get("use.altitude_m")
    height = closed.value if closed is not None and isinstance(closed.value, float) else 0.0
    if gauge is None or not isinstance(gauge.value, float):
        return
    springing = notes.answers.get("fork.springing")
    if springing is not None and springing.value == "air" and OF_AIR_SPRINGS[0] <= gauge.value <= OF_AIR_SPRINGS[1]:
        notes.doubts = [doubt for doubt in notes.doubts if doubt.path != gauge.path]
    outside = float(pressure_at(height))
    if gauge.value <= LEAST_PRESSURE - outside:
        notes.fault(f"{leg}gauge_pressure_bar",
                    say("{typed} is less than nothing: the air outside has only {outside} bar there",
                        typed=gauge.typed, outside=f"{outside / 100000.0:.2f}"),
                    say("Give the pressure above the air outside, 0 where the leg was just closed."))


def _check_areas(leg: str, notes: Notes) -> None:
    pair = _pair(f"{leg}inner_parts_area_mm2", f"{leg}bore_diameter_mm", notes)
    bore_area = math.pi / 4 * pair[3] ** 2 if pair is not None else 0.0
    if pair is not None and pair[1] >= bore_area:
        notes.fault(f"{leg}inner_parts_area_mm2",
                    say("the parts inside ({typed}) would fill the whole bore ({bore_area} mm²)", typed=pair[0].typed,
                        bore_area=f"{bore_area * 1000000.0:.0f}"),
                    say("Check the area and the bore diameter."))
    pair = _pair(f"{leg}bore_diameter_mm", f"{leg}stanchion_diameter_mm", notes)
    layout = notes.answers.get("fork.layout")
    if pair is not None and pair[1] >= pair[3] and (layout is None or layout.value != "upside down"):
        notes.doubt(f"{leg}bore_diameter_mm", say("The inside of the tube is given as wide as its outside or wider. "
                                                  "Are the two diameters swapped?"))


def _check_spring(leg: str, notes: Notes) -> None:
    pair = _pair(f"{leg}spring.wire_diameter_mm", f"{leg}spring.coil_mean_diameter_mm", notes)
    if pair is not None and pair[1] >= pair[3]:
        notes.fault(f"{leg}spring.wire_diameter_mm", say("the wire is as thick as the coil is wide"),
                    say("Check the wire diameter and the mean coil diameter."))
    pair = _pair(f"{leg}spring.total_coils", f"{leg}spring.free_length_mm", notes)
    wire = notes.answers.get(f"{leg}spring.wire_diameter_mm")
    if pair is None or wire is None or not isinstance(wire.value, float):
        return
    solid = pair[1] * wire.value
    sd = math.hypot(pair[0].sd * wire.value, wire.sd * pair[1], pair[2].sd)
    if solid - pair[3] > _CERTAIN * sd:
        notes.fault(f"{leg}spring.free_length_mm",
                    say("the coils on top of each other ({solid} mm) are longer than the free spring",
                        solid=f"{solid * 1000:.0f}"),
                    say("Check the coils, the wire diameter and the free length."))


def _check_amounts(leg: str, notes: Notes) -> None:
    pair = _pair(f"{leg}oil_volume_ml", f"{leg}oil_volume_book_ml", notes)
    if pair is not None and 1.8 < pair[1] / max(pair[3], 1e-9) < 2.2:
        notes.doubt(f"{leg}oil_volume_ml", say("{typed} is about twice the amount in the papers. Is it the amount "
                                               "for both legs together?", typed=pair[0].typed))
