"""The rear's and the chassis's parts of the findings, in the trade's units."""
from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from analysis.attitude import (
    Attitude,
    Frame,
    Stand,
    attitude,
    braking_limit,
    effect,
    height_after,
    load_transfer,
    rear_lifts_at,
)
from analysis.case import Case
from analysis.catalogue import QUESTIONS, SIDES
from analysis.estimates import MM, Assumed
from analysis.linkage import Linkage, mean_ratio
from analysis.rear import Rear, ended_by, gas_push, preload_for, steps_for, travel_under, wheel_push, with_preload
from analysis.rear_clashes import SLACK
from analysis.rear_inputs import (
    RearLoads,
    RearReader,
    anything_said,
    closes,
    count,
    measured_sag,
    preload_range,
    read_linkage,
    read_loads,
    read_rear,
    said_preload,
)
from analysis.rear_springs import rear_springs
from analysis.sag import friction_between
from analysis.say import one_after_another, say
from analysis.spring_choice import can_be_set
from analysis.sway import MOST_SPREAD, SWAYING, USUAL_SWAY, swayed
from analysis.typical import BIKE_FRONT_SHARE, RIDER_FRONT_SHARE

SAG_SHARE = {"off road": 0.32, "trials": 0.32, "adventure": 0.29, "heavyweight": 0.27, "scooter": 0.26}
"""Rider sag at the rear wheel that suits a kind of bike, as a share of its travel: common practice, no source."""
USUAL_SAG_SHARE = 0.27
GRIP = 1.0
"""Friction of a tyre on dry tarmac: common practice, no source."""
USUAL_BRAKING = 1.0
TOLERANCE = 3 * MM
"""Preload closer than this to what is wanted is left alone: common practice, no source."""
MOST = 8 * MM
"""The biggest change of rear preload before hearing back: common practice, no source."""
TUBE_STEP = 3 * MM
"""First step of the tubes in the yokes: common practice, no source."""
LOADS = ("free", "rider", "two_up", "loaded")
CURVE_POINTS = 61


def shock_part(case: Case, stock: Sequence[float] = ()) -> dict[str, Any] | None:
    """Return what can be said of the rear; None where the case says nothing of it.

    Lengths in mm, forces in N, rates in N/mm.  What is missing makes numbers null and stands under ``missing``; what
    had to stand in stands under ``assumed``.  ``stock`` are spring rates that can be had, N/m.
    """
    if not anything_said(case):
        return None
    read = RearReader(case)
    linkage = read_linkage(read)
    bare = None if linkage is None else read_rear(read, linkage)
    loads = read_loads(read)
    part: dict[str, Any] = {"shocks": count(case), "layout": case.value("shock.layout"),
                            "motion_ratio": None if linkage is None else _ratios(linkage),
                            **dict.fromkeys(("wheel_rate_n_per_mm", "gas_force_n", "usable_travel_mm", "ended_by",
                                             "bind_margin_mm", "friction_n", "preload", "curve"))}
    part["sag"] = {which: {"predicted_mm": None, "spread_mm": None,
                           "measured_mm": _mm(_first(measured_sag(case, which)))} for which in LOADS}
    part["springs"] = []
    if bare is not None:
        _fill(part, case, read, bare, loads, stock)
    part |= {"missing": [{"path": path, "title": QUESTIONS[path].title, "why": why}
                         for path, why in read.missing.items()],
             "assumed": [{"path": a.path, "value": a.value, "unit": a.unit, "reason": a.reason} for a in read.assumed],
             "troubles": read.troubles}
    return part


def _ratios(linkage: Linkage) -> dict[str, float]:
    """Shock over wheel, at the start, at the end and over all; and the trade's wheel over shock."""
    mean = mean_ratio(linkage)
    return {"start": round(float(linkage.ratio(0.0)), 4), "end": round(float(linkage.ratio(linkage.travel)), 4),
            "mean": round(mean, 4), "wheel_over_shock": round(1 / mean, 3)}


