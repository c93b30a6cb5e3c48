"""Rear sags that cannot be."""
from __future__ import annotations

from collections.abc import Iterator

from analysis.disagreement import Disagreement
from analysis.document import Case
from analysis.estimates import MM
from analysis.inputs import Inputs
from analysis.rear_inputs import READING_SD, measured_sag
from analysis.sag import readings_swapped
from analysis.say import say

SLACK = 5 * MM
"""A tape at the rear axle is no better than this: common practice, no source."""
_TITLES = {"free": say("rear free sag"), "rider": say("rear rider sag")}


def rear_clashes(case: Case, inputs: Inputs) -> Iterator[Disagreement]:
    """Return what the rear's own sags say against each other and against the wheel's travel."""
    sags = {which: found[0] for which in _TITLES if (found := measured_sag(case, which)) is not None}
    yield from _free_over_rider(sags)
    yield from _beyond_the_travel(case, sags)
    for which in _TITLES:
        yield from _swapped(case, which)


def _paths(which: str) -> tuple[str, ...]:
    return (f"shock.{which}_sag_mm", "bench.rear_sag.extended_mm",
            *(f"bench.rear_sag.{which}_from_{way}_mm" for way in ("below", "above")))


def _free_over_rider(sags: dict[str, float]) -> Iterator[Disagreement]:
    if len(sags) == len(_TITLES) and sags["free"] > sags["rider"] + SLACK:
        yield Disagreement(
            (_TITLES["free"], _TITLES["rider"]),
            say("At the rear, free sag ({free} mm) is larger than rider sag ({rider} mm): a rider can only push it "
                "deeper.", free=_mm(sags["free"]), rider=_mm(sags["rider"])),
            say("Were the two readings swapped, or was one taken from another mark?"),
            (*_paths("free"), *_paths("rider")))


def _beyond_the_travel(case: Case, sags: dict[str, float]) -> Iterator[Disagreement]:
    travel = case.number("shock.wheel_travel_mm")
    for which, sag in sags.items():
        if travel is not None and sag > travel + SLACK:
            yield Disagreement(
                (_TITLES[which], say("rear wheel travel")),
                say("At the rear, {sag} mm of sag are more than the {travel} mm that the wheel has.", sag=_mm(sag),
                    travel=_mm(travel)),
                say("Was the length written down in place of the sag, or is the wheel travel another one?"),
                (*_paths(which), "shock.wheel_travel_mm"))


def _swapped(case: Case, which: str) -> Iterator[Disagreement]:
    """Friction leaves it deeper after rising than after sinking; the other way round cannot be."""
    below, above = (case.number(f"bench.rear_sag.{which}_from_{way}_mm") for way in ("below", "above"))
    if below is not None and above is not None and readings_swapped(below, above, READING_SD):
        yield Disagreement(
            (_TITLES[which], _TITLES[which]),
            say("The rear stands higher after it rose ({below} mm) than after it sank ({above} mm). Friction can only "
                "do the opposite.", below=_mm(below), above=_mm(above)),
            say("Were these two readings swapped? Please take both once more."), _paths(which))


def _mm(length: float) -> str:
    return f"{length / MM:.0f}"
