"""Rounds of draws that go where the evidence points: each is drawn where the rounds before found forks that fit.

The first round takes the normals as they come, as the stories have them.  Later ones follow their guides, but for a
share that does not, so that none weighs much more than it did.  A draw's weight puts the story's own odds right again:
the story's density over that of its round's mixture.  Its round's alone: held against guides that it taught itself, it
would count too little.
"""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.special import ndtri
from scipy.stats import qmc

from analysis.guide import Array, Counts, Guide

NOTHING: Array = np.empty((0, 0))

UNLED = 0.1
"""Share of the draws of a led round that follow no guide."""


@dataclass
class Round:
    """One round: its normals (one row each), how many draws each cause has, and what they say.

    ``log_led``: logarithm of the story's density over the round's, for each draw.  ``log_fit``: logarithm of the
    likelihood of all evidence.  ``gaps``: how far each reading is from each draw's, in standard deviations.
    """

    normals: Array
    counts: Counts
    log_led: Array
    log_fit: Array = field(default_factory=lambda: np.empty(0))
    gaps: Array = field(default_factory=lambda: NOTHING)

    def of(self, cause: int) -> slice:
        """Return where a cause's draws are."""
        end = int(self.counts[:cause + 1].sum())
        return slice(end - int(self.counts[cause]), end)


def plain_round(normals: Sequence[Array], counts: Counts, log_fit: Array, gaps: Array) -> Round:
    """Return a round that followed no guides."""
    return Round(np.array(normals), counts, np.zeros(log_fit.size), log_fit, gaps)


def led_round(rng: np.random.Generator, normals: int, counts: Counts, guides: Sequence[Sequence[tuple[float, Guide]]],
              ) -> Round:
    """Draw a round, each cause's draws by its guides, each with its share of those that are led."""
    table = even_normals(rng, normals, int(counts.sum()))
    new = Round(table, counts, np.empty(table.shape[1]))
    for cause, own in enumerate(guides):
        columns = table[:, new.of(cause)]
        density, start = np.full(columns.shape[1], UNLED), 0
        for share, guide in own:
            end = start + round((1 - UNLED) * share * columns.shape[1])
            guide.lead(columns[:, start:end])
            start = end
        for share, guide in own:
            density += (1 - UNLED) * share * guide.over_story(columns)
        new.log_led[new.of(cause)] = -np.log(density)
    return new


def even_normals(rng: np.random.Generator, normals: int, draws: int) -> Array:
    """Return standard normals, one row each, that lie more evenly than chance would have them.

    A scrambled Sobol sequence: each draw by itself is as likely as any other, but none leaves a gap that another fills
    twice (Owen 1995, randomly permuted (t, m, s)-nets), so that odds need about half the draws.
    """
    power = max(draws - 1, 0).bit_length()
    evenly = qmc.Sobol(normals, scramble=True, rng=rng).random_base2(power)[:draws].T
    return np.ascontiguousarray(ndtri(np.clip(evenly, 1e-12, 1 - 1e-12)))


class Rounds:
    """Rounds taken together.  Guides get better from round to round, so a draw of the third counts thrice one of the
    first: a rule that is fixed beforehand and so leaves the odds right, which measured spreads would not.
    """

    def __init__(self, rounds: Sequence[Round], base_rates: Array) -> None:
        self.all, self.base_rates, self.size = list(rounds), base_rates, base_rates.size
        self.counts: Counts = np.asarray(sum(each.counts for each in rounds))
        whole = sum(place * each.counts for place, each in enumerate(rounds, 1))
        self.log_voices = [np.log(place * self.counts / whole) for place in range(1, len(self.all) + 1)]
        """Logarithm of how much a round's draws count, for each cause; one on the average."""

    def of(self, causes: Sequence[int]) -> tuple[Array, Array, Array]:
        """Return normals, log weights and gaps of some causes' draws."""
        places = [(each, each.of(cause), voices[cause])
                  for cause in causes for each, voices in zip(self.all, self.log_voices, strict=True)]
        return (np.concatenate([each.normals[:, place] for each, place, _ in places], axis=1),
                np.concatenate([each.log_fit[place] + each.log_led[place] + voice for each, place, voice in places]),
                np.concatenate([each.gaps[:, place] for each, place, _ in places], axis=1))

    def let_go(self) -> None:
        """Let go of what only teaches where to draw next."""
        for each in self.all:
            each.normals, each.gaps = NOTHING, NOTHING

    def log_led(self) -> list[Array]:
        """Return for each round what puts its draws' odds right again.

        A stray draw that no guide foresaw counts in full.  Cutting such weights looks steadier, but takes odds from
        causes that few draws fit: two points of a leader's in trials.
        """
        return [each.log_led + np.repeat(voices, each.counts)
                for each, voices in zip(self.all, self.log_voices, strict=True)]

    def standing(self) -> tuple[Array, Array]:
        """Return each cause's probability, and the variance of its draws' weights in it."""
        logs = [led + each.log_fit + np.repeat(np.log(self.base_rates / self.counts), each.counts)
                for each, led in zip(self.all, self.log_led(), strict=True)]
        most = max(float(log.max()) for log in logs)
        total, square = np.zeros(self.size), np.zeros(self.size)
        for each, log in zip(self.all, logs, strict=True):
            weight, causes = np.exp(log - most), np.repeat(np.arange(self.size), each.counts)
            total += np.bincount(causes, weight, self.size)
            square += np.bincount(causes, np.square(weight), self.size)
        whole = total.sum()
        return total / whole, np.maximum(square / whole**2 - np.square(total / whole) / self.counts, 0.0)

    def sure(self, aim: float, enough: float) -> bool:
        """Return whether every probability's sampling error is below ``aim``, seen from ``enough`` draws that count.

        Few draws do not show their own error: it rests on the heaviest weights, which come late.
        """
        share, variance = self.standing()
        effective = 1 / (variance + np.square(share) / self.counts).sum()
        return bool(effective >= enough and sampling_errors(share, variance).max() < aim)


def sampling_errors(share: Array, variance: Array) -> Array:
    """Return the sampling error of each probability, to first order, from the variance of each cause's weights.

    With A_c the mean weight of cause c's draws, p_c = A_c / Σ A; var A_c from the spread of its weights.
    """
    return np.asarray(np.sqrt((1 - 2 * share) * variance + np.square(share) * variance.sum()))
