"""What a drawn fork would show: the prediction behind every number and every answer of a case.

Each entry of ``READINGS`` (numbers) and ``ANSWERS`` (choices) names the question by its path, the bench test it comes
from and the physics it sees.  To give a new question a meaning is to add one entry here.  Probabilities of answers are
common practice, no source; they depend on the drawn fork's physics, never on the name of its cause.
"""
from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from analysis.document import Case
from analysis.estimates import MM, Estimate
from analysis.observations_ends import END_ANSWERS, END_READINGS
from analysis.observations_more import MORE_ANSWERS, MORE_READINGS, MORE_SYMPTOMS
from analysis.observations_play import PLAY_ANSWERS, PLAY_READINGS
from analysis.observing import Answered, Array, Reading, known, sigmoid
from analysis.sag import sag_from_readings
from analysis.say import say
from analysis.world import BAR, World


def sag_reading(which: str) -> Callable[[Case], Estimate | None]:
    """Return a finder for a sag: the mean of its two readings, or the single number where only that is given."""
    def find(case: Case) -> Estimate | None:
        both = sag_and_band(case, which)
        return both[0] if both else known(f"bench.sag.{which}_sag_mm")(case)
    return find


def sag_and_band(case: Case, which: str) -> tuple[Estimate, Estimate] | None:
    """Return the sag and its half band from the tube showing, or None where a reading is missing."""
    found = [known(f"bench.sag.{name}")(case) for name in (
        "extended_mm", f"{which}_from_below_mm", f"{which}_from_above_mm")]
    if any(f is None for f in found):
        return None
    extended, below, above = (f for f in found if f is not None)
    sag = sag_from_readings(extended.value, below.value, above.value, max(extended.sd, below.sd, above.sd))
    band_sd = float(np.hypot(below.sd, above.sd)) / 2
    return Estimate(sag.mean, sag.sd, below.known), Estimate(abs(sag.half_band), band_sd, below.known)


def _band(case: Case) -> Estimate | None:
    for which in ("rider", "free"):
        both = sag_and_band(case, which)
        if both:
            return both[1]
    return None


def _sag_off(which: str) -> Callable[[World], Array | float]:
    """A sag read once only may lie anywhere in the friction band; the mean of two readings hardly."""
    def off(world: World) -> Array | float:
        if sag_and_band(world.case, which):
            return 2.0 * MM
        return np.asarray(np.sqrt((2.0 * MM) ** 2 + np.square(0.6 * world.friction / world.sag_stiffness)))
    return off


def _backed_out(world: World) -> float:
    turns = world.case.answer("bench.preload.turns_backed_out")
    leg = world.inputs.left if "left" in world.sprung else world.inputs.right
    count = turns.value if turns is not None and isinstance(turns.value, float | int) else leg.turns_in or 4.0
    return float(count) * leg.pitch.value


READINGS: tuple[Reading, ...] = (
    Reading("bench.sag.free_sag_mm", "sag", say("Free sag"), sag_reading("free"), lambda w: w.free_sag,
            _sag_off("free"),
            1.3 * MM, 150 * MM),
    Reading("bench.sag.rider_sag_mm", "sag", say("Rider sag"), sag_reading("rider"), lambda w: w.rider_sag,
            _sag_off("rider"), 1.3 * MM, 150 * MM),
    Reading("bench.sag.rider_from_above_mm", "sag", say("Gap between the two sag readings"), _band,
            lambda w: w.friction / w.sag_stiffness, lambda w: 1.2 * MM, 0.7 * MM, 30 * MM),
    Reading("bench.preload.rider_sag_mm", "preload", say("Rider sag with the preload out"),
            known("bench.preload.rider_sag_mm"), lambda w: w.backed_out_sag(_backed_out(w)), _sag_off("rider"),
            2 * MM, 150 * MM),
    Reading("bench.push.slow_stroke_mm", "push", say("Stroke with a slow lean"), known("bench.push.slow_stroke_mm"),
            lambda w: w.lean_stroke, lambda w: 3 * MM, 4 * MM, 250 * MM),
    Reading("bench.push.quick_stroke_mm", "push", say("Stroke with a quick push"), known("bench.push.quick_stroke_mm"),
            lambda w: w.push_stroke, lambda w: 4 * MM, 4 * MM, 250 * MM),
    Reading("bench.travel.used_mm", "travel", say("Travel used"), known("bench.travel.used_mm"),
            lambda w: w.ride_stroke + w.slip, lambda w: 3 * MM, 3 * MM, 300 * MM),
    Reading("bench.springs_out.left_stroke_mm", "springs_out", say("Stroke with the springs out"),
            known("bench.springs_out.left_stroke_mm"), lambda w: w.stroke - w.lost_in["left"], lambda w: 1 * MM, 2 * MM,
            300 * MM),
    Reading("bench.springs_out.right_stroke_mm", "springs_out", say("Stroke with the springs out, right"),
            known("bench.springs_out.right_stroke_mm"), lambda w: w.stroke - w.lost_in["right"], lambda w: 1 * MM,
            2 * MM, 300 * MM),
    Reading("fork.friction_n", "", say("Friction of the fork"), known("fork.friction_n"), lambda w: w.friction,
            lambda w: 8.0, 10.0, 600.0),
    Reading("fork.left.oil_level_mm", "oil", say("Oil level, left"), known("fork.left.oil_level_mm"),
            lambda w: w.book_level["left"] - w.excess["left"] / w.gas_area["left"], lambda w: 1 * MM, 2 * MM,
            300 * MM, is_label=True),
    Reading("fork.right.oil_level_mm", "oil", say("Oil level, right"), known("fork.right.oil_level_mm"),
            lambda w: w.book_level["right"] - w.excess["right"] / w.gas_area["right"], lambda w: 1 * MM, 2 * MM,
            300 * MM, is_label=True),
    *END_READINGS, *PLAY_READINGS, *MORE_READINGS,
)


