"""How much air a leg has where it is known only that the fork stopped dead at a stroke."""
from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis import typical
from analysis.air import air_left_from_stop
from analysis.document import Case
from analysis.estimates import MM, Estimate
from analysis.inputs import Inputs
from analysis.shapes import Real, plain

LEAST_RATIO = 4.0
"""A stop that feels dead has at least this pressure ratio behind it: common practice, no source."""
USUAL_RATIO = 7.0
"""Pressure ratio at a dead stop where springs or loads are not known: common practice, no source."""
FEEL_MM = 5.0
"""How far off the feeling of 'here it stopped' is, beside the reading, mm: common practice, no source."""


@dataclass(frozen=True)
class Stop:
    """A dead stop: at which stroke (m), and whether it came on a ride or in a push."""

    stroke: Estimate
    on_a_ride: bool


def stop_felt(case: Case) -> Stop | None:
    """Return the stop that was felt, on a ride or else in the push test; None where it did not stop dead."""
    for number, feel, on_a_ride in (("bench.travel.used_mm", "bench.travel.end_feel", True),
                                    ("bench.push.quick_stroke_mm", "bench.push.end_feel", False)):
        answer = case.answer(number)
        if answer is not None and isinstance(answer.value, float) and case.value(feel) == "stops dead":
            sd = float(np.hypot(answer.sd, FEEL_MM * MM))
            return Stop(Estimate(answer.value, sd, answer.known), on_a_ride)
    return None


def air_at_stop(area: Real, stop: Real, stroke: Real, ratio: Real, exponent: Real) -> Real:
    """Return the air left at full stroke, V_c, of a leg that stopped at ``stop`` under pressure ratio r, m³.

    There V = V_e r^(−1/n) = V_e − A_s x, so V_e = A_s x / (1 − r^(−1/n)) and V_c = V_e − A_s S.  For r → ∞ this is
    the solid stop V_c = A_s (x − S) (:func:`analysis.air.air_left_from_stop`); a stop felt at a finite force lies
    before the stroke where the oil is solid, so that formula alone would blame too much oil.
    """
    solid = 1 - np.power(ratio, -1 / np.asarray(exponent))
    return plain(np.asarray(air_left_from_stop(area, stop / solid, stroke)))


def pressure_ratio(inputs: Inputs, stop: Stop, free: Real, braking: Real, area: Real, springs: Real | None) -> Real:
    """Return p/p_e at the stop: the load less the springs' force is on the air of two legs.

    ``springs`` is the force of both springs at that stroke, N, None where not known.  The load is hard braking on a
    ride, the bike and a hard push in the push test; at least ``LEAST_RATIO``, or it would not have felt dead.
    """
    if springs is None:
        return USUAL_RATIO
    load = braking if stop.on_a_ride else free + typical.PUSH_N
    pressure = (load - springs) / (2 * area) + inputs.ride_pressure
    return plain(np.maximum(pressure / inputs.closed_pressure, LEAST_RATIO))


EXPONENT = typical.N_FAST[0]
"""Exponent at a stop, which comes quickly."""
