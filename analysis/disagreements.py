"""Answers that do not fit together: named as a pair, with the question that would settle it."""
from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from analysis.catalogue import SIDES
from analysis.clashes import clashes, deeper_than_stroke
from analysis.disagreement import Disagreement
from analysis.document import Case
from analysis.estimates import ML, MM, Estimate
from analysis.inputs import Inputs, read_inputs
from analysis.labels import excess_by_volume, poured_twice
from analysis.leg_parts import middle
from analysis.observations import sag_reading
from analysis.posterior import Evidence, Posterior
from analysis.sag import readings_swapped
from analysis.say import LEGS, say
from analysis.setups import air_at, air_from_stop, book_air, gas_area, seal_area
from analysis.slips import explained
from analysis.stop import Stop, stop_felt

Z_LIMIT = 2.6
"""Two numbers further apart than this many standard deviations disagree (1 in 100 by chance)."""
NEAR = 8 * MM
"""A stop this close to where metal meets metal is that stop: reading, preload and coils together, common practice."""
SUSPECT = 0.6
"""A number that is plainly wrong with this probability is named."""


def disagreements(case: Case, inputs: Inputs, posterior: Posterior) -> tuple[Disagreement, ...]:
    """Return every disagreement, those of arithmetic first."""
    found = explained(case, of_arithmetic(case, inputs), lambda mended: of_arithmetic(mended, read_inputs(mended)))
    return (*found, *(_of_the_draws(posterior) if not found else ()))


def of_arithmetic(case: Case, inputs: Inputs) -> list[Disagreement]:
    """Return the disagreements that need no drawn forks."""
    found = [*_swapped(case), *_sags(case), *_travel(case, inputs), *_masses(case), *_symptoms(case, inputs),
             *_amounts(inputs), *clashes(case, inputs)]
    for side in SIDES:
        found += _oil(case, inputs, side)
    return found


def _apart(first: Estimate, second: Estimate) -> bool:
    return abs(first.value - second.value) > Z_LIMIT * max(math.hypot(first.sd, second.sd), 1e-12)


def _mm(length: float) -> str:
    return f"{length / MM:.0f} mm"


_NOBODY_ON = ("With nobody on, more tube shows after the fork rose ({below}) than after it sank ({above}). Friction "
              "can only do the opposite.")
_RIDER_ON = ("With the rider on, more tube shows after the fork rose ({below}) than after it sank ({above}). Friction "
             "can only do the opposite.")


def _swapped(case: Case) -> list[Disagreement]:
    """Friction leaves a fork deeper after rising than after sinking; the other way round cannot be."""
    found = []
    for which, nobody in (("free", True), ("rider", False)):
        below, above = (case.answer(f"bench.sag.{which}_from_{way}_mm") for way in ("below", "above"))
        if below is None or above is None or not isinstance(below.value, float) or not isinstance(above.value, float):
            continue
        if readings_swapped(below.value, above.value, max(below.sd, above.sd)):
            found.append(Disagreement(
                (say("free sag from below"), say("free sag from above")) if nobody else
                (say("rider sag from below"), say("rider sag from above")),
                say(_NOBODY_ON if nobody else _RIDER_ON, below=_mm(below.value), above=_mm(above.value)),
                say("Were these two readings swapped? Please take both once more."),
                (f"bench.sag.{which}_from_below_mm", f"bench.sag.{which}_from_above_mm")))
    return found


def _sags(case: Case) -> list[Disagreement]:
    free, rider = sag_reading("free")(case), sag_reading("rider")(case)
    if free is None or rider is None or free.value <= rider.value + 2 * float(np.hypot(free.sd, rider.sd)):
        return []
    return [Disagreement(
        (say("free sag"), RIDER_SAG),
        say("Free sag ({free}) is larger than rider sag ({rider}): a rider can only push it deeper.",
            free=_mm(free.value), rider=_mm(rider.value)),
        say("Were the two readings swapped, or was one taken from another mark?"),
        ("bench.sag.free_sag_mm", "bench.sag.rider_sag_mm"))]


RIDER_SAG, TRAVEL_USED = say("rider sag"), say("travel used")
_STROKES = (("bench.travel.used_mm", TRAVEL_USED), ("bench.push.quick_stroke_mm", say("stroke with a quick push")),
            ("bench.preload.rider_sag_mm", say("rider sag with the preload out")))
"""Strokes that were read as one number, each with its title; the sags are the mean of two."""


