"""Which story fits the evidence: base rate times mean likelihood over the story's draws, normalised."""
from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from analysis.catalogue import QUESTIONS
from analysis.causes import Cause, Prior, causes_for
from analysis.document import Case
from analysis.guide import EVENLY, Guide, Normals, guide_from
from analysis.inputs import Estimate, Inputs
from analysis.observations import ANSWERS, READINGS, SYMPTOMS
from analysis.observing import SOFTER, Reading
from analysis.world import World

Array = NDArray[np.float64]

NAMED, NOT_NAMED = 0.7, 0.3
"""Powers of a named symptom's chance, and of the chance that one is not named: common practice, no source."""
DRAWS = 1200
"""Draws for each cause, on the average."""
AGAIN = 400
"""Draws for each cause where it is only asked whether an answer more or less would change the verdict."""
FEW = 400
"""With fewer draws than this none are spent on scouting."""
SCOUTS = (0.2, 0.2, 0.27)
"""Rounds of scouts, as shares of the draws; the third only where there are draws enough for it."""
THIRD = 800
LEAST, MOST = 0.25, 0.8
"""The last round's draws, as shares of the draws …"""
AIM = 0.004
"""… as many as the sampling error of every probability asks for to be no more than this."""


@dataclass(frozen=True)
class Evidence:
    """One answer and what it says of every draw (natural logarithm of its likelihood)."""

    path: str
    title: str
    known: str
    log: Array
    reading: tuple[Reading, Estimate] | None = None
    is_label: bool = False


@dataclass
class Posterior:
    """Weighted draws of all causes, with the evidence kept apart so that any piece can be left out."""

    world: World
    evidence: Sequence[Evidence]
    base_rates: Array
    log_led: Array | float = 0.0
    """Puts the odds right again where the draws were led."""

    @cached_property
    def log_base(self) -> Array:
        """Logarithm of base rate and of the stories' bounds, for each draw."""
        shares = np.log(self.base_rates / self.world.n)
        return np.asarray(self.world.log_prior + self.log_led + shares[self.world.cause_index])

    def log_weights(self, without: Iterable[str] = ()) -> Array:
        """Return each draw's unnormalised log weight, leaving out the evidence at the given paths."""
        left_out = set(without)
        return self._log_all - sum(e.log for e in self.evidence if e.path in left_out)

    @cached_property
    def _log_all(self) -> Array:
        log = self.log_base.copy()
        for piece in self.evidence:
            log += piece.log
        return log

    def weights(self, without: Iterable[str] = ()) -> Array:
        """Return normalised weights of all draws."""
        log = self.log_weights(without)
        raw = np.exp(log - np.max(log))
        return np.asarray(raw / raw.sum())

    @cached_property
    def all_weights(self) -> Array:
        """Weights with all evidence in."""
        return self.weights()

    def probabilities(self, without: Iterable[str] = ()) -> Array:
        """Return each cause's probability."""
        weights = self.weights(without) if without else self.all_weights
        return np.bincount(self.world.cause_index, weights, len(self.world.causes)).astype(np.float64)

    def standard_errors(self) -> Array:
        """Return the sampling error of each cause's probability, to first order.

        With A_c the mean weight of cause c's draws, p_c = A_c / Σ A; var A_c from the spread of its weights.
        """
        share, causes = self.probabilities(), self.world.cause_index
        off = self.all_weights - (share / self.world.n)[causes]
        variance = np.bincount(causes, np.square(off), share.size)
        return np.asarray(np.sqrt((1 - 2 * share) * variance + np.square(share) * variance.sum()))

    def quantiles(self, values: Array, shares: tuple[float, ...] = (0.05, 0.5, 0.95), rows: Array | None = None,
                  ) -> tuple[float, ...]:
        """Return weighted quantiles of a hidden quantity over all draws, or over the marked rows."""
        weights = self.all_weights if rows is None else np.where(rows, self.all_weights, 0.0)
        order = np.argsort(values)
        below = np.cumsum(weights[order]) / weights.sum()
        places = np.minimum(np.searchsorted(below, np.array(shares)), values.size - 1)
        return tuple(float(v) for v in values[order][places])


def assess(case: Case, inputs: Inputs, rng: np.random.Generator, draws: int = DRAWS,
           causes: Sequence[Cause] | None = None, scouted: bool = True) -> Posterior:
    """Draw every cause's forks and weigh them by everything the case says.

    Where there is much evidence hardly any fork drawn blindly fits it.  So rounds of scouts come first, each drawn
    where the round before found forks that fit, and the last round is as large as its sampling error asks for.
    """
    known = causes_for(case.value("fork.springing"), case.value("fork.damper")) if causes is None else causes
    stories, budget = tuple(known), draws * len(known)
    if draws < FEW or not scouted:
        return _weighed(case, inputs, stories, Normals(rng, np.full(len(stories), draws)))
    normals = Normals(rng, np.full(len(stories), int(draws * SCOUTS[0])))
    found = _weighed(case, inputs, stories, normals)
    for share in (*(SCOUTS[1:] if draws >= THIRD else SCOUTS[1:2]), None):
        wanted = share or np.clip(SCOUTS[-1] * np.square(found.standard_errors().max() / AIM), LEAST, MOST)
        normals = normals.led(rng, _counts(found, wanted * budget), _guides(found, np.array(normals.drawn)))
        found = _weighed(case, inputs, stories, normals)
    return found


def _weighed(case: Case, inputs: Inputs, stories: Sequence[Cause], normals: Normals) -> Posterior:
    world = World(case, inputs, stories, normals.counts, normals)
    rates = np.array([cause.base_rate for cause in stories])
    return Posterior(world, tuple(_evidence(world)), rates / rates.sum(), normals.log_weight)


