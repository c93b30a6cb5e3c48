"""Preload or air pressure that is not alike in two legs with the same work."""
from __future__ import annotations

import math

from analysis.adjusters import CERTAIN, Finding
from analysis.case import Case
from analysis.say import say
from analysis.units import to_si

BAR = to_si(1.0, "bar")

PRELOAD_GAP = 0.5
"""Turns by which the preload of two legs may differ: common practice, no source."""
PRESSURE_GAP, AIR_SPRUNG_GAP = 0.02 * BAR, 0.1 * BAR
"""The same for the air, in a fork with springs and in an air-sprung one: common practice, no source."""


def unlike_legs(case: Case, same_function: bool | None) -> tuple[Finding, ...]:
    """Return what stands differently left and right; nothing where each leg has its own work."""
    if same_function is False:
        return ()
    return (*_preload(case), *_pressure(case))


def _preload(case: Case) -> tuple[Finding, ...]:
    pair = _apart(case, "preload_turns_in", PRELOAD_GAP)
    if pair is None:
        return ()
    return (Finding("sides differ", "both", "preload", say(
        "The preload is turned in {left} turns left and {right} right.", left=f"{pair[0]:g}", right=f"{pair[1]:g}"),
        say("Unless the manual wants a difference, set both alike: halfway between the two.")),)


def _pressure(case: Case) -> tuple[Finding, ...]:
    air_sprung = case.value("fork.springing") == "air"
    pair = _apart(case, "gauge_pressure_bar", AIR_SPRUNG_GAP if air_sprung else PRESSURE_GAP)
    if pair is None or (air_sprung and min(pair) <= 0):  # the spring of such a fork may be in one leg alone
        return ()
    return (Finding("sides differ", "both", "air pressure", say(
        "The left leg holds {left} bar and the right one {right}.", left=f"{pair[0] / BAR:.2g}",
        right=f"{pair[1] / BAR:.2g}"),
        say("Set both alike at the valve, cold, with the wheel off the floor, to the figure in the manual.")),)


def _apart(case: Case, name: str, least: float) -> tuple[float, float] | None:
    """Return both legs' numbers where they differ by more than ``least`` and than the readings may be off."""
    left, right = (case.answer(f"fork.{side}.{name}") for side in ("left", "right"))
    if left is None or right is None or not isinstance(left.value, float) or not isinstance(right.value, float):
        return None
    gap = abs(left.value - right.value)
    return (left.value, right.value) if gap > max(least, CERTAIN * math.hypot(left.sd, right.sd)) else None
