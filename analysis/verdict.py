"""What is said in one line, and whether it may be said at all."""
from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from analysis.disagreements import Disagreement
from analysis.gates import Gate
from analysis.posterior import Evidence, Posterior

SURE = 0.70
"""The leading cause must be at least this likely …"""
LEAD = 2.0
"""… and lead a cause with another remedy by this much."""


@dataclass(frozen=True)
class Verdict:
    """``kind`` is 'cause', 'cannot tell yet', 'do not fit together' or 'stop'."""

    kind: str
    cause: str | None
    words: str
    why_open: tuple[str, ...]


def odds_words(p: float) -> str:
    """Return a probability in words that a rider can picture."""
    if p >= 0.97:
        return "almost certainly"
    tenths = min(max(round(p * 10), 1), 9)
    return f"about {tenths} in 10"


def verdict(posterior: Posterior, gates: Sequence[Gate], clashes: Sequence[Disagreement],
            again: Callable[[str], Posterior]) -> Verdict:
    """Judge the posterior; ``again`` assesses the case without the answer at a path."""
    if gates:
        return Verdict("stop", None, "Do not ride. " + gates[0].reason, ())
    world, p = posterior.world, posterior.probabilities()
    best = int(np.argmax(p))
    leader = world.causes[best]
    if clashes and _hangs_on(posterior, best, clashes):
        return Verdict("do not fit together", None, "Some answers do not fit together, so we cannot name a cause yet.",
                       tuple(c.words for c in clashes))
    why = _why_open(posterior, best) or _fragile(posterior, best, again)
    if why:
        return Verdict("cannot tell yet", leader.name,
                       f"We cannot tell yet. It leans towards: {leader.title.lower()} ({odds_words(float(p[best]))}).",
                       tuple(why))
    chance = odds_words(float(p[best]))
    how = f"Almost certainly: {leader.title.lower()}." if chance == "almost certainly" else (
        f"Most likely: {leader.title.lower()} ({chance}).")
    return Verdict("cause", leader.name, how, ())


def _why_open(posterior: Posterior, best: int) -> list[str]:
    p, causes = posterior.probabilities(), posterior.world.causes
    why = []
    if p[best] < SURE:
        why.append(f"The likeliest cause is only {odds_words(float(p[best]))}.")
    rivals = [c for c in range(len(causes)) if causes[c].remedy != causes[best].remedy and p[c] * LEAD > p[best]]
    why += [f"{causes[c].title} would be put right in another way and is nearly as likely." for c in rivals]
    return why


def _fragile(posterior: Posterior, best: int, again: Callable[[str], Posterior]) -> list[str]:
    """Name each guessed or remembered answer without which another cause would lead."""
    return [f"It rests on one answer that was {e.known}: {e.title}." for e in posterior.evidence
            if e.known in ("guessed", "remembered") and _leader_without(posterior, e, again) != best]


def _leader_without(posterior: Posterior, piece: Evidence, again: Callable[[str], Posterior]) -> int:
    """A number that shaped the draws needs new draws without it; any other is just left out of the product."""
    rest = again(piece.path).probabilities() if piece.is_label else posterior.probabilities((piece.path,))
    return int(np.argmax(rest))


def _hangs_on(posterior: Posterior, best: int, clashes: Sequence[Disagreement]) -> bool:
    """True where the leader is unsure, or changes without one of the answers that clash."""
    if posterior.probabilities()[best] < SURE:
        return True
    named = {title for clash in clashes for title in clash.between}
    pieces = [e for e in posterior.evidence if e.title in named]
    return any(int(np.argmax(posterior.probabilities((e.path,)))) != best for e in pieces)
