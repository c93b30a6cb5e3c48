"""A number with its spread and where it came from, and the reader that notes what it had to put in."""
from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from analysis.catalogue import SIDES
from analysis.document import Case
from analysis.say import say

MM, ML, MM2 = 1e-3, 1e-6, 1e-6


NOT_SHARED = ("oil_level_book_mm", "oil_volume_book_ml", "steel_volume_ml", "inner_parts_area_mm2",
              "preload_fixed_mm", "top_out.rate_n_per_mm", "top_out.length_mm", "bump.rate_n_per_mm", "bump.length_mm")
"""What one leg does not tell of the other where each has its own work to do."""


@dataclass(frozen=True)
class Estimate:
    """A value with its standard deviation (SI) and how it is known; 'assumed' for a typical value."""

    value: float
    sd: float
    known: str = "documented"


@dataclass(frozen=True)
class Assumed:
    """A typical value that had to stand in: canonical unit, and why it was needed."""

    path: str
    value: float
    unit: str
    reason: str


@dataclass
class Reader:
    """Reads answers and notes every typical value it has to put in."""

    case: Case
    assumed: list[Assumed] = field(default_factory=list)

    def known(self, path: str) -> Estimate | None:
        """Return an answer that is a number, SI; None where there is none."""
        answer = self.case.answer(path)
        if answer is None or isinstance(answer.value, str | bool | tuple):
            return None
        return Estimate(float(answer.value), answer.sd, answer.known)

    def or_typical(self, path: str, mean_sd: tuple[float, float], unit: str, scale: float, reason: str) -> Estimate:
        """Return the answer, or the typical value in its place."""
        return self.known(path) or self.assume(path, mean_sd, unit, scale, reason)

    def assume(self, path: str, mean_sd: tuple[float, float], unit: str, scale: float, reason: str) -> Estimate:
        """Note a typical value, mean and spread in ``unit``, and return it in SI, which is ``scale`` times as much."""
        self.assumed.append(Assumed(path, round(mean_sd[0], 4), unit, reason))
        return Estimate(mean_sd[0] * scale, mean_sd[1] * scale, "assumed")

    def forget(self, paths: Iterable[str]) -> None:
        """Take typical values off the list that nothing is worked out from."""
        unused = set(paths)
        self.assumed = [one for one in self.assumed if one.path not in unused]

    def leg_value(self, side: str, name: str, otherwise: Callable[[], Estimate]) -> Estimate:
        """Return a leg's own value, the other leg's where only that is known, or the stand-in."""
        return self.leg_maybe(side, name) or otherwise()

    def leg_maybe(self, side: str, name: str) -> Estimate | None:
        """Return a leg's own value, or the other leg's, half as sure again, where only that is known."""
        own = self.known(f"fork.{side}.{name}")
        if own is not None:
            return own
        if name in NOT_SHARED and self.case.value("fork.damper") == "separate function":
            return None
        other_side = SIDES[1 - SIDES.index(side)]
        other = self.known(f"fork.{other_side}.{name}")
        if other is None:
            return None
        answer = self.case.answer(f"fork.{other_side}.{name}")
        unit, number = _canonical(f"fork.{other_side}.{name}", other.value)
        self.assumed.append(Assumed(f"fork.{side}.{name}", number, unit,
                                    say("Taken from the {side} leg ({typed}).", side=other_side, typed=answer.typed)
                                    if answer else say("Taken from the {side} leg.", side=other_side)))
        return Estimate(other.value, 1.5 * other.sd, "assumed")


def _canonical(path: str, value: float) -> tuple[str, float]:
    from analysis.catalogue import QUESTIONS
    from analysis.units import from_si

    unit = QUESTIONS[path].unit
    return unit, round(float(from_si(value, unit)), 4)
