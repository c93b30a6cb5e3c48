"""What a drawn fork would show in the less usual tests: known loads, topping out, rebound, clicks, warmth, the rear.

Entries are of the same shapes as in ``analysis.observations``, and are read together with them.  Chances are common
practice, no source.
"""
from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from analysis.atmosphere import pressure_at
from analysis.bounce_sources import REAR
from analysis.catalogue import SIDES
from analysis.causes import USUAL_DAMPING_N
from analysis.document import Case
from analysis.estimates import MM, Estimate
from analysis.fork import GRAVITY, fork_stiffness, static_load, stroke_under
from analysis.observations_bounce import BOUNCE_READINGS, recorded
from analysis.observing import Answered, Array, Reading, known, sigmoid
from analysis.oil_part import thickness
from analysis.rear_inputs import measured_sag
from analysis.say import say
from analysis.world import BAR, World

TYRE_BAR = {"off road": 1.0, "trials": 0.5, "scooter": 2.0}
"""Usual front tyre pressure by kind of bike; 2.3 bar for any other: common practice, no source."""
HIGH_UP = 1200.0
"""Climb from which air shut in below is asked about, m: common practice, no source."""
REAR_SAG_SHARE = 0.30
"""Rider sag of the rear as a share of its wheel travel: common practice, no source."""


# --- numbers ---------------------------------------------------------------------------------------------------

def _loaded(name: str) -> Callable[[World], Array]:
    """Stroke under a known mass on the bars: two readings' mean, so friction cancels."""
    def predict(world: World) -> Array:
        mass = world.case.number(f"bench.known_load.{name}_kg") or {"light": 10.0, "middle": 20.0, "heavy": 40.0}[name]
        load = world.free_load + static_load(mass, world.rake)
        return np.asarray(stroke_under(world.as_is, load, world.n_slow))
    return predict


def _return_time(world: World) -> Array:
    """Time to come back from a push: a half swing of the sprung mass, longer the more the rebound holds it.

    T = (T_n / 2) (0.7 + ζ²) with T_n = 2π √(m / k) at the ride height; the growth with ζ is common practice.
    """
    mass = world.free_load / (GRAVITY * np.cos(world.rake))
    stiffness = np.asarray(fork_stiffness(world.as_is, world.free_sag, world.n_slow))
    natural = 2 * np.pi * np.sqrt(mass / stiffness)
    return np.asarray(0.5 * natural * (0.7 + world.rebound**2))


def _by_watch(case: Case) -> Estimate | None:
    return None if recorded(case) else known("bench.rebound.return_s")(case)


def _clicked(closed: float) -> Callable[[World], Array]:
    """Stroke of the quick push with the compression adjuster at one end: it moves a sound damper by about a half."""
    def predict(world: World) -> Array:
        works = 1 - world.shows("worn damper")
        held = world.damping * (1 + closed * 0.5 * works)
        load = np.maximum(world.push_load - (held - world.damping), 0.3 * world.free_load)
        return np.asarray(stroke_under(world.as_is, world.moving(load), world.n_fast))
    return predict


def _share_out(circuit: str) -> Callable[[Case], Estimate | None]:
    """How far out an adjuster stands, as a share of its range: mean of the legs that tell."""
    def find(case: Case) -> Estimate | None:
        known_legs = [(out, span) for side in SIDES
                      if (out := case.answer(f"fork.{side}.{circuit}.clicks_out")) is not None
                      and (span := case.number(f"fork.{side}.{circuit}.clicks_range"))]
        if not known_legs:
            return None
        shares = [float(out.value) / span for out, span in known_legs if isinstance(out.value, float)]
        return Estimate(sum(shares) / len(shares), 0.03, known_legs[0][0].known)
    return find


def _turned_out(world: World, factor: Array) -> Array:
    """Where an adjuster stands in a sound damper: twice the usual damping is a quarter of the range further in."""
    sound = 1 - world.shows("worn damper")
    return np.clip(0.5 - 0.36 * np.log(factor) * sound, 0.0, 1.0)


def _thicker(case: Case) -> Estimate | None:
    """The logarithm of how many times as thick the oil is as the papers ask for."""
    times, inside = thickness(case), known("fork.oil.viscosity_40_cst")(case)
    if times is None or inside is None:
        return None
    return Estimate(float(np.log(times)), float(np.hypot(inside.sd / inside.value, 0.05)), inside.known)