def _travel(case: Case, inputs: Inputs) -> list[Disagreement]:
    """A stroke deeper than the fork has, or than its oil leaves it; of several the deepest is named."""
    read = [(path, title, Estimate(answer.value, answer.sd)) for path, title in _STROKES
            if (answer := case.answer(path)) is not None and isinstance(answer.value, float)]
    sag = sag_reading("rider")(case)
    read += [("bench.sag.rider_sag_mm", RIDER_SAG, sag)] if sag is not None else []
    if not read:
        return []
    path, title, used = max(read, key=lambda entry: entry[2].value)
    found = []
    if deeper_than_stroke(used, inputs):
        found.append(Disagreement(
            (title, say("full stroke")),
            say("{title}: {used}, of a full stroke of {stroke}.", title=title, used=_mm(used.value),
                stroke=_mm(inputs.stroke.value)),
            say("Was the tie pushed on by the seal, or is the full stroke another one?"), (path, "fork.travel_mm")))
    for side in SIDES:
        lock, sd = _lock(inputs, side)
        if lock is not None and used.value > lock + 4 * MM + 2 * float(np.hypot(sd, used.sd)):
            found.append(Disagreement(
                (title, say("oil level, {side} leg", side=side)),
                say("{title}: {used}, but with the oil at that level the {side} leg is solid at {lock}.",
                    title=title, used=_mm(used.value), side=side, lock=_mm(lock)),
                say("Was the {side} leg pushed fully together, spring out, when the level was read?", side=side),
                (path, f"fork.{side}.oil_level_mm")))
    return found


def _lock(inputs: Inputs, side: str) -> tuple[float | None, float]:
    """Lock stroke of a leg from its level, with its spread; None where it does not lock."""
    leg = inputs.leg(side)
    if leg.level is None:
        return None, 0.0
    area = float(gas_area(leg, middle))
    left = area * leg.level.value - leg.steel.value - leg.cap.value
    seal = float(seal_area(leg, middle))
    sd = float(np.hypot(area * leg.level.sd, np.hypot(leg.steel.sd, leg.cap.sd))) / seal
    return (max(inputs.stroke.value + left / seal, 0.0), sd) if left <= 0 else (None, sd)


def _masses(case: Case) -> list[Disagreement]:
    weighed, mass, share = (case.answer(f"bike.{n}") for n in ("front_load_kg", "mass_kg", "front_share"))
    if weighed is None or mass is None or not isinstance(weighed.value, float) or not isinstance(mass.value, float):
        return []
    part = weighed.value / mass.value
    known_share = share.value if share is not None and isinstance(share.value, float) else None
    if known_share is not None and abs(part - known_share) < 0.05 or known_share is None and 0.33 < part < 0.62:
        return []
    return [Disagreement(
        (say("load on the front wheel"), say("mass of the bike")),
        say("{front} kg on the front wheel is {share} % of {whole} kg.", front=f"{weighed.value:.0f}",
            share=f"{100 * part:.0f}", whole=f"{mass.value:.0f}"),
        say("Was the front load weighed without a rider and with the bike upright, both in kilograms?"),
        ("bike.front_load_kg", "bike.mass_kg"))]


def _symptoms(case: Case, inputs: Inputs) -> list[Disagreement]:
    named = case.value("complaint.symptoms")
    used = case.answer("bench.travel.used_mm")
    if not isinstance(named, tuple) or used is None or not isinstance(used.value, float):
        return []
    unused = inputs.stroke.value - used.value
    clash = {"bottoms out", "clanks at the end"} & set(named)
    if not clash or unused < 25 * MM + 2 * used.sd or _metal_meets_at(case, inputs, used.value):
        return []
    said = ("You say it bottoms out, but the tie shows {unused} left unused." if "bottoms out" in clash else
            "You say it ends with a clank, but the tie shows {unused} left unused.")
    return [Disagreement(
        (say("the complaint"), TRAVEL_USED), say(said, unused=_mm(unused)),
        say("Does the noise come on the way down, or when the fork comes back up? A photo of the tie after it helps."),
        ("complaint.symptoms", "bench.travel.used_mm", "bench.travel.end_feel"))]


def _metal_meets_at(case: Case, inputs: Inputs, stroke: float) -> bool:
    """True where coils touch, or legs with springs out end, near a stroke: a clank there is no contradiction."""
    ends = [case.number(f"bench.springs_out.{side}_stroke_mm") for side in SIDES]
    ends += [leg.closes.value - leg.preload.value for side in SIDES if (leg := inputs.leg(side)).closes is not None]
    return any(end is not None and abs(end - stroke) < NEAR for end in ends)


def _amounts(inputs: Inputs) -> list[Disagreement]:
    """An amount that fits both legs together and not one."""
    doubled = [side for side in SIDES if poured_twice(inputs.leg(side))]
    if not doubled:
        return []
    leg, side = inputs.leg(doubled[0]), doubled[0]
    poured, book = (e.value / ML for e in (leg.poured, leg.volume_book) if e is not None)
    return [Disagreement(
        (say("oil poured in, {side} leg", side=side), say("amount in the papers, {side} leg", side=side)),
        say("{poured} ml in one leg is about twice the {book} ml in the papers.", poured=f"{poured:.0f}",
            book=f"{book:.0f}"),
        say("Is that the amount for one leg, or for both together?"),
        tuple(f"fork.{s}.oil_volume_ml" for s in doubled))]