def _kin(stories: Sequence[Cause]) -> NDArray[np.int64]:
    """Return for each cause the first one whose fork is just like its own: their draws teach each other."""
    forks = [replace(c, name="", title="", remedy="", base_rate=0.0, rear_mm=Prior(0, 0), tyre_bar=Prior(0, 0),
                     shows={}, only_for="", onset={}) for c in stories]
    return np.array([forks.index(fork) for fork in forks])


def _guides(found: Posterior, normals: Array) -> list[Guide]:
    kin, log = _kin(found.world.causes), found.log_weights()
    of_draw = kin[found.world.cause_index]
    taught = {first: guide_from(normals[:, of_draw == first], log[of_draw == first]) for first in set(kin.tolist())}
    return [taught[first] for first in kin.tolist()]


def _counts(found: Posterior, total: float) -> NDArray[np.int64]:
    """Share draws out: a part evenly, the rest by the root of how likely a cause and its kin are."""
    kin, size = _kin(found.world.causes), len(found.world.causes)
    alike = np.bincount(kin, minlength=size)
    root = np.sqrt((np.bincount(kin, found.probabilities(), size) / np.maximum(alike, 1))[kin])
    return np.asarray(total * (EVENLY / size + (1 - EVENLY) * root / root.sum()) + 20, dtype=np.int64)


def _evidence(world: World) -> list[Evidence]:
    found = [Evidence(path, _title(path), _known(world.case, path), row, is_label=True)
             for path, row in world.log_labels.items()]
    found += _numbers(world) + _answers(world) + _symptoms(world) + _luggage(world)
    since = world.case.answer("complaint.since")
    if since is not None:
        factor = np.array([c.onset.get(str(since.value), 1.0) for c in world.causes])
        found.append(Evidence(since.path, "when it started", since.known, np.log(factor)[world.cause_index]))
    return found


def _title(path: str) -> str:
    title = QUESTIONS[path].title
    side = next((s for s in ("left", "right") if f".{s}." in path), "")
    text = title[0].lower() + title[1:]
    return f"{text}, {side} leg" if side else text


def _known(case: Case, path: str) -> str:
    answer = case.answer(path)
    return answer.known if answer else "assumed"


def _numbers(world: World) -> list[Evidence]:
    found = []
    for reading in READINGS:
        value = None if reading.is_label else reading.find(world.case)
        if value is not None:
            right, wrong = reading.density(world, value)
            found.append(Evidence(reading.path, reading.title, value.known, np.log(right + wrong), (reading, value)))
    return found


def _answers(world: World) -> list[Evidence]:
    """Log likelihood of every choice; of those that see the same physics all but the most telling count by the root."""
    by_physics: dict[str, list[Evidence]] = {}
    for entry in ANSWERS:
        answer = world.case.answer(entry.path)
        if answer is None:
            continue
        chance = entry.probabilities(world).get(str(answer.value))
        if chance is not None:
            row = SOFTER.get(answer.known, 1.0) * np.log(chance)
            by_physics.setdefault(entry.sees, []).append(Evidence(entry.path, entry.title, answer.known, row))
    return [e for group in by_physics.values() for e in _not_twice(group)]


def _not_twice(group: list[Evidence]) -> list[Evidence]:
    ordered = sorted(group, key=lambda e: -float(np.std(e.log)))
    return [Evidence(e.path, e.title, e.known, e.log if i == 0 else 0.5 * e.log) for i, e in enumerate(ordered)]


def _symptoms(world: World) -> list[Evidence]:
    """The rider's symptoms, all of them one piece of evidence.

    Feelings count less than readings; what was not named, though others were, counts less still: people pick what
    bothers them most.
    """
    answer = world.case.answer("complaint.symptoms")
    if answer is None or not isinstance(answer.value, tuple) or not set(answer.value) & set(SYMPTOMS):
        return []
    row = np.zeros(world.size)
    for name, chance in SYMPTOMS.items():
        p = np.clip(chance(world), 0.005, 0.995)
        row += NAMED * np.log(p) if name in answer.value else NOT_NAMED * np.log(1 - p)
    return [Evidence(answer.path, "the complaint", answer.known, SOFTER.get(answer.known, 1.0) * row)]


def _luggage(world: World) -> list[Evidence]:
    """Load on file speaks for or against the story that there is too much of it."""
    heavy = 1 / (1 + np.exp(-(world.inputs.load_mass - 55.0) / 12.0))
    if world.case.answer("use.luggage_kg") is None and world.case.answer("use.pillion_kg") is None:
        return []
    loaded = world.shows("overloaded")
    row = np.log(loaded * heavy + (1 - loaded) * 0.25)
    return [Evidence("use.luggage_kg", "passenger and luggage", "documented", np.asarray(row))]


def moved_most(posterior: Posterior, cause: int) -> list[tuple[Evidence, float]]:
    """Return the evidence by how far it moved one cause, strongest first, as bits of log odds.

    For each piece: log₂ odds of the cause with all evidence, less the log₂ odds without that piece.
    """
    def log_odds(p: float) -> float:
        p = min(max(p, 1e-9), 1 - 1e-9)
        return float(np.log2(p / (1 - p)))

    all_in = log_odds(float(posterior.probabilities()[cause]))
    moved = [(e, all_in - log_odds(float(posterior.probabilities((e.path,))[cause]))) for e in posterior.evidence]
    return sorted(moved, key=lambda pair: -abs(pair[1]))