def _thickness_of(world: World) -> Array:
    """The oil that goes with both dampings together: strong with thick oil, weak with thin.

    Seldom is it much more than twice as thick, however strong the damper: common practice, no source.
    """
    return np.asarray(0.7 * np.tanh(np.log(world.damping / USUAL_DAMPING_N) + np.log(world.rebound / 0.5)))


def _from_below(case: Case) -> Estimate | None:
    """The pressure that a climb shuts in; less than ``HIGH_UP`` is not worth a word."""
    closed, ridden = known("use.closed_altitude_m")(case), known("use.altitude_m")(case)
    if closed is None or ridden is None or ridden.value - closed.value < HIGH_UP:
        return None
    return Estimate(float(pressure_at(closed.value) - pressure_at(ridden.value)), 0.02 * BAR, closed.known)


def _rear_sag(case: Case) -> Estimate | None:
    found = measured_sag(case, "rider")
    if found is None or case.number("shock.wheel_travel_mm") is None:
        return None
    return Estimate(found[0], 4 * MM, "measured")


def _rear_predicted(world: World) -> Array:
    travel = world.case.number("shock.wheel_travel_mm") or 130 * MM
    return REAR_SAG_SHARE * travel + world.rear_error


def _tyre_predicted(world: World) -> Array:
    usual = TYRE_BAR.get(str(world.case.value("bike.kind")), 2.3)
    return usual * BAR - world.tyre_short


MORE_READINGS: tuple[Reading, ...] = (
    *(Reading(f"bench.known_load.{name}_mm", "known_load", title,
              known(f"bench.known_load.{name}_mm"), _loaded(name), lambda w: 2 * MM, 2 * MM, 250 * MM)
      for name, title in (
          ("light", say("Stroke under the light load")), ("middle", say("Stroke under the middle load")),
          ("heavy", say("Stroke under the heavy load")))),
    Reading("bench.rebound.return_s", "rebound", say("Time to come back"), _by_watch, _return_time,
            lambda w: 0.12, 0.12, 4.0),
    Reading("bench.clicks.stroke_in_mm", "clicks", say("Quick push with the clicks fully in"),
            known("bench.clicks.stroke_in_mm"), _clicked(1.0), lambda w: 5 * MM, 4 * MM, 250 * MM),
    Reading("bench.clicks.stroke_out_mm", "clicks", say("Quick push with the clicks fully out"),
            known("bench.clicks.stroke_out_mm"), _clicked(-1.0), lambda w: 5 * MM, 4 * MM, 250 * MM),
    *BOUNCE_READINGS,
    Reading("fork.left.rebound.clicks_out", "", say("Where the rebound adjuster stands"), _share_out("rebound"),
            lambda w: _turned_out(w, w.rebound / 0.5), lambda w: 0.22, 0.05, 1.0),
    Reading("fork.left.compression.clicks_out", "", say("Where the compression adjuster stands"),
            _share_out("compression"),
            lambda w: _turned_out(w, w.damping / USUAL_DAMPING_N), lambda w: 0.22, 0.05, 1.0),
    Reading("fork.oil.viscosity_40_cst", "", say("Thickness of the oil against the papers"), _thicker, _thickness_of,
            lambda w: 0.3, 0.1, 3.0),
    Reading("use.closed_altitude_m", "", say("How much lower the legs were closed than they are ridden"), _from_below,
            lambda w: w.shut_in, lambda w: 0.1 * BAR, 0.02 * BAR, 1.0 * BAR),
    Reading("shock.rider_sag_mm", "rear_sag", say("Rear rider sag"), _rear_sag, _rear_predicted, lambda w: 5 * MM,
            4 * MM,
            200 * MM),
    Reading("tyres.pressure_front_bar", "", say("Front tyre pressure"), known("tyres.pressure_front_bar"),
            _tyre_predicted,
            lambda w: 0.2 * BAR, 0.1 * BAR, 3 * BAR),
)


# --- answers ---------------------------------------------------------------------------------------------------

def _swings(world: World) -> dict[str, Array]:
    """Overshoot e^(−πζ/√(1−ζ²)): none is seen below about 8 %, a second swing above about 45 %."""
    if recorded(world.case):
        return {}
    zeta = np.minimum(world.rebound, 0.999)
    overshoot = np.exp(-np.pi * zeta / np.sqrt(1 - zeta**2)) * (1 - 0.7 * sigmoid((world.friction - 160.0) / 35.0))
    none, many = sigmoid((0.08 - overshoot) / 0.03), sigmoid((overshoot - 0.42) / 0.06)
    return {"none": none + 0.02, "two or more": many + 0.02, "one small": np.maximum(1 - none - many, 0.02)}


