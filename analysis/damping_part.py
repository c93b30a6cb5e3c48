"""What the findings say about damping: the bounce, the adjusters and the oil, in the trade's units."""
from __future__ import annotations

import math
import re
from dataclasses import asdict
from typing import Any

from analysis.adjusters import Adjuster, Circuit, Counted, Finding, Sweep, judge_sweep, look_at_all
from analysis.case import Case
from analysis.catalogue import SIDES
from analysis.columns import Column
from analysis.csv_rows import LogFaults
from analysis.decay import Decay, Interval, Refused
from analysis.decay_swings import from_count, from_overshoot, from_peaks
from analysis.decay_trace import from_trace
from analysis.oil_part import oil_part
from analysis.trace import read_trace

MM = 1e-3
HEALTHY = (0.4, 0.7)
"""Damping ratio of an ordinary rebound: common practice, no source."""
COUNTED_SWINGS: dict[str, tuple[int, bool]] = {"none": (0, False), "one small": (1, False), "two or more": (2, True)}
CIRCUITS: tuple[Circuit, ...] = ("rebound", "compression")


def damping_part(case: Case) -> dict[str, Any] | None:
    """Return {"rebound": {…} | None, "adjusters": […], "oil": {…} | None}, or None where nothing was said of any."""
    part = {"rebound": rebound_part(case), "adjusters": [asdict(found) for found in adjuster_findings(case)],
            "oil": oil_part(case)}
    return part if any(part.values()) else None


def rebound_part(case: Case) -> dict[str, Any] | None:
    """What the bounce says: from the film, else from heights read off it, else from counting; None where none is given.

    A film that cannot be read gives way to the heights, and those to the count, and its words stay beside them.
    """
    tried = [(name, result) for name, result in (
        ("film", _from_film(case)), ("heights", _from_heights(case)), ("count", _from_count(case))) if result]
    if not tried:
        return None
    name, result = next(((n, r) for n, r in tried if isinstance(r, Decay)), tried[0])
    refused = [{"from": n, "reason": r.reason, "words": r.words} for n, r in tried if isinstance(r, Refused)]
    if isinstance(result, Refused):
        return {"from": name, "words": result.words, "refused": refused, **_numbers(None, result.friction)}
    return {"from": name, "words": _words(result), "refused": refused, **_numbers(result, result.friction)}


def _numbers(result: Decay | None, friction: Interval | None) -> dict[str, Any]:
    return {"damping_ratio": _rounded(result.zeta if result else None, 3),
            "decrement": _rounded(result.delta if result else None, 3),
            "friction_mm": _rounded(friction.scaled(1 / MM) if friction else None, 2),
            "damped_hz": _rounded(result.damped_hz if result else None, 3),
            "natural_hz": _rounded(result.natural_hz if result else None, 3),
            "model": result.model if result else None, "swings": result.swings if result else None,
            "remark": result.remark if result else ""}


def _rounded(interval: Interval | None, digits: int) -> dict[str, float | None] | None:
    if interval is None:
        return None
    return {name: round(value, digits) if math.isfinite(value) else None for name, value in asdict(interval).items()}


def _words(result: Decay) -> str:
    zeta = result.zeta
    said = f"Damping ratio {zeta.value:.2f} ({zeta.low:.2f} to {zeta.high:.2f})"
    if zeta.high < HEALTHY[0]:
        return f"{said}: the rebound is loose; 0.4 to 0.7 is ordinary."
    if zeta.low > HEALTHY[1]:
        return f"{said}: the rebound is slow; 0.4 to 0.7 is ordinary."
    inside = HEALTHY[0] <= zeta.low and zeta.high <= HEALTHY[1]
    return f"{said}: an ordinary rebound." if inside else f"{said}: it can be an ordinary rebound, 0.4 to 0.7."


def _from_film(case: Case) -> Decay | Refused | None:
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
        also = f" {more} more lines have faults as well." if more else ""
        return Refused("not a decay", f"The list from the film, {where}: {first.problem}. {first.mend}{also}")
    return from_trace(trace.times, trace.positions)


def _with_heading(film: str) -> tuple[str, int]:
    """Return the list under a heading of ours, and by how many lines that moved it; the rider's own heading goes."""
    mark = next((mark for mark in ";\t" if mark in film), ",")
    first, _, rest = film.partition("\n")
    own = not any(letter.isdigit() for letter in first)
    return f"frame{mark}tube\n{rest if own else film}", 0 if own else 1


def _from_heights(case: Case) -> Decay | Refused | None:
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


def _from_count(case: Case) -> Decay | None:
    counted = COUNTED_SWINGS.get(str(case.value("bench.rebound.swings")))
    if counted is None:
        return None
    return Decay(from_count(*counted), swings=counted[0], remark="From counting alone, so only a rough bracket; "
                                                                 "friction counts as damping here.")


def adjuster_findings(case: Case) -> tuple[Finding, ...]:
    """Return what the clicks say: each adjuster, left against right, the sweep, and how the adjuster itself turns."""
    counted = case.value("bench.clicks.counted_from")
    where: Counted = counted if counted in ("fully out", "not sure") else "fully in"  # type: ignore[assignment]
    adjusters = [_adjuster(case, side, circuit, where) for circuit in CIRCUITS for side in SIDES]
    damper = case.value("fork.damper")
    same = None if damper is None else damper != "separate function"
    return (*look_at_all(adjusters, same), *_swept(case), *_turned(case))


def _adjuster(case: Case, side: str, circuit: Circuit, counted: Counted) -> Adjuster:
    path = f"fork.{side}.{circuit}.clicks"
    answer = case.answer(f"{path}_out")
    return Adjuster(side, circuit, case.number(f"{path}_out"), case.number(f"{path}_range"), counted,
                    answer.sd if answer else 0.5)


def _swept(case: Case) -> tuple[Finding, ...]:
    fully_in, middle, out = (case.number(f"bench.clicks.stroke_{name}_mm") for name in ("in", "middle", "out"))
    if fully_in is None or out is None:
        return ()
    spread = max(answer.sd for name in ("in", "out") if (answer := case.answer(f"bench.clicks.stroke_{name}_mm")))
    return (judge_sweep(Sweep(fully_in, middle, out, spread)),)


def _turned(case: Case) -> tuple[Finding, ...]:
    feel = case.value("bench.clicks.feel")
    if feel == "endless":
        return (Finding("turns endlessly", "both", "compression", "The adjuster turns without end or without clicks.",
                        "It is broken or wrongly put together: a workshop opens it. Do not turn it further."),)
    if feel == "stuck":
        return (Finding("stuck", "both", "compression", "The adjuster does not turn.",
                        "Do not force it. A workshop frees it."),)
    return ()