# --- answers ---------------------------------------------------------------------------------------------------

def _one(world: World) -> Array:
    return np.ones(world.size)


def _dead(world: World, stroke: Array) -> Array:
    """Chance that an end without metal feels like a dead stop: the fork is over three times stiffer than at the top."""
    return sigmoid((world.wall(stroke) - np.log(3.5)) / 0.28)


def _hard_to_start(world: World) -> Array:
    """Chance of 'hard to start': the springs hold the bike up without sagging, or friction holds it."""
    no_sag = sigmoid((0.045 * world.stroke - world.free_sag) / (0.018 * world.stroke))
    return np.maximum(no_sag, 0.5 * _sticky(world))


def _sticky(world: World) -> Array:
    return sigmoid((world.friction - 160.0) / 35.0)


def _held(world: World) -> Array:
    """Chance that a quick push is felt to be held back by the damper."""
    return sigmoid((world.damping - 380.0) / 70.0)


def _ends(world: World, stroke: Array) -> tuple[Array, Array, Array]:
    """Return the chances of a clank, of a dead stop, and of neither at a stroke."""
    metal = world.touches(stroke).astype(float)
    short = (np.minimum(world.bind, world.stroke - world.lost) < world.stroke - 4 * MM).astype(float)
    clank = metal * (0.3 + 0.4 * short)
    dead = metal * 0.28 + (1 - metal) * _dead(world, stroke)
    return clank, dead, np.maximum(1 - clank - dead, 0.02)


def _travel_end(world: World) -> dict[str, Array]:
    clank, dead, rest = _ends(world, world.ride_stroke)
    stiff = 0.3 + 0.5 * sigmoid((world.wall(world.ride_stroke) - 0.5) / 0.25)
    return {"clank": clank + 0.02, "stops dead": dead + 0.015, "stiffer": rest * stiff,
            "still moving": rest * (1 - stiff)}


def _repeats(world: World) -> dict[str, Array]:
    clank, dead, _ = _ends(world, world.ride_stroke)
    firm = clank + dead
    loose = np.maximum(_sticky(world), _held(world))
    return {"same": 0.2 + 0.7 * firm, "differ": (0.15 + 0.45 * loose) * (1 - 0.8 * firm),
            "between": 0.45 * (1 - 0.7 * firm)}


def _push_end(world: World) -> dict[str, Array]:
    clank, dead, rest = _ends(world, world.push_stroke)
    start, sticks, held = _hard_to_start(world), _sticky(world), _held(world)
    easy = (1 - 0.7 * start) * (1 - 0.7 * sticks)
    stiff = 0.35 + 0.4 * sigmoid((world.wall(world.push_stroke) - 0.45) / 0.2) + 0.15 * held
    stiff = np.clip(stiff + 0.3 * sigmoid((0.34 * world.stroke - world.push_stroke) / (0.06 * world.stroke)), 0, 0.95)
    return {"clank": clank + 0.01, "stops dead": dead + 0.012, "hard to start": rest * start + 0.02,
            "sticks": rest * sticks + 0.02, "stiffer": rest * easy * stiff, "keeps going": rest * easy * (1 - stiff)}


def _rear_wheel(world: World) -> dict[str, Array]:
    """A fork that does not swallow the push passes it on: the shorter and the harder, the likelier the tail rises."""
    short = sigmoid((0.36 * world.stroke - world.push_stroke) / (0.06 * world.stroke))
    _, dead, _ = _ends(world, world.push_stroke)
    lifts = 0.03 + 0.45 * short + 0.35 * dead * short + 0.12 * dead
    light = 0.15 + 0.25 * short
    return {"lifts": lifts, "goes light": light, "stays down": np.maximum(1 - lifts - light, 0.03)}


def _came_back(world: World) -> dict[str, Array]:
    sticks = _sticky(world)
    return {"yes": 0.85 - 0.6 * sticks, "slowly": 0.1 + 0.15 * sticks + 0.15 * _held(world),
            "part way": 0.04 + 0.45 * sticks, "no": 0.01 + 0.05 * sticks}


