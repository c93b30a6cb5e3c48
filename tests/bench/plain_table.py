"""A plain table of likelihood ratios: what a technician with a pencil would use, for comparison only.

Each result speaks strongly for (10), for (3), against (1/3) or strongly against (1/10) some causes and says nothing of
the rest.  Common practice, no source.  Of results that see the same physics the first counts, the others by the root.
"""
from __future__ import annotations

from analysis.case import Case

FULL, STIFF, PRELOAD, DAMPING = "over-filled", "spring too stiff", "too much preload", "too much compression damping"
DRAG, BENT, BIND, WRONG = "friction or misalignment", "bent part", "coil bind", "wrong assembly"
FINE, UNEQUAL, TRAPPED, LOW = "nothing wrong or measured badly", "unequal oil", "trapped air pressure", "too little oil"
SOFT, SLACK, WEAK = "spring too soft", "too little preload", "too little compression damping"
FAST, SLOW, WORN = "rebound too fast", "rebound too slow", "worn damper"
LEAK, TOP, TYRE = "leaking seal", "top-out fault", "tyre, bearing or brake"

Row = tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...], tuple[str, ...]]
RATIOS = (10.0, 3.0, 1 / 3, 1 / 10)

TABLE: dict[tuple[str, str], Row] = {
    ("bench.push.end_feel", "stops dead"): (
        (FULL,), (TRAPPED, WRONG, BIND, UNEQUAL), (PRELOAD, STIFF, DRAG, DAMPING), (SOFT, LOW, WEAK, FINE)),
    ("bench.push.end_feel", "clank"): ((BIND,), (WRONG, BENT), (FULL, DAMPING, DRAG), (SOFT, SLACK)),
    ("bench.push.end_feel", "hard to start"): (
        (PRELOAD,), (STIFF, TRAPPED), (FULL, BIND, DAMPING), (LOW, SOFT, SLACK)),
    ("bench.push.end_feel", "stiffer"): ((STIFF,), (PRELOAD,), (FULL, BIND, WRONG), (SOFT, LOW)),
    ("bench.push.end_feel", "sticks"): ((DRAG,), (BENT,), (FULL, DAMPING), (SOFT,)),
    ("bench.push.end_feel", "keeps going"): ((FINE,), (LOW, SOFT, WEAK), (STIFF, PRELOAD), (FULL, BIND, DAMPING, DRAG)),
    ("bench.push.rear_wheel", "lifts"): ((FULL,), (BIND, DAMPING, TRAPPED), (PRELOAD, SOFT), (LOW, FINE)),
    ("bench.push.rear_wheel", "goes light"): ((), (FINE,), (FULL,), (BIND,)),
    ("bench.travel.end_feel", "stops dead"): (
        (FULL,), (BIND, WRONG, TRAPPED), (DAMPING, DRAG, PRELOAD), (LOW, SOFT)),
    ("bench.travel.end_feel", "clank"): ((BIND,), (WRONG, LOW, SOFT), (FULL, DAMPING), ()),
    ("bench.travel.repeats", "same"): ((FULL,), (BIND, WRONG, TRAPPED), (DAMPING, DRAG, PRELOAD), ()),
    ("bench.travel.repeats", "differ"): ((DRAG, DAMPING), (BENT, SLOW), (FULL, BIND), ()),
    ("bench.preload.stop", "moved deeper"): ((PRELOAD,), (STIFF,), (FULL, BIND, DAMPING), (SOFT,)),
    ("bench.preload.stop", "stayed"): ((FULL,), (BIND, WRONG), (PRELOAD, FINE), ()),
    ("bench.rebound.swings", "two or more"): ((FAST,), (WORN, LOW, WEAK, LEAK), (SLOW, DAMPING), (FULL,)),
    ("bench.rebound.rest", "short"): ((DRAG,), (BENT, SLOW), (FAST,), ()),
    ("bench.rebound.rest", "same height"): ((), (FINE, FULL, STIFF), (FAST, SLOW, WORN), (DRAG,)),
    ("bench.alignment.result", "freed"): ((DRAG,), (BENT,), (FULL, STIFF, PRELOAD), ()),
    ("bench.alignment.result", "no change"): ((), (FULL, STIFF), (DRAG,), ()),
    ("bench.top_out.feel", "knock"): ((TOP, FAST), (LOW, WRONG, WORN), (SLOW,), ()),
    ("bench.look.oil_on_tube", "ring"): ((LEAK,), (BENT,), (), ()),
    ("bench.look.oil_on_tube", "drops"): ((LEAK,), (BENT,), (), ()),
    ("bench.look.oil_on_tube", "none"): ((), (), (), (LEAK,)),
    ("bench.look.tubes_parallel", "twisted"): ((BENT, DRAG), (), (), ()),
    ("bench.warmth.change", "freer"): ((DAMPING,), (SLOW,), (), (WORN,)),
    ("bench.warmth.change", "earlier stop"): ((FULL,), (TRAPPED,), (LOW,), ()),
    ("bench.warmth.change", "looser"): ((WORN,), (WEAK, FAST), (DAMPING,), ()),
    ("bench.cap.air", "hissed out"): ((TRAPPED,), (), (), ()),
    ("bench.twins.result", "one drags"): ((DRAG, BENT), (), (), ()),
    ("bench.twins.result", "alike"): ((), (FINE,), (UNEQUAL, BENT), ()),
    ("bench.rolling.tyre", "off"): ((TYRE,), (), (), ()),
    ("bench.clicks.difference", "none"): ((WORN,), (FULL, BIND), (), ()),
    ("bench.springs_measured.pair", "polished"): ((BIND,), (), (), ()),
    ("sag", "both normal"): ((FULL,), (DAMPING, BIND, WRONG, FINE, UNEQUAL), (PRELOAD, STIFF, TRAPPED), (SOFT, SLACK)),
    ("sag", "low, none free"): ((PRELOAD,), (TRAPPED, STIFF), (FULL, SOFT), (SLACK,)),
    ("sag", "low, free as usual"): ((STIFF,), (), (PRELOAD, SOFT), ()),
    ("sag", "high, free as usual"): ((SOFT,), (LOW,), (STIFF, PRELOAD, FULL), ()),
    ("sag", "both high"): ((SLACK,), (SOFT, LEAK), (PRELOAD, FULL), ()),
    ("travel", "short"): ((FULL, STIFF), (DAMPING, BIND, DRAG, PRELOAD), (FINE, LOW, SOFT), ()),
    ("travel", "some left"): ((), (FULL, STIFF, PRELOAD), (LOW,), ()),
    ("travel", "all"): ((FINE,), (LOW, SOFT), (FULL, BIND, STIFF), ()),
    ("oil", "high"): ((FULL,), (), (PRELOAD, STIFF, DRAG, FINE, SOFT), (LOW,)),
    ("oil", "as it should be"): ((), (FINE,), (), (FULL, LOW)),
    ("oil", "low"): ((LOW,), (LEAK,), (), (FULL,)),
    ("oil", "unlike"): ((UNEQUAL,), (), (), ()),
}