def _oil(case: Case, inputs: Inputs, side: str) -> list[Disagreement]:
    """Level, amounts and felt stop each say how much oil is too much: where two disagree, say so."""
    return [Disagreement(
        (say("{title}, {side} leg", title=a.title, side=side), say("{title}, {side} leg", title=b.title, side=side)),
        say("{leg}, against the papers: {first_ml} ml by the {first}, {second_ml} ml by the {second}.", leg=LEGS[side],
            first=a.title, first_ml=f"{a.excess.value / ML:+.0f}", second=b.title,
            second_ml=f"{b.excess.value / ML:+.0f}"),
        say("How was the leg when the level was read: fully together or extended, spring out or in? And was the "
            "amount for one leg?"), (a.path, b.path))
        for a, b in combinations(oil_said(case, inputs, side), 2) if _apart(a.excess, b.excess)]


@dataclass(frozen=True)
class OilSaid:
    """What one source says of a leg's oil above the book's amount, m³."""

    title: str
    path: str
    excess: Estimate


def oil_said(case: Case, inputs: Inputs, side: str) -> list[OilSaid]:
    """Return what level, amounts and a felt stop each say of a leg's oil."""
    leg, area = inputs.leg(side), float(gas_area(inputs.leg(side), middle))
    said: list[OilSaid] = []
    if leg.level is not None and leg.level_book is not None:
        gap = leg.level_book.value - leg.level.value
        bore_sd = 2 * leg.bore_diameter.sd / leg.bore_diameter.value * abs(gap) * area
        sd = math.hypot(area * math.hypot(leg.level.sd, leg.level_book.sd), bore_sd)
        said.append(OilSaid(say("oil level"), f"fork.{side}.oil_level_mm", Estimate(gap * area, sd, leg.level.known)))
    poured, drained = say("amount poured in"), say("amount drained")
    said += [OilSaid(poured if path.endswith("oil_volume_ml") else drained, path, found)
             for path, found in excess_by_volume(leg, case, side)]
    stop, book = stop_felt(case), book_air(leg, middle)
    if stop is not None and book is not None and _ends_the_stroke(inputs, side):
        said.append(_from_stop(inputs, side, stop, float(book)))
    return said


def _ends_the_stroke(inputs: Inputs, side: str) -> bool:
    """True where both levels are known and this leg has the less air: a stop tells of that leg, not of the other."""
    air = {s: float(air_at(inputs.leg(s), level, middle)) for s in SIDES
           if (level := inputs.leg(s).level) is not None}
    return len(air) == len(SIDES) and air[side] == min(air.values())


def _from_stop(inputs: Inputs, side: str, stop: Stop, book: float) -> OilSaid:
    """Excess from the stroke where it stopped dead, with a wide spread: the load that stopped there is a guess."""
    leg = inputs.leg(side)
    left = float(air_from_stop(inputs, side, stop, middle))
    seal = float(seal_area(leg, middle))
    sd = math.hypot(seal * math.hypot(stop.stroke.sd, 0.12 * stop.stroke.value), math.hypot(leg.steel.sd, leg.cap.sd))
    path = "bench.travel.used_mm" if stop.on_a_ride else "bench.push.quick_stroke_mm"
    return OilSaid(say("stop felt at {stroke}", stroke=_mm(stop.stroke.value)), path,
                   Estimate(book - left, sd, stop.stroke.known))


def _of_the_draws(posterior: Posterior) -> list[Disagreement]:
    """A number that no drawn fork explains beside the others, and the answer it disagrees with most."""
    found = []
    for piece in posterior.evidence:
        if piece.reading is None:
            continue
        each = _share_wrong(posterior, piece)
        wrong = float(posterior.all_weights @ each)
        if wrong < SUSPECT:
            continue
        others = [e for e in posterior.evidence if e.path != piece.path]
        without = [float(posterior.weights((e.path,)) @ each) for e in others]
        if min(without, default=wrong) < 0.75 * wrong:
            found.append(_pair(piece, others[int(np.argmin(without))]))
    return found[:2]


def _share_wrong(posterior: Posterior, piece: Evidence) -> NDArray[np.float64]:
    """Return for each draw how likely a number is plainly wrong."""
    assert piece.reading is not None
    right, wrong, _ = piece.reading[0].density(posterior.world, piece.reading[1])
    return np.asarray(wrong / (right + wrong))


def _pair(piece: Evidence, rival: Evidence) -> Disagreement:
    return Disagreement(
        (piece.title, rival.title),
        say("Two answers do not fit together for us: {first}, and {second}. We may have misread one.",
            first=piece.title, second=rival.title),
        say("Please measure this once more, from the same marks, and tell us how: {title}.", title=piece.title),
        (piece.path, rival.path))