def _click_difference(world: World) -> dict[str, Array]:
    strong = sigmoid((world.damping - 320.0) / 80.0) * (1 - world.shows("worn damper"))
    dead = np.maximum(world.shows("worn damper"), sigmoid((world.wall(world.push_stroke) - 1.2) / 0.3))
    return {"clear": 0.1 + 0.65 * strong, "none": 0.15 + 0.65 * dead, "small": 0.5 - 0.25 * np.maximum(strong, dead)}


def _click_feel(world: World) -> dict[str, Array]:
    worn = world.shows("worn damper")
    return {"clicks": 0.95 - 0.35 * worn, "endless": 0.03 + 0.25 * worn, "stuck": 0.02 + 0.1 * worn}


def _oil_on_tube(world: World) -> dict[str, Array]:
    leaks = world.shows("leaks")
    return {"none": 0.8 * (1 - leaks) + 0.03, "film": 0.15 * (1 - leaks) + 0.12 * leaks, "ring": 0.55 * leaks + 0.01,
            "drops": 0.25 * leaks + 0.003}


def _top_feel(world: World) -> dict[str, Array]:
    faulty = world.shows("tops out")
    quick = sigmoid((0.28 - world.rebound) / 0.05)
    knock = np.clip(0.03 + 0.75 * faulty + 0.35 * quick, 0, 0.9)
    firm = 0.15 + 0.45 * sigmoid((0.03 * world.stroke - world.free_sag) / (0.015 * world.stroke))
    return {"knock": knock, "firm": firm * (1 - knock), "soft": (1 - firm) * (1 - knock)}


def _warmth(world: World) -> dict[str, Array]:
    """Oil grows into the air when hot: it counts where there is little air left."""
    thick = sigmoid((world.damping - 380.0) / 70.0)
    tight = sigmoid((world.wall(world.ride_stroke) - 1.3) / 0.3)
    worn = world.shows("worn damper")
    return {"freer": 0.12 + 0.55 * thick, "earlier stop": 0.03 + 0.4 * tight, "looser": 0.05 + 0.5 * worn,
            "no change": 0.6 - 0.25 * np.maximum(np.maximum(thick, tight), worn)}


def _cap_air(world: World) -> dict[str, Array]:
    pressed = sigmoid((world.shut_in - 0.08 * BAR) / (0.02 * BAR))
    return {"hissed out": 0.06 + 0.85 * pressed, "nothing": 0.85 * (1 - pressed) + 0.05,
            "sucked in": 0.06 * (1 - pressed) + 0.01}


def _run_out(world: World) -> dict[str, Array]:
    """A gauge hardly errs; but a tube just over its limit may do no harm, and a yoke may be the bent part."""
    bent = world.shows("bent")
    return {"within": 0.96 - 0.74 * bent, "over": 0.04 + 0.74 * bent}


def _twins(world: World) -> dict[str, Array]:
    """Legs with each their own work differ in good order."""
    own_work = world.case.value("fork.damper") == "separate function"
    bent, worn = world.shows("bent"), world.shows("worn damper")
    short = sigmoid((world.lost - 6 * MM) / MM)
    drags = sigmoid((world.friction - 160.0) / 35.0)
    unlike = 0.5 if own_work else 0.05
    return {"alike": 0.8 * (1 - np.maximum(np.maximum(bent, worn), np.maximum(short, 0.6 * drags))) + 0.04,
            "one drags": unlike + 0.45 * drags * (1 - bent), "one returns slowly": unlike * 0.6 + 0.3 * worn,
            "one squelches": 0.03 + 0.35 * worn, "one is shorter": 0.02 + 0.8 * short,
            "changes as it turns": 0.01 + 0.6 * bent}


def _pair(world: World) -> dict[str, Array]:
    binds = (world.bind < world.stroke).astype(np.float64)
    return {"alike": 0.9 - 0.3 * binds, "differ": 0.08 + 0.1 * binds, "polished": 0.02 + 0.45 * binds}


def _tyre(world: World) -> dict[str, Array]:
    off = sigmoid((np.abs(world.tyre_short) / BAR - 0.35) / 0.08)
    return {"as in papers": 0.85 * (1 - off) + 0.05, "off": 0.1 + 0.75 * off, "worn": 0.05 + 0.05 * off}


