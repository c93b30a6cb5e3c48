"""Pairs of answers that do not fit together by plain arithmetic, without a model of the fork."""
from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator

from analysis.catalogue import SIDES
from analysis.disagreement import Disagreement
from analysis.document import Case
from analysis.estimates import ML, MM, Estimate
from analysis.inputs import Inputs
from analysis.observations import sag_reading
from analysis.rear_clashes import rear_clashes
from analysis.say import say

AXLES = 0.08
"""Both axles together may be off from the bike's mass by this share: common practice, no source."""
TIES = 5 * MM
"""Both legs of one axle move alike; ties further apart than this cannot both be right: common practice, no source."""
DEEPEST_SAG, FIRM_SAG = 0.60, 0.35
"""Rider sag beyond this share of the stroke is no reading; beyond the second a fork is not stiff: common practice."""
MORE_OUT = 1.03
"""More than this times what was poured into dry legs cannot come out again: common practice, no source."""
CLICKS_APART = 2.5


def clashes(case: Case, inputs: Inputs) -> list[Disagreement]:
    """Return every clash of plain arithmetic."""
    return [found for check in CHECKS for found in check(case, inputs)]


def _axles(case: Case, inputs: Inputs) -> Iterator[Disagreement]:
    front, rear, whole = (case.number(f"bike.{name}_kg") for name in ("front_load", "rear_load", "mass"))
    if front is None or rear is None or whole is None or abs(front + rear - whole) <= AXLES * whole:
        return
    yield Disagreement(
        (say("loads on both wheels"), say("mass of the bike")),
        say("{front} kg in front and {rear} kg at the rear make {both} kg, and the bike is said to have {whole} kg.",
            front=f"{front:.0f}", rear=f"{rear:.0f}", both=f"{front + rear:.0f}", whole=f"{whole:.0f}"),
        say("Were both wheels weighed level, without a rider, and in the same unit?"),
        ("bike.front_load_kg", "bike.rear_load_kg", "bike.mass_kg"))


def _ties(case: Case, inputs: Inputs) -> Iterator[Disagreement]:
    one, other = case.answer("bench.travel.used_mm"), case.answer("bench.travel.other_leg_mm")
    if one is None or other is None or not isinstance(one.value, float) or not isinstance(other.value, float):
        return
    if abs(one.value - other.value) > max(TIES, math.hypot(one.sd, other.sd)):
        yield Disagreement(
            (say("travel used"), say("travel used, the other leg")),
            say("The ties of the two legs stand at {one} and {other} mm. One axle holds both legs, so they move alike.",
                one=_mm(one.value), other=_mm(other.value)),
            say("Were both ties pushed against their seals before the ride, and read from the same edge? If it stays "
                "so, something is bent."), (one.path, other.path))


def deeper_than_stroke(used: Estimate, inputs: Inputs) -> bool:
    """Tell whether a stroke is deeper than the fork has, beyond what the two readings may be off."""
    return used.value > inputs.stroke.value + 3 * MM + 2 * math.hypot(used.sd, inputs.stroke.sd)


def _sags(case: Case, inputs: Inputs) -> Iterator[Disagreement]:
    rider = sag_reading("rider")(case)
    if rider is None or case.number("fork.travel_mm") is None:
        return
    share = rider.value / inputs.stroke.value
    if share > DEEPEST_SAG and not deeper_than_stroke(rider, inputs):
        yield Disagreement(
            (say("rider sag"), say("full stroke")),
            say("Rider sag of {sag} mm would be {share} % of the full stroke of {stroke} mm.", sag=_mm(rider.value),
                share=f"{100 * share:.0f}", stroke=_mm(inputs.stroke.value)),
            say("Was the tube showing written down in place of the sag, or was it read from another mark?"),
            ("bench.sag.rider_sag_mm", "bench.sag.extended_mm", "bench.sag.rider_from_below_mm",
             "bench.sag.rider_from_above_mm", "fork.travel_mm"))
    named = case.value("complaint.symptoms")
    if share > FIRM_SAG and isinstance(named, tuple) and "too stiff" in named and not {"stops hard"} & set(named):
        yield Disagreement(
            (say("the complaint"), say("rider sag")),
            say("You call it too stiff all over, and with you on it it sinks {sag} mm, {share} % of its stroke.",
                sag=_mm(rider.value), share=f"{100 * share:.0f}"),
            say("Is it stiff from the start, or only when it is hit quickly? Please measure the sag once more."),
            ("complaint.symptoms", "bench.sag.rider_sag_mm"))


