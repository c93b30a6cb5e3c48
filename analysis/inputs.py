"""From a case's answers to the numbers the fork's physics needs, each with its spread and where it came from."""
from __future__ import annotations

import math
from dataclasses import dataclass

from analysis import typical
from analysis.atmosphere import pressure_at
from analysis.catalogue import SIDES
from analysis.document import Case
from analysis.estimates import MM, Assumed, Estimate, Reader
from analysis.leg_inputs import LegInputs, read_leg
from analysis.say import say


@dataclass(frozen=True)
class Inputs:
    """Everything the fork's physics needs from a case."""

    left: LegInputs
    right: LegInputs
    stroke: Estimate
    friction: Estimate | None
    rake: Estimate
    bike_mass: Estimate
    bike_front: Estimate
    unsprung: Estimate
    rider_mass: Estimate
    rider_share: Estimate
    load_mass: float
    """Passenger and luggage, kg."""
    braking: Estimate
    ride_pressure: float
    closed_pressure: float
    sag_share: float
    assumed: tuple[Assumed, ...]
    unknown_load: bool
    """The masses are mostly typical values: loads are rough."""
    slow: Estimate = Estimate(*typical.N_SLOW)
    fast: Estimate = Estimate(*typical.N_FAST)
    """The air's exponents of slow tests and of riding."""
    warm: tuple[float, float] | None = None
    """Temperatures at which the fork was filled and at which it is looked at, K; None: as cold as it was filled."""

    def leg(self, side: str) -> LegInputs:
        """Return one leg's inputs by its side."""
        return self.left if side == "left" else self.right

    @property
    def sprung_leg(self) -> LegInputs:
        """The left leg, or the right one where only that carries a spring."""
        spring_on_the_right_only = self.left.rate is not None and self.left.rate.value == 0
        return self.right if spring_on_the_right_only else self.left


def read_inputs(case: Case) -> Inputs:
    """Return what the fork's physics needs, typical values filled in and listed."""
    read = Reader(case)
    kind = case.value("bike.kind")
    usual = typical.typical(kind if isinstance(kind, str) else None)
    stroke = read.or_typical("fork.travel_mm", (usual.travel_mm, typical.SPREAD.travel_mm), "mm", MM,
                             say("Usual full stroke for {kind}.", kind=_kind_words(kind)))
    left, right = (read_leg(read, side, usual, stroke) for side in SIDES)
    mass = _both_axles(read) or read.or_typical(
        "bike.mass_kg", (usual.bike_kg, typical.SPREAD.bike_kg), "kg", 1.0,
        say("Usual mass for {kind}.", kind=_kind_words(kind)))
    ride, closed = _pressures(read)
    return Inputs(
        left=left, right=right, stroke=stroke, friction=read.known("fork.friction_n"),
        rake=read.or_typical("bike.rake_deg", (usual.rake_deg, typical.SPREAD.rake_deg), "degree", math.pi / 180,
                             say("Usual rake for {kind}.", kind=_kind_words(kind))),
        bike_mass=mass, bike_front=_front_mass(read, mass),
        unsprung=read.or_typical("bike.unsprung_front_kg",
                                 (usual.unsprung_front_kg, typical.SPREAD.unsprung_front_kg), "kg", 1.0,
                                 say("Usual front unsprung mass for {kind}.", kind=_kind_words(kind))),
        rider_mass=read.or_typical("rider.mass_kg", typical.RIDER_KG, "kg", 1.0, say("A usual rider in gear.")),
        rider_share=read.or_typical("rider.front_share", typical.RIDER_FRONT_SHARE, "", 1.0,
                                    say("A usual riding position.")),
        load_mass=sum(e.value for e in map(read.known, ("use.pillion_kg", "use.luggage_kg")) if e is not None),
        braking=read.or_typical("use.braking_g", typical.BRAKING_G, "", 1.0,
                                say("Hard braking of 1 g on a dry road, unless you say otherwise.")),
        ride_pressure=ride, closed_pressure=closed, sag_share=usual.sag_share, assumed=tuple(read.assumed),
        unknown_load=case.answer("rider.mass_kg") is None or (
            case.answer("bike.mass_kg") is None and case.answer("bike.front_load_kg") is None),
    )


def _kind_title(kind: str) -> str:
    from analysis.catalogue import QUESTIONS

    return next((choice.title for choice in QUESTIONS["bike.kind"].choices if choice.value == kind), kind)


def _kind_words(kind: object) -> str:
    return say("this kind of bike ({kind})", kind=_kind_title(kind)) if isinstance(kind, str) else (
        say("a road bike, since the kind is not known"))


def _both_axles(read: Reader) -> Estimate | None:
    """The bike's mass as both wheels' loads, where it was not given by itself."""
    front, rear = read.known("bike.front_load_kg"), read.known("bike.rear_load_kg")
    if front is None or rear is None or read.known("bike.mass_kg") is not None:
        return None
    return Estimate(front.value + rear.value, math.hypot(front.sd, rear.sd), front.known)


def _front_mass(read: Reader, mass: Estimate) -> Estimate:
    """Mass on the front wheel without a rider: weighed, what the rear does not carry, or a share of the bike's."""
    weighed, rear = read.known("bike.front_load_kg"), read.known("bike.rear_load_kg")
    if weighed is not None:
        return weighed
    whole = read.known("bike.mass_kg")
    if rear is not None and whole is not None and rear.value < whole.value and not read.known("bike.front_share"):
        return Estimate(mass.value - rear.value, math.hypot(mass.sd, rear.sd), rear.known)
    share = read.or_typical("bike.front_share", typical.BIKE_FRONT_SHARE, "", 1.0, say(
                                                                                       "Usual share on the front "
                                                                                       "wheel."))
    return Estimate(mass.value * share.value, math.hypot(mass.sd * share.value, mass.value * share.sd),
                    "assumed" if "assumed" in (mass.known, share.known) else share.known)


def _pressures(read: Reader) -> tuple[float, float]:
    """Atmosphere where it is ridden and where the caps were closed, Pa."""
    ride = read.known("use.altitude_m")
    closed = read.known("use.closed_altitude_m")
    if ride is None or closed is None:
        _assume_same_height(read, ride, closed)
    height = (ride or closed or Estimate(0.0, 0.0)).value
    return float(pressure_at(height)), float(pressure_at((closed or Estimate(height, 0.0)).value))


def _assume_same_height(read: Reader, ride: Estimate | None, closed: Estimate | None) -> None:
    known = ride or closed
    if known is None:
        read.assume("use.altitude_m", (0.0, 100.0), "m", 1.0, say("Ridden and last closed at sea level."))
        return
    path, words = ("use.closed_altitude_m", say("Last closed where it is ridden.")) if closed is None else (
        "use.altitude_m", say("Ridden where it was last closed."))
    read.assume(path, (known.value, known.sd), "m", 1.0, words)