SAME = (("bench.push.end_feel", "bench.travel.end_feel", "bench.push.rear_wheel", "bench.travel.repeats",
         "bench.preload.stop", "travel"), ("bench.rebound.rest", "bench.alignment.result", "bench.twins.result"))


def results(case: Case) -> list[tuple[str, str]]:
    """Return what the case says in the table's words: answers as they are, numbers by the technician's limits."""
    found = [(path, str(answer.value)) for path, answer in case.answers.items() if (path, str(answer.value)) in TABLE]
    stroke = case.number("fork.travel_mm") or 0.13
    free, rider = case.number("bench.sag.free_sag_mm"), case.number("bench.sag.rider_sag_mm")
    if free is not None and rider is not None:
        found.append(("sag", _sag(free / stroke, rider / stroke)))
    used = case.number("bench.travel.used_mm")
    if used is not None:
        found.append(("travel", "all" if used > 0.9 * stroke else "some left" if used > 0.72 * stroke else "short"))
    levels = [(case.number(f"fork.{side}.oil_level_mm"), case.number(f"fork.{side}.oil_level_book_mm"))
              for side in ("left", "right")]
    over = [book - level for level, book in levels if level is not None and book is not None]
    if len(over) == 2:
        found.append(("oil", _oil(*over)))
    return [result for result in found if result in TABLE]


def _sag(free: float, rider: float) -> str:
    if rider < 0.22:
        return "low, none free" if free < 0.06 else "low, free as usual"
    if rider > 0.38:
        return "both high" if free > 0.20 else "high, free as usual"
    return "both normal"


def _oil(left: float, right: float) -> str:
    if abs(left - right) > 0.020:
        return "unlike"
    mean = (left + right) / 2
    return "high" if mean > 0.015 else "low" if mean < -0.015 else "as it should be"


def odds(case: Case, names: list[str], base_rates: list[float]) -> list[float]:
    """Return each cause's probability by base rates and the table."""
    weight, seen = list(base_rates), set[int]()
    for path, value in results(case):
        group = next((i for i, paths in enumerate(SAME) if path in paths), None)
        power = 0.5 if group in seen and group is not None else 1.0
        seen |= set() if group is None else {group}
        for ratio, causes in zip(RATIOS, TABLE[path, value], strict=True):
            weight = [w * ratio**power if name in causes else w for w, name in zip(weight, names, strict=True)]
    return [w / sum(weight) for w in weight]
