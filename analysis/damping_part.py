"""What the findings say about damping: the bounce, the adjusters and the oil, in the trade's units."""
from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

from analysis.adjusters import Adjuster, Circuit, Counted, Finding, Sweep, judge_sweep, look_at_all
from analysis.bounce_sources import FRONT, REAR, Sources
from analysis.case import Case
from analysis.catalogue import SIDES
from analysis.decay import Decay, Interval, Refused
from analysis.oil_part import oil_part
from analysis.say import say
from analysis.unlike_legs import unlike_legs

MM = 1e-3
HEALTHY = (0.4, 0.7)
"""Damping ratio of an ordinary rebound: common practice, no source."""
SLOW_S = 1.2
"""A rear that needs longer than this to come back is slow: common practice, no source."""
CIRCUITS: tuple[Circuit, ...] = ("rebound", "compression")


def damping_part(case: Case) -> dict[str, Any] | None:
    """Return {"rebound", "rear", "adjusters", "oil"}, each null or empty where nothing was said; None where all are."""
    part = {"rebound": bounce_part(case, FRONT), "rear": rear_bounce_part(case),
            "adjusters": [asdict(found) for found in adjuster_findings(case)], "oil": oil_part(case)}
    return part if any(part.values()) else None


def bounce_part(case: Case, sources: Sources) -> dict[str, Any] | None:
    """What the bounce says, from the best source that can be read; None where none is given.

    What cannot be read gives way to the next, and its words stay beside it.
    """
    tried = [(name, result) for name, (_, read) in sources.items() if (result := read(case))]
    if not tried:
        return None
    name, result = next(((n, r) for n, r in tried if isinstance(r, Decay)), tried[0])
    refused = [{"from": n, "reason": r.reason, "words": r.words} for n, r in tried if isinstance(r, Refused)]
    if isinstance(result, Refused):
        return {"from": name, "words": result.words, "refused": refused, **_numbers(None, result.friction)}
    return {"from": name, "words": _words(result), "refused": refused, **_numbers(result, result.friction)}


def rear_bounce_part(case: Case) -> dict[str, Any] | None:
    """The same of the rear, with the time to come back where that was taken."""
    part, back = bounce_part(case, REAR), case.number("bench.rear_bounce.return_s")
    if back is None:
        return part
    slow = say("The rear took {seconds} s to come back, which is slow.", seconds=f"{back:.1f}") if back > SLOW_S else ""
    return {**(part or {"from": "watch", "words": slow, "refused": [], **_numbers(None, None)}),
            "return_s": round(back, 2), "return_words": slow}


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
    template = "Damping ratio {value} ({low} to {high}): it can be an ordinary rebound, {least} to {most}."
    if zeta.high < HEALTHY[0]:
        template = "Damping ratio {value} ({low} to {high}): the rebound is loose; {least} to {most} is ordinary."
    elif zeta.low > HEALTHY[1]:
        template = "Damping ratio {value} ({low} to {high}): the rebound is slow; {least} to {most} is ordinary."
    elif HEALTHY[0] <= zeta.low and zeta.high <= HEALTHY[1]:
        template = "Damping ratio {value} ({low} to {high}): an ordinary rebound."
    return say(template, value=f"{zeta.value:.2f}", low=f"{zeta.low:.2f}", high=f"{zeta.high:.2f}",
               least=f"{HEALTHY[0]:g}", most=f"{HEALTHY[1]:g}")


def adjuster_findings(case: Case) -> tuple[Finding, ...]:
    """Return what the clicks say: each adjuster, left against right, the sweep, and how the adjuster itself turns."""
    counted = case.value("bench.clicks.counted_from")
    where: Counted = counted if counted in ("fully out", "not sure") else "fully in"  # type: ignore[assignment]
    adjusters = [_adjuster(case, side, circuit, where) for circuit in CIRCUITS for side in SIDES]
    damper = case.value("fork.damper")
    same = None if damper is None else damper != "separate function"
    return (*look_at_all(adjusters, same), *_swept(case), *_turned(case), *unlike_legs(case, same))


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
        return (Finding("turns endlessly", "both", "compression",
                        say("The adjuster turns without end or without clicks."),
                        say("It is broken or wrongly put together: a workshop opens it. Do not turn it further.")),)
    if feel == "stuck":
        return (Finding("stuck", "both", "compression", say("The adjuster does not turn."),
                        say("Do not force it. A workshop frees it.")),)
    return ()