def _fill(part: dict[str, Any], case: Case, read: RearReader, bare: Rear, loads: RearLoads,
          stock: Sequence[float]) -> None:
    part["gas_force_n"] = round(bare.count * float(gas_push(bare.shock, 0.0)[0]), 1)
    wanted = _wanted_sag(case) * float(bare.travel)
    preload = _preload_now(case, read, bare, loads)
    part["springs"] = rear_springs(case, bare, loads, wanted, preload, stock)
    if preload is None:
        return
    rear = with_preload(bare, preload)
    sags = _sags(rear, loads)
    spreads = sag_spreads(case, sags)
    for which, sag in sags.items():
        part["sag"][which] |= {"predicted_mm": _mm(sag), "spread_mm": spreads.get(which)}
    part |= {"wheel_rate_n_per_mm": _rates(rear, sags.get("rider")), "usable_travel_mm": _mm(float(rear.travel)),
             "ended_by": ended_by(rear), "bind_margin_mm": _bind_margin(case, rear),
             "friction_n": _friction(case, rear), "preload": _preload(case, rear, loads, wanted, preload),
             "curve": _curve(rear)}
    read.troubles += _sag_trouble(case, rear, loads, preload, spreads.get("rider") or ())


def sag_spreads(case: Case, sags: Mapping[str, float]) -> dict[str, list[float | None]]:
    """Return the 5 and 95 % points of each predicted sag, mm: each input moved by its spread, all independent."""
    square = dict.fromkeys(sags, 0.0)
    for path in (*SWAYING, *USUAL_SWAY):
        moved = _sags_of(swayed(case, path))
        for which in set(moved) & set(sags):
            square[which] += (moved[which] - sags[which]) ** 2
    return {which: [_mm(max(sag + sign * MOST_SPREAD * math.sqrt(square[which]), 0.0)) for sign in (-1, 1)]
            for which, sag in sags.items()}


def _sags_of(case: Case | None) -> Mapping[str, float]:
    if case is None:
        return {}
    read = RearReader(case)
    linkage = read_linkage(read)
    bare = None if linkage is None else read_rear(read, linkage)
    loads = read_loads(read)
    preload = None if bare is None else _preload_now(case, read, bare, loads)
    return {} if bare is None or preload is None else _sags(with_preload(bare, preload), loads)


def _wanted_sag(case: Case) -> float:
    return SAG_SHARE.get(str(case.value("bike.kind")), USUAL_SAG_SHARE)


def _preload_now(case: Case, read: RearReader, bare: Rear, loads: RearLoads) -> float | None:
    """Preload as it is, m: from lengths or as given; else the one that the measured sag speaks of, listed so."""
    said = said_preload(case)
    if said is not None:
        return said
    for which, load in (("rider", loads.rider), ("free", loads.free)):
        found = measured_sag(case, which)
        if found is not None and load is not None and 0 < found[0] < bare.linkage.travel:
            preload = float(preload_for(bare, load, found[0]))
            read.assumed.append(_from_sag(preload, which))
            return preload
    read.missing["shock.preload_mm"] = say("With it the rear's sag can be worked out; or measure the rear sag.")
    return None


_FROM = {"rider": say("Not given: taken from the measured rider sag."),
         "free": say("Not given: taken from the measured free sag.")}


def _from_sag(preload: float, which: str) -> Assumed:
    return Assumed("shock.preload_mm", round(preload / MM, 1), "mm", _FROM[which])


def _sags(rear: Rear, loads: RearLoads) -> dict[str, float]:
    given = {which: getattr(loads, which) for which in LOADS}
    return {which: float(travel_under(rear, load)) for which, load in given.items() if load is not None}


def _rates(rear: Rear, sag: float | None) -> dict[str, float | None]:
    places = {"start": 0.0, "rider_sag": sag, "end": float(rear.travel)}
    return {name: None if z is None else round(float(wheel_push(rear, z)[1]) * MM, 2) for name, z in places.items()}