def _preload_stop(world: World) -> dict[str, Array]:
    """With less preload a push goes deeper; an end on oil or metal stays where it is."""
    out = _backed_out(world)
    clank, dead, rest = _ends(world, world.push_stroke)
    deeper = rest / (1 + np.exp((3 * MM - out) / (1.5 * MM))) * (0.45 + 0.4 * _hard_to_start(world))
    return {"stayed": (clank + dead) * 0.85 + 0.1, "moved deeper": 0.06 + 0.75 * deeper,
            "no stop": 0.04 + rest - 0.75 * deeper}


def _rest(world: World) -> dict[str, Array]:
    return {"same height": 0.92 - 0.6 * _sticky(world), "short": 0.08 + 0.6 * _sticky(world)}


def _alignment(world: World) -> dict[str, Array]:
    """What is clamped out of line comes free; what is bent stays as it is."""
    sticks, bent = _sticky(world), world.shows("bent")
    return {"freed": 0.03 + 0.35 * sticks * (1 - bent), "foot moved": 0.06 + 0.22 * sticks * (1 - 0.5 * bent),
            "no change": 0.91 - 0.57 * sticks * (1 - 0.8 * bent)}


def _tubes(world: World) -> dict[str, Array]:
    twisted = 0.04 + 0.22 * _sticky(world) * (1 - world.shows("bent")) + 0.6 * world.shows("bent")
    return {"parallel": 1 - twisted, "twisted": twisted}


ANSWERS: tuple[Answered, ...] = (
    Answered("bench.travel.end_feel", "travel", say("How the travel ends"), "end", _travel_end),
    Answered("bench.travel.repeats", "travel", say("The three runs"), "end", _repeats),
    Answered("bench.push.end_feel", "push", say("How the push ends"), "end", _push_end),
    Answered("bench.push.rear_wheel", "push", say("The rear wheel in the push"), "end", _rear_wheel),
    Answered("bench.push.came_back", "push", say("Coming back from the push"), "friction", _came_back),
    Answered("bench.preload.stop", "preload", say("The stop with the preload out"), "end", _preload_stop),
    Answered("bench.rebound.rest", "rebound", say("Where it comes to rest"), "friction", _rest),
    Answered("bench.alignment.result", "alignment", say("Freeing the pinch bolts"), "friction", _alignment),
    Answered("bench.look.tubes_parallel", "look", say("How the tubes stand"), "friction", _tubes),
    *END_ANSWERS, *PLAY_ANSWERS, *MORE_ANSWERS,
)


# --- complaints ------------------------------------------------------------------------------------------------

def _unused(world: World) -> Array:
    return sigmoid((0.84 - (world.ride_stroke + world.slip) / world.stroke) / 0.06)


def _firm_end(world: World) -> Array:
    clank, dead, _ = _ends(world, world.ride_stroke)
    return clank + dead


def _stiff(world: World) -> Array:
    low_sag = sigmoid((0.22 - world.rider_sag / world.stroke) / 0.03)
    return np.maximum(low_sag, 0.7 * _held(world))


def _hard_tyre(world: World) -> Array:
    return sigmoid((-world.tyre_short / BAR - 0.35) / 0.08)


def _deep(world: World) -> Array:
    return sigmoid(((world.ride_stroke / world.stroke) - 0.96) / 0.02)


def _unlike(world: World) -> Array:
    """Legs that have each their own work feel different in good order too: then it says nothing of the oil."""
    if world.case.value("fork.damper") == "separate function":
        return _one(world)
    return sigmoid((np.abs(world.apart) - 40e-6) / 10e-6)


SYMPTOMS: Mapping[str, Callable[[World], Array]] = {
    "will not use travel": lambda w: 0.08 + 0.84 * _unused(w),
    "stops hard": lambda w: 0.08 + 0.75 * _firm_end(w) * (0.4 + 0.6 * _unused(w)),
    "clanks at the end": lambda w: 0.02 + 0.7 * w.touches(w.ride_stroke).astype(np.float64),
    "too stiff": lambda w: 0.12 + 0.6 * _stiff(w) + 0.15 * _firm_end(w),
    "harsh on small bumps": lambda w: 0.12 + 0.6 * np.maximum(np.maximum(_sticky(w), _held(w)), 0.7 * _hard_tyre(w)),
    "sticks then jumps": lambda w: 0.03 + 0.75 * _sticky(w),
    "dives": lambda w: 0.06 + 0.5 * sigmoid((w.rider_sag / w.stroke - 0.36) / 0.03) + 0.25 * _deep(w)
    + 0.45 * sigmoid((80.0 - w.damping) / 15.0),
    "bottoms out": lambda w: 0.04 + 0.7 * np.maximum(_deep(w), 0.8 * w.shows("overloaded")),
    "rides high": lambda w: 0.05 + 0.7 * sigmoid((0.21 - w.rider_sag / w.stroke) / 0.025),
    "rides low": lambda w: 0.05 + 0.7 * np.maximum(sigmoid((w.rider_sag / w.stroke - 0.37) / 0.025),
                                                   0.8 * w.shows("overloaded")),
    "legs differ": lambda w: 0.05 + 0.5 * _unlike(w),
    **MORE_SYMPTOMS,
}
"""Chance that a rider names the symptom, for each draw."""
