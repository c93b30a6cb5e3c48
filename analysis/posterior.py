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
from analysis.estimates import Estimate
from analysis.guide import Guide, Normals, guide_from, upright_guide_from
from analysis.inputs import Inputs
from analysis.observations import ANSWERS, READINGS, SYMPTOMS
from analysis.observing import SOFTER, Reading
from analysis.rounds import Round, Rounds, led_round, plain_round, sampling_errors
from analysis.say import say
from analysis.world import World

Array = NDArray[np.float64]

NAMED, NOT_NAMED = 0.7, 0.3
"""Powers of a named symptom's chance, and of the chance that one is not named: common practice, no source."""
DRAWS = 1200
"""Draws for each cause, on the average, of which every round is a share."""
AGAIN, AIM_AGAIN = 400, 0.03
"""The same, and the sampling error that will do, where it is only asked whether an answer less changes the verdict."""
FEW = 400
"""With fewer draws than this none are spent on scouting."""
FIRST, NEXT = 0.1, (0.1, 0.1, 0.12)
"""The first rounds, which only teach where to draw, as shares of the draws …"""
NEXT_AGAIN = (0.2,)
"""The same where it is only asked whether an answer less changes the verdict."""
FURTHER = (0.2, 0.2, 0.24, 0.28, 0.32, 0.36, *6 * (0.4,))
"""… and those that count: they go on until the sampling error is small enough, or until all are drawn."""
TEACHERS, LESSONS = 4, 8
"""The latest rounds, which say where to draw next; and after how many rounds nothing more is learned."""
HARDLY, WORTH_GUIDING = 1e-6, 0.002
"""A cause that is less likely than this, with its kin, keeps the guide it has: in lessons, and once rounds count."""
AIM = 0.003
"""Sampling error of every probability that is small enough."""
SHOWING = 600.0
"""Draws that have to count before the sampling error that they show is believed."""
LATEST = 0.5
"""Share of the led draws that follow the latest guide; the others follow the one before."""
EVENLY, LIKELY, UNSURE = 0.15, 0.35, 0.5
"""Shares of the draws that go to every cause alike, to the likely ones, and to those whose odds are least sure."""


@dataclass(frozen=True)
class Evidence:
    """One answer and what it says of every draw (natural logarithm of its likelihood)."""

    path: str
    title: str
    known: str
    log: Array
    reading: tuple[Reading, Estimate] | None = None
    gap: Array | None = None
    """How far a reading is from each draw's, in standard deviations, as long as it teaches where to draw."""
    is_label: bool = False
    halved: bool = False
    """It counts by the root, since another answer sees the same."""


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

    def give_up_gaps(self) -> Array:
        """Return how far every reading is from each draw's, one row a reading, and hold it no longer."""
        gaps = [piece.gap for piece in self.evidence if piece.gap is not None]
        self.evidence = [replace(piece, gap=None) for piece in self.evidence]
        return np.array(gaps).reshape(len(gaps), self.world.size)

    @cached_property
    def log_fit(self) -> Array:
        """Logarithm of all evidence's likelihood and of the stories' bounds, for each draw."""
        return np.asarray(self.world.log_prior + sum(piece.log for piece in self.evidence))

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
        left_out = tuple(without)
        if left_out not in self._odds:
            weights = self.weights(left_out) if left_out else self.all_weights
            share = np.bincount(self.world.cause_index, weights, len(self.world.causes))
            self._odds[left_out] = share.astype(np.float64)
        return self._odds[left_out].copy()

    @cached_property
    def _odds(self) -> dict[tuple[str, ...], Array]:
        """Odds asked for before, by what was left out: every leading cause asks the same."""
        return {}

    def standard_errors(self) -> Array:
        """Return the sampling error of each cause's probability."""
        share, causes = self.probabilities(), self.world.cause_index
        off = self.all_weights - (share / self.world.n)[causes]
        return sampling_errors(share, np.bincount(causes, np.square(off), share.size).astype(np.float64))

    def quantiles(self, values: Array, shares: tuple[float, ...] = (0.05, 0.5, 0.95), rows: Array | None = None,
                  ) -> tuple[float, ...]:
        """Return weighted quantiles of a hidden quantity over all draws, or over the marked rows."""
        weights = self.all_weights if rows is None else np.where(rows, self.all_weights, 0.0)
        order = np.argsort(values)
        below = np.cumsum(weights[order]) / weights.sum()
        places = np.minimum(np.searchsorted(below, np.array(shares)), values.size - 1)
        return tuple(float(v) for v in values[order][places])