def _levels(case: Case, inputs: Inputs) -> Iterator[Disagreement]:
    for side in SIDES:
        level, spring = (case.number(f"fork.{side}.{name}") for name in ("oil_level_mm", "spring.free_length_mm"))
        if level is not None and spring is not None and level > spring:
            yield Disagreement(
                (say("oil level, {side} leg", side=side), say("free length of the spring, {side} leg", side=side)),
                say("The oil would stand {level} mm below the rim, and the whole spring is only {spring} mm long.",
                    level=_mm(level), spring=_mm(spring)),
                say("Was the leg pushed fully together when the level was read, and is it in millimetres?"),
                (f"fork.{side}.oil_level_mm", f"fork.{side}.spring.free_length_mm"))


def _came_out(case: Case, inputs: Inputs) -> Iterator[Disagreement]:
    """Nothing but what was poured in can come out of legs that were dry."""
    if case.value("service.filled") != "dry":
        return
    for side in SIDES:
        leg = inputs.leg(side)
        if leg.poured is None or leg.drained is None or leg.drained.path == f"fork.{side}.drained_ml":
            continue
        poured, out = leg.poured, leg.drained.amount
        if out.value > MORE_OUT * poured.value + math.hypot(out.sd, poured.sd):
            yield Disagreement(
                (say("oil poured in, {side} leg", side=side), say("amount drained, {side} leg", side=side)),
                say("{out} ml came out of a dry leg into which {poured} ml were poured.", out=f"{out.value / ML:.0f}",
                    poured=f"{poured.value / ML:.0f}"),
                say("Was the leg really dry and fully apart when it was filled, and was the empty jar taken off?"),
                (f"fork.{side}.oil_volume_ml", leg.drained.path))


def _clicks(case: Case, inputs: Inputs) -> Iterator[Disagreement]:
    """Legs with the same work, set to mirrored numbers: one was counted from the other end."""
    if case.value("fork.damper") in (None, "separate function"):
        return
    for circuit, title in (("rebound", say("rebound clicks")), ("compression", say("compression clicks"))):
        left, right, span = (case.number(f"fork.{path}") for path in (
            f"left.{circuit}.clicks_out", f"right.{circuit}.clicks_out", f"left.{circuit}.clicks_range"))
        if left is None or right is None or span is None:
            continue
        if abs(left - right) > CLICKS_APART and abs(left + right - span) <= 1:
            yield Disagreement(
                (say("{title}, left leg", title=title), say("{title}, right leg", title=title)),
                say("The legs are set to {left} and {right} of {span} clicks.", left=f"{left:g}", right=f"{right:g}",
                    span=f"{span:g}"), say("Were both counted from fully in?"),
                (f"fork.left.{circuit}.clicks_out", f"fork.right.{circuit}.clicks_out"),
                say("It fits if one leg was counted from the other end."))


def _label(case: Case, inputs: Inputs) -> Iterator[Disagreement]:
    """The number before the W is a name, not a viscosity."""
    label, viscosity = case.value("fork.oil.label"), case.number("fork.oil.viscosity_40_cst")
    if not isinstance(label, str) or viscosity is None:
        return
    weights = [float(number) for number in re.findall(r"(\d+(?:\.\d+)?)\s*[wW]\b", label)]
    if any(abs(viscosity * 1e6 - weight) < 0.05 for weight in weights):
        yield Disagreement(
            (say("what stands on the bottle"), say("viscosity at 40 °C")),
            say("The viscosity given is the number before the W on the bottle. That number is a name and no viscosity: "
                "two oils with the same one can differ by half."),
            say("What does the oil's own sheet say at 40 °C, in mm²/s or cSt? Leave it empty where you have none."),
            ("fork.oil.label", "fork.oil.viscosity_40_cst"))


CHECKS: tuple[Callable[[Case, Inputs], Iterator[Disagreement]], ...] = (
    _axles, _ties, _sags, _levels, _came_out, _clicks, _label, rear_clashes)


def _mm(length: float) -> str:
    return f"{length / MM:.0f}"