def _bind_margin(case: Case, rear: Rear) -> float | None:
    """What is left before the coils touch, at the end of the shock's stroke, mm; below 0 they touch first."""
    room = closes(case)
    return None if room is None else _mm(room - float(rear.shock.preload) - float(rear.shock.stroke))


def _friction(case: Case, rear: Rear) -> float | None:
    """Friction at the wheel from the two readings of a sag, through the force at both, N."""
    for which in ("rider", "free"):
        found = measured_sag(case, which)
        if found is not None and found[1] is not None:
            sag = found[1]
            deep, high = (float(wheel_push(rear, max(z, 0.0))[0]) for z in (sag.mean + sag.half_band,
                                                                           sag.mean - sag.half_band))
            return round(float(friction_between(deep, high)), 1)
    return None


def _preload(case: Case, rear: Rear, loads: RearLoads, wanted: float, now: float) -> dict[str, Any]:
    """Preload now and wanted with rider and with all that is loaded, in mm and turns, and whether it can be set.

    Counted from the preload that the measured rider sag speaks of: what spring, load or linkage are off by cancels.
    """
    part: dict[str, Any] = {"now_mm": _mm(now), "target_sag_mm": _mm(wanted), "range_mm": None, "for": {}}
    reach = preload_range(case, now)
    if reach is not None:
        part["range_mm"] = [_mm(end) for end in reach]
    pitch, off = case.number("shock.preload_pitch_mm_per_turn"), now - _spoken_of(case, rear, loads, now)
    for which in ("rider", "two_up", "loaded"):
        load = getattr(loads, which)
        if load is None:
            continue
        needed = float(preload_for(rear, load, wanted)) + off
        part["for"][which] = {
            "needed_mm": _mm(needed), "change_mm": _mm(needed - now),
            "turns": None if pitch is None else round(2 * float(steps_for(needed - now, pitch))) / 2,
            "can_be_set": None if reach is None else can_be_set(needed, reach),
            "words": _preload_words(needed, now, reach)}
    return part


def _spoken_of(case: Case, rear: Rear, loads: RearLoads, now: float) -> float:
    """Return the preload that the measured rider sag speaks of, m; as it is said to be where none can be told."""
    sag = _first(measured_sag(case, "rider"))
    if sag is None or loads.rider is None or not 0 < sag < rear.linkage.travel:
        return now
    return float(preload_for(rear, loads.rider, sag))


def _sag_trouble(case: Case, rear: Rear, loads: RearLoads, now: float, likely: Sequence[float | None]) -> list[str]:
    """Say where the measured rider sag lies outside what spring, preload and load can make of it."""
    sag = _first(measured_sag(case, "rider"))
    gap = _spoken_of(case, rear, loads, now) - now
    if sag is None or abs(gap) <= TOLERANCE or any(end is None for end in likely):
        return []
    low, high = (end * MM for end in likely if end is not None)
    if low - SLACK <= sag <= high + SLACK:
        return []
    template = ("The measured rear sag speaks of {gap} mm more preload than given, or of another spring or load." if
                gap > 0 else
                "The measured rear sag speaks of {gap} mm less preload than given, or of another spring or load.")
    return [say(template, gap=f"{abs(gap) / MM:.0f}")]


def _preload_words(needed: float, now: float, reach: tuple[float, float] | None) -> str:
    change = needed - now
    if abs(change) <= TOLERANCE:
        return say("The preload suits this load.")
    if reach is not None and not can_be_set(needed, reach):
        template = ("Cannot be done by preload: {needed} mm is needed, and {low} to {high} mm can be set. It takes a "
                    "stiffer spring, or less load." if change > 0 else
                    "Cannot be done by preload: {needed} mm is needed, and {low} to {high} mm can be set. It takes a "
                    "softer spring, or more load.")
        return say(template, needed=f"{needed / MM:.0f}", low=f"{reach[0] / MM:.0f}", high=f"{reach[1] / MM:.0f}")
    template = ("{change} mm more preload would give the sag that suits." if change > 0 else
                "{change} mm less preload would give the sag that suits.")
    words = say(template, change=f"{abs(change) / MM:.0f}")
    return words if abs(change) <= MOST else one_after_another([words, say(
        "Go there in steps of {most} mm at most, measure the sag after each; so much also asks whether the spring is "
        "the right one.", most=f"{MOST / MM:.0f}")])