def _steering(world: World) -> dict[str, Array]:
    stiff = 0.04 + 0.4 * world.shows("rolling fault")
    return {"freely": 1 - stiff, "stiffly": stiff}


def _rear_signs(world: World) -> dict[str, Array]:
    worn = world.shows("rear worn")
    return {"nothing": 0.93 - 0.5 * worn, "oil": 0.04 + 0.35 * worn, "scored": 0.02 + 0.1 * worn,
            "bulge": 0.01 + 0.05 * worn}


def _rear_sinks(world: World) -> dict[str, Array]:
    stuck = world.shows("rear stuck")
    return {"sinks": 0.9 - 0.7 * stuck, "jumps": 0.06 + 0.4 * stuck, "hardly": 0.04 + 0.3 * stuck}


def _rear_swings(world: World) -> dict[str, Array]:
    if recorded(world.case, REAR):
        return {}
    worn = world.shows("rear worn")
    return {"none": 0.35 - 0.2 * worn, "one small": 0.55 - 0.3 * worn, "two or more": 0.1 + 0.5 * worn}


def _rear_feel(world: World) -> dict[str, Array]:
    stuck = world.shows("rear stuck")
    return {"free": 0.9 - 0.75 * stuck, "rough": 0.08 + 0.5 * stuck, "stuck": 0.02 + 0.25 * stuck}


def _rear_stays(world: World) -> dict[str, Array]:
    worn = world.shows("rear worn")
    return {"stays": 0.95 - 0.45 * worn, "sinks": 0.05 + 0.45 * worn}


MORE_ANSWERS: tuple[Answered, ...] = (
    Answered("bench.rebound.swings", "rebound", say("How often it swings past"), "rebound", _swings),
    Answered("bench.clicks.difference", "clicks", say("What the compression clicks change"), "damping",
             _click_difference),
    Answered("bench.clicks.feel", "clicks", say("How the adjuster feels"), "damper", _click_feel),
    Answered("bench.look.oil_on_tube", "look", say("Oil on the tubes"), "leak", _oil_on_tube),
    Answered("bench.top_out.feel", "top_out", say("How it ends at the top"), "top", _top_feel),
    Answered("bench.warmth.change", "warmth", say("What changes with warmth"), "warmth", _warmth),
    Answered("bench.cap.air", "cap", say("What the cap did when it was loosened"), "pressure", _cap_air),
    Answered("bench.twins.result", "twins", say("The legs compared"), "twins", _twins),
    Answered("bench.run_out.result", "run_out", say("Tubes and axle on V-blocks"), "straight", _run_out),
    Answered("bench.springs_measured.pair", "springs_measured", say("The two springs"), "coils", _pair),
    Answered("bench.rolling.tyre", "rolling", say("The front tyre"), "tyre", _tyre),
    Answered("bench.rolling.steering", "rolling", say("How the steering turns"), "rolling", _steering),
    Answered("bench.rear_bounce.signs", "rear_bounce", say("Signs on the shock"), "shock", _rear_signs),
    Answered("bench.rear_bounce.swings", "rear_bounce", say("How often the rear swings past"), "shock", _rear_swings),
    Answered("bench.rear_bounce.sinks", "rear_bounce", say("How the rear goes down"), "linkage", _rear_sinks),
    Answered("bench.rear_play.feel", "rear_play", say("How links and arm move"), "linkage", _rear_feel),
    Answered("bench.rear_sag.sinks", "rear_sag", say("The rear, left loaded"), "shock", _rear_stays),
)


# --- complaints ------------------------------------------------------------------------------------------------

def _rear(world: World) -> Array:
    far = sigmoid((np.abs(world.rear_error) - 15 * MM) / (3 * MM))
    return np.maximum(np.maximum(world.shows("rear stuck"), world.shows("rear worn")), 0.8 * far)


MORE_SYMPTOMS: Mapping[str, Callable[[World], Array]] = {
    "leaks": lambda w: 0.01 + 0.85 * w.shows("leaks"),
    "tops out": lambda w: 0.02 + 0.7 * w.shows("tops out") + 0.3 * sigmoid((0.26 - w.rebound) / 0.05),
    "bounces": lambda w: 0.03 + 0.75 * sigmoid((0.26 - w.rebound) / 0.04),
    "packs down": lambda w: 0.02 + 0.75 * sigmoid((w.rebound - 0.95) / 0.1),
    "rear trouble": lambda w: 0.03 + 0.75 * _rear(w),
}
