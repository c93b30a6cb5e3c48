"""From what is known of a leg's parts to the parts that push in it."""
from __future__ import annotations

from collections.abc import Callable

import numpy as np

from analysis.air import circle_area
from analysis.estimates import Estimate
from analysis.inputs import Inputs
from analysis.leg import PLAIN, Parts
from analysis.leg_inputs import LegInputs
from analysis.shapes import Real

Pick = Callable[[Estimate], Real]
"""Takes a value from an estimate: its middle, or draws from its spread."""


def middle(estimate: Estimate) -> Real:
    """Take the middle of an estimate."""
    return estimate.value


def parts_of(inputs: Inputs, leg: LegInputs, rate: Real, preload: Real, pick: Pick) -> Parts:
    """Return top-out spring, bump rubber, balance chamber and the spring's second rate.

    A spring of another ``rate`` than the one known is taken to be wound alike: its second rate grows with it.
    """
    known = leg.parts
    second = None if known.second_rate is None or not leg.rate or leg.rate.value <= 0 else (
        rate * pick(known.second_rate) / leg.rate.value)
    two_rates = second is not None and known.changes_at is not None
    growing = second is not None and known.progressive
    found = Parts(
        second_rate=second if two_rates else None,
        changes_at=pick(known.changes_at) if two_rates and known.changes_at is not None else None,
        end_rate=second if growing else None,
        grows_over=np.maximum(pick(inputs.stroke) + preload, 1e-3) if growing else None,
        top_out=None if known.top_out is None else (pick(known.top_out[0]), pick(known.top_out[1])),
        bump=None if known.bump is None else (pick(known.bump[0]), pick(known.bump[1])),
        balance=None if known.balance is None else _balance(inputs, known.balance, pick))
    return found if found.any else PLAIN


def _balance(inputs: Inputs, chamber: tuple[Estimate, ...], pick: Pick) -> tuple[Real, Real, Real]:
    diameter, gauge, volume = chamber
    area = circle_area(pick(diameter))
    return area, pick(gauge) + inputs.closed_pressure, np.maximum(pick(volume), 1e-7)