def assess(case: Case, inputs: Inputs, rng: np.random.Generator, draws: int = DRAWS,
           causes: Sequence[Cause] | None = None, scouted: bool = True, aim: float = AIM) -> Posterior:
    """Draw every cause's forks and weigh them by everything the case says.

    Where there is much evidence hardly any fork drawn blindly fits it.  So they are drawn in rounds, each where the
    rounds before found forks that fit, until the sampling error is small enough or the draws are spent.
    """
    known = causes_for(case.value("fork.springing"), case.value("fork.damper")) if causes is None else causes
    stories = tuple(known)
    first = Normals(rng, np.full(len(stories), int(draws * FIRST) if scouted and draws >= FEW else draws))
    found = _weighed(case, inputs, stories, first)
    return _in_rounds(found, first, rng, draws * len(stories), aim) if scouted and draws >= FEW else found


def _weighed(case: Case, inputs: Inputs, stories: Sequence[Cause], normals: Normals,
             halved: frozenset[str] | None = None) -> Posterior:
    world = World(case, inputs, stories, normals.counts, normals)
    rates = np.array([cause.base_rate for cause in stories])
    return Posterior(world, tuple(_evidence(world, halved)), rates / rates.sum())


def _in_rounds(first: Posterior, normals: Normals, rng: np.random.Generator, budget: int, aim: float) -> Posterior:
    """Go on from a first round: some teach where to draw, the others count, until the odds are sure enough."""
    world, kin, rates = first.world, _kin(first.world.causes), first.base_rates
    halved = frozenset(e.path for e in first.evidence if e.halved)
    taught = Rounds([plain_round(normals.drawn, normals.counts, first.log_fit, first.give_up_gaps())], rates)
    guides: Sequence[Sequence[tuple[float, Guide]]] = [((1.0, _for_all(taught)),)] * len(world.causes)
    counted: list[tuple[Round, Posterior]] = []
    lessons = NEXT if aim < AIM_AGAIN else NEXT_AGAIN
    for step, share in enumerate((*lessons, *FURTHER)):
        if step < LESSONS:
            guides = _guides(taught, guides, kin, WORTH_GUIDING if counted else HARDLY if step else 0.0)
        new = led_round(rng, len(normals.drawn), _counts(taught, share * budget, kin), guides)
        part = _weighed(world.case, world.inputs, world.causes, Normals(rng, new.counts, new.normals), halved)
        new.log_fit, new.gaps = part.log_fit, part.give_up_gaps()
        part.world.settle()
        taught = Rounds([*taught.all[1 - TEACHERS:], new] if step else [new], rates)
        if step + 1 >= LESSONS:
            taught.let_go()
        if step >= len(lessons):
            counted.append((new, part))
            if Rounds([each for each, _ in counted], rates).sure(aim, SHOWING if aim < AIM_AGAIN else 0):
                break
    return _joined(counted)


def _joined(rounds: Sequence[tuple[Round, Posterior]]) -> Posterior:
    """Return all rounds' draws as one posterior."""
    parts, together = [part for _, part in rounds], Rounds([each for each, _ in rounds], rounds[0][1].base_rates)
    together.let_go()
    order = np.argsort(np.concatenate([part.world.cause_index for part in parts]), kind="stable")
    log_led = np.concatenate(together.log_led())[order]
    evidence = [replace(pieces[0], log=np.concatenate([piece.log for piece in pieces])[order])
                for pieces in zip(*(part.evidence for part in parts), strict=True)]
    for part in parts:
        part.evidence = ()
    return Posterior(World.joined([part.world for part in parts], order), evidence, parts[0].base_rates, log_led)


def _kin(stories: Sequence[Cause]) -> NDArray[np.int64]:
    """Return for each cause the first one whose fork is just like its own: their draws teach each other."""
    forks = [replace(c, name="", title="", remedy="", base_rate=0.0, rear_mm=Prior(0, 0), tyre_bar=Prior(0, 0),
                     shows={}, only_for="", onset={}, rear_alone=0.0) for c in stories]
    return np.array([forks.index(fork) for fork in forks])


