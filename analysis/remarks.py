"""Remarks in words: riding gently, cautions, what is missing, advice."""
from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from analysis.catalogue import QUESTIONS, SIDES
from analysis.catalogue.safety import SAFETY
from analysis.document import Case
from analysis.estimates import MM
from analysis.gates import Gate, gentle_signs
from analysis.leg_parts import middle
from analysis.observations_more import HIGH_UP
from analysis.say import one_after_another, say
from analysis.setups import Change, leg_volumes
from analysis.spare import LEAST_SPARE, hot_spare
from analysis.state import State
from analysis.world import BAR, thinner_outside

AMBER_LOCK_SHARE = 0.6
"""A leg that is solid before this share of its stroke is hardly to be ridden at all: common practice, no source."""


def ride_gently(case: Case, fork: Mapping[str, Any], gates: Sequence[Gate], cause: str | None = None) -> str | None:
    """Say in one line how to ride until it is put right; None where a gate says more, or where nothing speaks for it.

    Silence about safety is no "all clear": where its questions are not answered, this says so.  ``cause`` is the one
    that was named: of coils that touch and of bent parts one knows without a fork that could be worked out.
    """
    if gates:
        return None
    why = [*gentle_signs(case), *_stops_early(case, fork, cause)]
    if cause in _BETTER_NOT:
        why.append(_BETTER_NOT[cause])
    if why:
        return one_after_another([say("Ride gently, short, dry and alone, if at all."), *why])
    if not all(question.path in case.answers for question in SAFETY.questions):
        return say("Go through every safety question before you ride: not all of them are answered yet.")
    return None


_BETTER_NOT = {
    "bent part": say("A tube, yoke or axle may be bent, and a bent part can break: better not at all until it has been "
                     "measured."),
    "wrong assembly": say("A part inside the fork may be missing or in the wrong place, and can jam it: better not at "
                          "all until a workshop has looked inside."),
}
"""What a named cause can do on the road before anybody has looked: common practice, no source."""


def stops_far_too_early(state: State) -> bool:
    """True for a fork that goes solid before six tenths of its stroke, or whose coils touch: no firm stop with it."""
    found, stroke = state.forks["found"], state.inputs.stroke.value
    if found is not None and float(found.bind) < stroke - 1e-9:
        return True
    locks = [lock for side in SIDES if (lock := leg_volumes(
        state.inputs, state.case, side, "found", Change(), middle)["lock_stroke_mm"]) is not None]
    return bool(locks) and float(min(locks)) < AMBER_LOCK_SHARE * stroke


def _stops_early(case: Case, fork: Mapping[str, Any], cause: str | None) -> list[str]:
    """A fork that goes solid cannot swallow a bump under braking: the tyre lets go instead."""
    locks = [fork[s]["lock_stroke_mm"] for s in SIDES if fork[s]["lock_stroke_mm"] is not None]
    stroke = case.value("fork.travel_mm")
    if not locks:
        binds = "coil bind" in (fork["limited_by"]["found"], cause)
        return [say("The coils touch before the stroke ends.")] if binds else []
    if isinstance(stroke, float) and min(locks) * MM < AMBER_LOCK_SHARE * stroke:
        return [say("The oil stops the fork before six tenths of its stroke: better not at all until it is put "
                    "right.")]
    return [say("The oil stops the fork before the end of its stroke: under braking over a bump the tyre can let go.")]


def cautions(state: State, barred: Sequence[str]) -> list[str]:
    """What to take care of with this case."""
    said = list(barred)
    if state.judged.kind == "stop":
        return said
    if state.inputs.unknown_load:
        said.append(say("Rider or bike has not been weighed: loads, sags and braking are rough."))
    cause = state.judged.cause
    if cause in ("over-filled", "too little oil", "unequal oil") and not barred:
        said.append(say("The fork cap is under spring force: preload right out first, hold the cap down on its last "
                        "threads, face to the side."))
        said.append(say("Cover disc and pads. Oil on the brake: do not ride until it is cleaned and the pads are "
                        "replaced."))
    said += _tight_when_warm(state)
    if not barred:
        said += _shut_in_below(state)
    said.append(say("Tighten to the figures in the bike's own manual. First ride slow, brakes tried at walking "
                    "speed."))
    return said


