"""One slip that would make everything fit: a unit, how a leg was held, an amount for both legs, how it was filled."""
from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from analysis.case import Answer, Case
from analysis.catalogue import QUESTIONS
from analysis.disagreement import Disagreement
from analysis.quantities import fit
from analysis.say import say

Judge = Callable[[Case], Sequence[Disagreement]]
MOST = 2
"""With more slips than this that would do, none is clear."""
LEGS = ("fork.left.", "fork.right.")


@dataclass(frozen=True)
class Slip:
    """A slip in words, and the case as it would stand without it."""

    words: str
    mended: Case


def explained(case: Case, found: Sequence[Disagreement], judge: Judge) -> list[Disagreement]:
    """Return the disagreements, each with the slip, or the two, that would undo it and bring in no other."""
    return [_explained(case, one, found, judge) for one in found]


def _explained(case: Case, one: Disagreement, found: Sequence[Disagreement], judge: Judge) -> Disagreement:
    if one.fits_if:
        return one
    before = {(d.between, d.paths) for d in found}
    words = list(dict.fromkeys(s.words for s in slips(case, one.paths) if _undoes(one, judge(s.mended), before)))
    if not 1 <= len(words) <= MOST:
        return one
    slip = words[0] if len(words) == 1 else say("{first} Or: {second}", first=words[0], second=words[1])
    return replace(one, fits_if=slip, ask=say("{slip} {ask}", slip=slip, ask=one.ask))


def _undoes(one: Disagreement, after: Sequence[Disagreement], before: set[tuple[tuple[str, str], tuple[str, ...]]],
            ) -> bool:
    """All fits: none of its answers clashes with anything any more, and nothing new does."""
    if any(set(d.paths) & set(one.paths) for d in after):
        return False
    left = {(d.between, d.paths) for d in after}
    return (one.between, one.paths) not in left and left <= before


def slips(case: Case, paths: Sequence[str]) -> Iterator[Slip]:
    """Return every usual slip in the answers at ``paths``."""
    if any(path.endswith(".oil_level_mm") for path in paths):
        yield from _levels(case)
    if any(path.endswith(".oil_volume_ml") for path in paths):
        yield from _amounts(case)
    if any(path.startswith("bench.drain.") or path.endswith(".drained_ml") for path in paths):
        yield from _scaled(case, [f"bench.drain.{side}_out_ml" for side in ("left", "right")] + _both("drained_ml"),
                           ((0.5, "All fits if what came out is the amount of both legs together."),))
    for path in paths:
        if path in ("bench.travel.used_mm", "fork.travel_mm", "bench.sag.rider_sag_mm"):
            yield from _scaled(case, [path], _LENGTHS[path])


INCHES, CENTIMETRES = re.compile(r"in\b|inch|\"|″"), re.compile(r"cm\b|centim")
_LENGTHS = {
    "bench.travel.used_mm": ((2.54, "All fits if the travel used was in inches, not in centimetres."),
                             (1 / 2.54, "All fits if the travel used was in centimetres, not in inches.")),
    "fork.travel_mm": ((2.54, "All fits if the full stroke was in inches, not in centimetres."),
                       (1 / 2.54, "All fits if the full stroke was in centimetres, not in inches.")),
    "bench.sag.rider_sag_mm": ((2.54, "All fits if the sag was in inches, not in centimetres."),
                               (1 / 2.54, "All fits if the sag was in centimetres, not in inches."))}
_LEVELS = ((10.0, "All fits if the level was in centimetres, not in millimetres."),
           (1 / 2.54, "All fits if the level was in centimetres, not in inches."),
           (2.54, "All fits if the level was in inches, not in centimetres."))
_CONDITIONS = (("extended spring out", "All fits if the leg was fully extended when the level was read."),
               ("compressed spring in", "All fits if the spring was in the leg when the level was read."),
               ("compressed spring out", "All fits if the leg was fully together, spring out, when it was read."))
_FILLINGS = {"dry": ("drained", "All fits if the legs had only been drained, not taken apart, then."),
             "drained": ("dry", "All fits if the legs were dry and fully apart when they were filled.")}


def _both(name: str) -> list[str]:
    return [f"{leg}{name}" for leg in LEGS]


def _levels(case: Case) -> Iterator[Slip]:
    yield from _scaled(case, _both("oil_level_mm"), _LEVELS)
    now = case.value("bench.oil.condition") or "compressed spring out"
    for condition, words in _CONDITIONS:
        if condition != now:
            yield Slip(say(words), _with(case, {"bench.oil.condition": condition}))


def _amounts(case: Case) -> Iterator[Slip]:
    yield from _scaled(case, _both("oil_volume_ml"), ((0.5, "All fits if it was the amount for both legs together."),))
    now = case.value("service.filled")
    if now in ("dry", "drained"):
        filled, words = _FILLINGS[str(now)]
        yield Slip(say(words), _with(case.without("service.pumped") if filled == "drained" else case,
                                     {"service.filled": filled}))


def _scaled(case: Case, paths: Sequence[str], ways: Sequence[tuple[float, str]]) -> Iterator[Slip]:
    """Multiply the answers at the paths, all of them together, where the result would be a usual one.

    An inch is taken for a centimetre, or the other way round, only where that unit was typed.
    """
    there = [answer for path in paths if (answer := case.answer(path)) is not None and isinstance(answer.value, float)]
    for factor, words in ways:
        typed = {2.54: CENTIMETRES, 1 / 2.54: INCHES}.get(factor)
        scaled = {answer.path: answer.value * factor for answer in there if isinstance(answer.value, float)
                  and (typed is None or typed.search(answer.typed))}
        if scaled and all(fit(value, QUESTIONS[path]) == 2 for path, value in scaled.items()):
            yield Slip(say(words), _with(case, scaled))


def _with(case: Case, values: Mapping[str, float | str | bool]) -> Case:
    answers = dict(case.answers)
    for path, value in values.items():
        old = answers.get(path)
        answers[path] = replace(old, value=value) if old else Answer(path, value, 0.0, "measured", str(value))
    return Case(MappingProxyType(answers), case.unknown, case.doubts)