def _curve(rear: Rear) -> dict[str, list[float]]:
    """Force and rate at the wheel over its travel."""
    z = np.linspace(0.0, float(rear.travel), CURVE_POINTS)
    force, rate = (np.asarray(v) for v in wheel_push(rear, z))
    return {"travel_mm": [round(v / MM, 2) for v in z.tolist()], "force_n": [round(v, 1) for v in force.tolist()],
            "rate_n_per_mm": [round(v * MM, 2) for v in rate.tolist()]}


_REAR_LEFT = {"found": say("The rear's sag (found) is not known: it is left where it was."),
              "book": say("The rear's sag (book) is not known: it is left where it was."),
              "advised": say("The rear's sag (advised) is not known: it is left where it was.")}


def attitude_part(case: Case, fork_sags: Mapping[str, float | None], rear_sags: Mapping[str, float | None],
                  ) -> dict[str, Any] | None:
    """Return rake, trail and normal trail as in the papers and as the bike stands, and what brakes do; or None.

    ``fork_sags`` and ``rear_sags``: rider sag in mm by 'found', 'book', 'advised', along the fork and at the rear
    wheel.  None without rake, offset, wheel radius and wheelbase.
    """
    numbers = [case.number(f"bike.{n}") for n in ("rake_deg", "fork_offset_mm", "wheel_radius_front_mm",
                                                  "wheelbase_mm")]
    known = [n for n in numbers if n is not None]
    if len(known) < len(numbers):
        return None
    frame = Frame(*known)
    assumed = [{"path": "bike.rake_deg", "value": round(math.degrees(known[0]), 2), "unit": "degree",
                "reason": say("The papers' geometry is taken as that with both ends fully extended.")}]
    raised = _raised(case, assumed)
    stands = {}
    for which, fork in fork_sags.items():
        rear = rear_sags.get(which)
        if fork is not None:
            if rear is None:
                assumed.append({"path": "shock.rider_sag_mm", "value": 0.0, "unit": "mm",
                                "reason": _REAR_LEFT[which]})
            stands[which] = Stand(fork * MM, raised, (rear or 0.0) * MM)
    part: dict[str, Any] = {**_steering(attitude(frame, Stand())),
                            **{which: None for which in fork_sags}, "tubes_raised_mm": _mm(raised),
                            "measured": _heights(case)}
    for which, stand in stands.items():
        part[which] = _steering(attitude(frame, stand))
    now = stands.get("found") or stands.get("book") or Stand(raised=raised)
    part["changes"] = _changes(frame, now, stands.get("advised"))
    part["braking"] = _braking(case, frame, now, assumed)
    part["assumed"] = assumed
    return part


def _heights(case: Case) -> dict[str, float | None]:
    """The heights as measured, to hold another round against: mm, and the arm in degrees below level."""
    arm = case.number("bench.heights.arm_deg")
    return {**{f"{end}_mm": _mm(case.number(f"bench.heights.{end}_mm")) for end in ("rear", "front")},
            "arm_deg": None if arm is None else round(math.degrees(arm), 1)}


def _raised(case: Case, assumed: list[dict[str, Any]]) -> float:
    """How much further the tubes stand above the yoke than in the papers, m; 0 where either is not known."""
    heights = [case.number(f"bench.heights.{side}_tube_mm") for side in SIDES]
    known, book = [h for h in heights if h is not None], case.number("bench.heights.tube_book_mm")
    if known and book is not None:
        return sum(known) / len(known) - book
    assumed.append({"path": "bench.heights.tube_book_mm", "value": 0.0, "unit": "mm",
                    "reason": say("The tubes are taken to stand in the yokes as in the papers.")})
    return 0.0


