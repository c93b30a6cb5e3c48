"""What the sags and the turns say about the preload."""
from __future__ import annotations

import math
from dataclasses import dataclass

from analysis.document import Case
from analysis.estimates import MM
from analysis.fork import Fork
from analysis.inputs import Inputs
from analysis.observations import sag_reading
from analysis.say import one_after_another, say
from analysis.setups import Loads, needed_preload

TOLERANCE = 4 * MM
"""Sag and adjuster agree within this: common practice, no source."""
FIRST_STEP = 5 * MM
"""The most that is changed before hearing back: common practice, no source."""


@dataclass(frozen=True)
class PreloadCheck:
    """``error``: preload that the measured sag speaks of, less what spring and turns say, m.  ``to_target``: m to add
    for the sag that suits the bike (negative: take out).  ``turns``: the same in turns, inside the adjuster's range."""

    words: str
    error: float | None
    to_target: float | None
    turns: float | None
    out_of_range: bool


def preload_check(case: Case, inputs: Inputs, found: Fork | None, loads: Loads) -> PreloadCheck:
    """Compare the preload that the measured rider sag needs with the one that is said to be there."""
    sag = sag_reading("rider")(case)
    if found is None or sag is None:
        lacking = say("The preload cannot be checked yet: the rider sag has not been measured.") if (
            found is not None) else say("The preload cannot be checked yet: springs or oil level are not known.")
        return PreloadCheck(lacking, None, None, None, False)
    leg = inputs.sprung_leg
    speaks = needed_preload(inputs, found, loads, sag.value)
    wanted = needed_preload(inputs, found, loads, inputs.sag_share * inputs.stroke.value)
    if not (math.isfinite(speaks) and math.isfinite(wanted)):  # the oil is solid before that stroke
        return PreloadCheck(say("The preload cannot be checked yet: with the oil as given the fork is solid before "
                                "the sag is reached."), None, None, None, False)
    error = speaks - leg.preload.value if leg.preload_known else None
    change = wanted - speaks
    turns, clipped = _turns(change, leg.pitch.value, leg.turns_in, leg.turns_range)
    return PreloadCheck(_words(error, sag.value, inputs), error, change, turns, clipped)


def _turns(change: float, pitch: float, now: float | None, span: float | None) -> tuple[float | None, bool]:
    """Turn a change of preload into turns inside the adjuster's range; None where nobody knows how far it is in."""
    now = 0.0 if span == 0 else now  # no adjuster at all
    if now is None:
        return None, False
    wanted = now + change / pitch
    inside = min(max(wanted, 0.0), span if span is not None else max(wanted, 0.0))
    return round(2 * (inside - now)) / 2, abs(inside - wanted) > 0.5


def _words(error: float | None, sag: float, inputs: Inputs) -> str:
    share = sag / inputs.stroke.value
    sits = say("Rider sag is {sag} mm, {share} % of the stroke.", sag=f"{sag / MM:.0f}", share=f"{100 * share:.0f}")
    if error is None:
        return one_after_another([sits, say("The preload itself is not known.")])
    if abs(error) <= TOLERANCE:
        return one_after_another([sits, say("That fits the springs and the preload you gave.")])
    template = ("It speaks of {gap} mm more preload than springs and turns say, or of another spring." if error > 0 else
                "It speaks of {gap} mm less preload than springs and turns say, or of another spring.")
    return one_after_another([sits, say(template, gap=f"{abs(error) / MM:.0f}")])
