"""How far a case's answers may each be off, one at a time: what a figure of the rear rests on, and by how much."""
from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from types import MappingProxyType

from analysis.case import Answer, Case
from analysis.rear_inputs import UNSPRUNG_REAR_KG, RearReader, read_loads
from analysis.typical import BIKE_FRONT_SHARE, RIDER_FRONT_SHARE

LOADED_BY = ("bike.mass_kg", "bike.rear_load_kg", "bike.front_load_kg", "rider.mass_kg", "use.pillion_kg",
             "use.luggage_kg")
"""Answers that the rear's load rests on."""
SWAYING = ("shock.spring.rate_n_per_mm", "shock.spring.free_length_mm", "shock.spring.installed_length_mm",
           "shock.preload_mm", "shock.wheel_travel_mm", "shock.stroke_mm", *LOADED_BY)
"""Answers that the rear's sag rests on."""
USUAL_SWAY = {"rider.front_share": RIDER_FRONT_SHARE, "bike.front_share": BIKE_FRONT_SHARE,
              "bike.unsprung_rear_kg": (UNSPRUNG_REAR_KG, 3.0)}
"""Those with a usual value where they are not known, with its spread: common practice, no source."""
MOST_SPREAD = 1.645
"""5 and 95 % in standard deviations of a normal spread."""


def swayed(case: Case, path: str) -> Case | None:
    """Return the case with one quantity moved by its standard deviation; None where it has no part in it."""
    answer = case.answer(path)
    if answer is None and path in USUAL_SWAY:
        mean, sd = USUAL_SWAY[path]
        answer = Answer(path, mean, sd, "guessed", "")
    if answer is None or not isinstance(answer.value, float) or answer.sd == 0:
        return None
    return replace(case, answers=MappingProxyType({**case.answers, path: replace(
        answer, value=answer.value + answer.sd)}))


def rider_load_ends(case: Case, load: float) -> tuple[float, float]:
    """Return the 5 and 95 % points of the rear's ``load`` with the rider, N: every mass and share by its spread."""
    moved = [read_loads(RearReader(other)).rider for other in _others(case, (*LOADED_BY, *USUAL_SWAY))]
    sd = math.sqrt(sum((one - load) ** 2 for one in moved if one is not None))
    return max(load - MOST_SPREAD * sd, 0.0), load + MOST_SPREAD * sd


def _others(case: Case, paths: Iterable[str]) -> list[Case]:
    return [other for path in paths if (other := swayed(case, path)) is not None]