def _steering(figures: Attitude) -> dict[str, float]:
    return {"rake_deg": round(math.degrees(float(figures.rake)), 2), "trail_mm": _sure(figures.trail),
            "normal_trail_mm": _sure(figures.normal_trail), "wheelbase_mm": _sure(figures.wheelbase)}


def _changes(frame: Frame, now: Stand, advised: Stand | None) -> list[dict[str, Any]]:
    """What a first step of each change does to the steering, and what the advice does as a whole."""
    further_up = say("Tubes {step} mm further up through the yokes", step=f"{TUBE_STEP / MM:.0f}")
    steps = [(further_up, effect(frame, now, raised=TUBE_STEP)),
             (say("Fork 5 mm lower by less preload"), effect(frame, now, fork=5 * MM)),
             (say("Rear 5 mm higher at the wheel by more preload"), effect(frame, now, rear=-5 * MM))]
    if advised is not None:
        steps.insert(0, (say("What is advised, taken together"), effect(
            frame, now, fork=float(advised.fork) - float(now.fork), rear=float(advised.rear) - float(now.rear))))
    return [{"change": words, "rake_deg": round(math.degrees(float(a.rake)), 3), "trail_mm": _sure(a.trail, 2),
             "normal_trail_mm": _sure(a.normal_trail, 2), "wheelbase_mm": _sure(a.wheelbase, 2)} for words, a in steps]


def _braking(case: Case, frame: Frame, now: Stand, assumed: list[dict[str, Any]]) -> dict[str, Any] | None:
    """Load moved to the front in hard braking, and what ends it; None without masses and the centre's height."""
    height, bike, rider = (case.number(p) for p in ("bike.gravity_height_mm", "bike.mass_kg", "rider.mass_kg"))
    if height is None or bike is None or rider is None:
        return None
    share = _front_share(case, bike, rider, assumed)
    base, hard = float(attitude(frame, now).wheelbase), case.number("use.braking_g")
    if hard is None:
        hard = USUAL_BRAKING
        assumed.append({"path": "use.braking_g", "value": hard, "unit": "",
                        "reason": say("Hard braking on a dry road.")})
    sunk = float(height_after(height, share, frame, now))
    limit, by = braking_limit(share, sunk, base, GRIP)
    return {"front_share": round(share, 3), "height_mm": _mm(sunk), "at_g": hard,
            "moved_kg": round(float(load_transfer(bike + rider, min(hard, limit), sunk, base)), 1),
            "rear_lifts_at_g": round(float(rear_lifts_at(share, sunk, base)), 2), "limit_g": round(limit, 2),
            "limited_by": by}


def _front_share(case: Case, bike: float, rider: float, assumed: list[dict[str, Any]]) -> float:
    """Share of bike and rider on the front wheel."""
    def usual(path: str, value: float) -> float:
        known = case.number(path)
        if known is None:
            assumed.append({"path": path, "value": value, "unit": "",
                            "reason": say("A usual share on the front wheel.")})
        return value if known is None else known

    weighed, rear = case.number("bike.front_load_kg"), case.number("bike.rear_load_kg")
    front = weighed if weighed is not None else bike - rear if rear is not None else (
        bike * usual("bike.front_share", BIKE_FRONT_SHARE[0]))
    return (front + rider * usual("rider.front_share", RIDER_FRONT_SHARE[0])) / (bike + rider)


def _first(found: tuple[float, Any] | None) -> float | None:
    return None if found is None else found[0]


def _mm(value: float | None) -> float | None:
    return None if value is None else round(value / MM, 1) + 0.0


def _sure(value: Any, digits: int = 1) -> float:
    return round(float(value) / MM, digits) + 0.0