def _guides(taught: Rounds, before: Sequence[Sequence[tuple[float, Guide]]], kin: NDArray[np.int64],
            worth: float) -> list[Sequence[tuple[float, Guide]]]:
    """Learn where each cause and its kin are to be drawn next, and keep where they were drawn before.

    Evidence that can be met in two ways may send the latest guide to one of them; the one before still sees both.
    """
    share, firsts = np.bincount(kin, taught.standing()[0], kin.size), sorted(set(kin.tolist()))
    latest = {first: guide_from(*taught.of(np.flatnonzero(kin == first).tolist())) for first in firsts
              if share[first] >= worth}
    return [((LATEST, latest[first]), (1 - LATEST, earlier[0][1])) if first in latest else earlier
            for first, earlier in zip(kin.tolist(), before, strict=True)]


def _for_all(only: Rounds) -> Guide:
    """Learn where all causes alike are to be drawn, each having one voice: what they share is seen most clearly so."""
    alike = Rounds(only.all, np.ones(only.size))
    level = np.log(np.maximum(alike.standing()[0], 1e-300))
    return upright_guide_from(only.all[0].normals, only.all[0].log_fit - np.repeat(level, only.counts))


def _counts(taught: Rounds, total: float, kin: NDArray[np.int64]) -> NDArray[np.int64]:
    """Share draws out: evenly, by the root of how likely a cause and its kin are, and by how unsure that still is."""
    size, (share, variance) = kin.size, taught.standing()
    alike = np.bincount(kin, minlength=size)

    def pooled(weight: Array) -> Array:
        each = (np.bincount(kin, weight, size) / np.maximum(alike, 1))[kin]
        return np.asarray(each / max(each.sum(), 1e-300))

    unsure = np.sqrt(variance * taught.counts) * (1 - share)
    wanted = EVENLY / size + LIKELY * pooled(np.sqrt(share)) + UNSURE * pooled(unsure)
    return np.asarray(total * wanted + 10, dtype=np.int64)


def _evidence(world: World, halved: frozenset[str] | None = None) -> list[Evidence]:
    """Return what every answer says of every draw.

    ``halved``: answers that count by the root, since another one sees the same; None: to be found from these draws.
    """
    found = [Evidence(path, _title(path), _known(world.case, path), row, is_label=True)
             for path, row in world.log_labels.items()]
    found += _numbers(world) + _answers(world, halved) + _symptoms(world) + _luggage(world)
    since = world.case.answer("complaint.since")
    if since is not None:
        factor = np.array([c.onset.get(str(since.value), 1.0) for c in world.causes])
        found.append(Evidence(since.path, say("When it started"), since.known, np.log(factor)[world.cause_index]))
    return found


def _title(path: str) -> str:
    title = QUESTIONS[path].title
    side = next((s for s in ("left", "right") if f".{s}." in path), "")
    return say("{title}, {side} leg", title=title, side=side) if side else title


def _known(case: Case, path: str) -> str:
    answer = case.answer(path)
    return answer.known if answer else "assumed"


def _numbers(world: World) -> list[Evidence]:
    found = []
    for reading in READINGS:
        value = None if reading.is_label else reading.find(world.case)
        if value is not None:
            right, wrong, gap = reading.density(world, value)
            found.append(Evidence(reading.path, reading.title, value.known, np.log(right + wrong), (reading, value),
                                  np.broadcast_to(gap, (world.size,))))
    return found


def _answers(world: World, halved: frozenset[str] | None) -> list[Evidence]:
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
    return [e for group in by_physics.values() for e in _not_twice(group, halved)]


def _not_twice(group: list[Evidence], halved: frozenset[str] | None) -> list[Evidence]:
    most = max(group, key=lambda e: float(np.std(e.log))).path
    less = {e.path for e in group if e.path != most} if halved is None else halved
    return [replace(e, log=0.5 * e.log, halved=True) if e.path in less else e for e in group]


def _symptoms(world: World) -> list[Evidence]:
    """The rider's symptoms, all of them one piece of evidence.

    Feelings count less than readings; what was not named, though others were, counts less still: people pick what
    bothers them most.  Whoever names the rear and nothing else tells a place, not a feeling: that counts in full.
    """
    answer = world.case.answer("complaint.symptoms")
    if answer is None or not isinstance(answer.value, tuple) or not set(answer.value) & set(SYMPTOMS):
        return []
    if set(answer.value) & set(SYMPTOMS) == {"rear trouble"}:
        place = np.log([cause.rear_alone for cause in world.causes])[world.cause_index]
        return [Evidence(answer.path, "the complaint", answer.known, SOFTER.get(answer.known, 1.0) * place)]
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