def _shut_in_below(state: State) -> list[str]:
    """Air that was shut in at a lower place pushes beside the springs: F = (p_closed − p_ridden) (A_left + A_right)."""
    inputs, down = state.inputs, _climb(state.case)
    if down < HIGH_UP:
        return []
    bar = thinner_outside(inputs)
    push = bar * sum(math.pi / 4 * inputs.leg(side).seal_diameter.value**2 for side in SIDES)
    return [say("The legs were closed {down} m lower than they are ridden: {bar} bar is shut in and pushes with about "
                "{push} N in all. Let it off where you ride, wheel off the floor and legs fully extended, before "
                "anything else is judged.", down=f"{down:.0f}", bar=f"{bar / BAR:.2f}", push=f"{push:.0f}")]


def _climb(case: Case) -> float:
    closed, ridden = case.number("use.closed_altitude_m"), case.number("use.altitude_m")
    return 0.0 if closed is None or ridden is None else ridden - closed


def _tight_when_warm(state: State) -> list[str]:
    """Warm oil needs room too: a level from papers that leaves hardly any was perhaps looked up or read wrongly."""
    if not state.change.level:
        return []
    spares = [spare for side in SIDES if (spare := hot_spare(state, side, "advised", state.change)) is not None]
    if not spares or min(spares) >= LEAST_SPARE:
        return []
    return [say("With the oil warm, the level to set leaves air for only {spare} mm more than the full stroke; {least} "
                "mm should be left. Check that level, and how it is read, in the bike's own manual before any oil is "
                "moved.", spare=f"{max(min(spares), 0.0) / MM:.0f}", least=f"{LEAST_SPARE / MM:.0f}")]


_WANTED = (
    ("fork.left.stanchion_diameter_mm", say("It turns millilitres into stroke.")),
    ("fork.travel_mm", say("Every stop is judged against the full stroke.")),
    ("fork.left.oil_level_book_mm", say("It says how much oil there should be.")),
    ("fork.left.oil_level_mm", say("It settles whether there is too much oil.")),
    ("fork.right.oil_level_mm", say("One leg alone can lock the fork.")),
    ("fork.left.spring.rate_n_per_mm", say("Sags and stroke under load rest on it.")),
    ("bench.sag.rider_from_below_mm", say("Sag tells springs and preload from oil.")),
    ("bench.travel.used_mm", say("It shows where the fork really stops.")),
    ("rider.mass_kg", say("Every load rests on it.")),
    ("bike.mass_kg", say("Every load rests on it.")),
)


def missing(case: Case) -> list[dict[str, str]]:
    """What is not answered, or only guessed, and would help most, each with its reason."""
    found = []
    for path, why in _WANTED:
        answer = case.answer(path)
        if _is_needless(case, path):
            continue
        if answer is None or answer.known == "guessed":
            words = why if answer is None else one_after_another([say("So far it is only a guess."), why])
            found.append({"path": path, "title": QUESTIONS[path].title, "why": words})
    return found


def _is_needless(case: Case, path: str) -> bool:
    """True where another answer says the same, or where the fork has no such thing."""
    if path.startswith("bench.sag."):
        return case.answer("bench.sag.rider_sag_mm") is not None
    if path == "fork.left.spring.rate_n_per_mm":
        return case.value("fork.springing") == "air"
    side = path.split(".")[1]
    return side in SIDES and case.answer(f"fork.{side}.air_volume_ml") is not None


NO_FORECAST = ("too much air pressure", "too little air pressure", "coil bind")
"""Causes whose advice moves something that the advised set of numbers leaves as found."""
READ_AGAIN = say("Tell us the same readings again, so that before and after can be compared.")


def advice_part(state: State, fork: Mapping[str, Any], front_stopped: bool) -> list[dict[str, Any]]:
    """The advice, with what it should lead to; none for a front that is stopped."""
    if front_stopped:
        return []
    expect = READ_AGAIN if state.judged.cause in NO_FORECAST else _expect(fork)
    return [{"title": a.title, "steps": list(a.steps), "expect": expect, "by_workshop": a.by_workshop}
            for a in state.advice]


def _expect(fork: Mapping[str, Any]) -> str:
    """Say what the advised set should show, as bands."""
    said = []
    for name, template in (("usable_stroke_mm", "Under hard braking the fork should reach {low} to {high} mm."),
                           ("rider_sag_mm", "Rider sag should be {low} to {high} mm.")):
        band = fork["spread"][name]["advised"]
        if band:
            said.append(say(template, low=f"{band[0]:.0f}", high=f"{band[1]:.0f}"))
    return one_after_another(said) or READ_AGAIN
