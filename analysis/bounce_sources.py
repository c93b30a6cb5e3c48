"""Where a case says what a bounce did: a recording, a film read off by frames, heights read off it, or counting."""
from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from analysis.case import Case
from analysis.columns import Column
from analysis.csv_rows import LogFaults
from analysis.decay import Decay, Refused
from analysis.decay_swings import from_count, from_overshoot, from_peaks
from analysis.decay_trace import from_trace
from analysis.say import say
from analysis.trace import read_trace
from analysis.trace_answer import bounce_in

Result = Decay | Refused | None
Sources = Mapping[str, tuple[str, Callable[[Case], Result]]]
COUNTED_SWINGS: dict[str, tuple[int, bool]] = {"none": (0, False), "one small": (1, False), "two or more": (2, True)}


def from_recording(test: str) -> Callable[[Case], Result]:
    """Return the reader of the times and positions handed in with the bench test of that name."""
    def read(case: Case) -> Result:
        text = case.value(f"bench.{test}.trace")
        return bounce_in(text) if isinstance(text, str) else None
    return read


def from_film(case: Case) -> Result:
    """Return what the front's film says, typed as frames and tube showing."""
    film = case.value("bench.rebound.film")
    if not isinstance(film, str) or not film.strip():
        return None
    table, above = _with_heading(film.strip())
    try:
        trace = read_trace(table, {"frame": Column("frame", ""), "position": Column("tube", "mm")},
                           frames_per_s=case.number("bench.rebound.frames_per_s"))
    except LogFaults as faults:
        first, more = faults.faults[0], len(faults.faults) - 1
        where = re.sub(r"^line (\d+)", lambda line: f"line {int(line[1]) - above}", first.path)
        also = say(" {more} more lines have faults as well.", more=more) if more else ""
        return Refused("not a decay", say("The list from the film, {where}: {problem}. {mend}{also}", where=where,
                                          problem=first.problem, mend=first.mend, also=also))
    return from_trace(trace.times, trace.positions)


def _with_heading(film: str) -> tuple[str, int]:
    """Return the list under a heading of ours, and by how many lines that moved it; the rider's own heading goes."""
    mark = next((mark for mark in ";\t" if mark in film), ",")
    first, _, rest = film.partition("\n")
    own = not any(letter.isdigit() for letter in first)
    return f"frame{mark}tube\n{rest if own else film}", 0 if own else 1


def from_heights(case: Case) -> Result:
    """Return what the front's turning points say, read off a film."""
    names = ("pushed_mm", "first_past_mm", "then_below_mm", "then_past_mm")
    answers = [case.answer(f"bench.rebound.{name}") for name in names]
    heights = []
    for answer in answers:
        if answer is None or not isinstance(answer.value, float):
            break
        heights.append(answer.value)
    if len(heights) < 2:
        return None
    sd = max(answer.sd for answer in answers[:len(heights)] if answer is not None)
    half = case.answer("bench.rebound.half_swing_s")
    time, time_sd = (half.value, half.sd) if half and isinstance(half.value, float) else (None, 0.0)
    seen = [height for height in heights if height > 2 * sd]
    if len(seen) < 3 or seen != heights[:len(seen)]:
        return from_overshoot(heights[0], heights[1], sd, time, time_sd)
    points = [(-1) ** (i + 1) * height for i, height in enumerate(seen)]
    times = None if time is None else [0.0, time]
    return from_peaks(points, times, rest=0.0, sd=sd, time_sd=time_sd or None)


def from_counting(test: str) -> Callable[[Case], Result]:
    """Return the reader of the counted swings of a bench test: a bracket and no more."""
    def read(case: Case) -> Result:
        counted = COUNTED_SWINGS.get(str(case.value(f"bench.{test}.swings")))
        if counted is None:
            return None
        return Decay(from_count(*counted), swings=counted[0], remark=say(
            "From counting alone, so only a rough bracket; friction counts as damping here."))
    return read


FRONT: Sources = {
    "recording": ("bench.rebound.trace", from_recording("rebound")),
    "film": ("bench.rebound.film", from_film),
    "heights": ("bench.rebound.pushed_mm", from_heights),
    "count": ("bench.rebound.swings", from_counting("rebound"))}
"""The front's sources, best first: each with its question's path."""
REAR: Sources = {
    "recording": ("bench.rear_bounce.trace", from_recording("rear_bounce")),
    "count": ("bench.rear_bounce.swings", from_counting("rear_bounce"))}
"""The same of the rear."""


def measured_bounce(case: Case, sources: Sources) -> tuple[str, Decay | Refused] | None:
    """Return path and result of the best source that was measured and can be read; None where there is only counting.

    A refusal counts as read where it sized the friction: that is what stopped the bounce.
    """
    for name, (path, read) in sources.items():
        found = None if name == "count" else read(case)
        if isinstance(found, Decay) or found is not None and found.friction is not None:
            return path, found
    return None
