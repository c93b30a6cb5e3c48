"""What is said in one line, and whether it may be said at all."""
from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.case import Answer, Case
from analysis.catalogue import QUESTIONS, SIDES
from analysis.causes import BY_NAME
from analysis.disagreement import Disagreement
from analysis.gates import Gate
from analysis.meant import other_meaning
from analysis.posterior import Evidence, Posterior
from analysis.say import listed, one_after_another, say
from analysis.unit_names import WANTED
from analysis.units import to_si

Array = NDArray[np.float64]

MEASURES = ("fork.travel_mm", *(f"fork.{side}.{name}" for side in SIDES for name in (
    "oil_level_book_mm", "oil_volume_book_ml")))
"""What readings are judged against."""

HOW_READ = (
    ("service.filled", say("how the oil was filled"), ("service.filled", "service.pumped")),
    ("bench.oil.condition", say("how the leg was when its level was read"),
     ("bench.oil.condition", *(f"fork.{side}.oil_level_mm" for side in SIDES))),
)
"""Answers that say how a number is to be read, in words, each with what says nothing where it falls."""

SURE = 0.70
"""The leading cause must be at least this likely …"""
EVEN = 0.5
"""A leader that one soft answer lifts from below this rests on that answer."""
LEAD = 2.0
"""… and lead a cause with another remedy by this much."""


@dataclass(frozen=True)
class Verdict:
    """``kind`` is 'cause', 'cannot tell yet', 'do not fit together' or 'stop'."""

    kind: str
    cause: str | None
    words: str
    why_open: tuple[str, ...]


def tuners_verdict(cause: str) -> Verdict:
    """Return the verdict that a tuner has come to, in place of the engine's."""
    return Verdict("cause", cause, say("In our tuner's own judgement: {title}.", title=BY_NAME[cause].title), ())


def odds_words(p: float) -> str:
    """Return a probability in words that a rider can picture."""
    return say("almost certainly") if p >= 0.97 else say("about {tenths} in 10", tenths=_tenths(p))


def _tenths(p: float) -> int:
    return min(max(round(p * 10), 1), 9)


Again = Callable[..., Posterior]
"""Assesses the case without the answers at the paths given."""


def verdict(posterior: Posterior, gates: Sequence[Gate], clashes: Sequence[Disagreement], again: Again) -> Verdict:
    """Judge the posterior: stop, do not fit together, cannot tell yet, or a cause."""
    if gates:
        return Verdict("stop", None, one_after_another([say("Do not ride."), gates[0].reason]), ())
    p = posterior.probabilities()
    best = int(np.argmax(p))
    leader, chance = posterior.world.causes[best], odds_words(float(p[best]))
    if clashes and _hangs_on(posterior, best, clashes, again):
        return Verdict("do not fit together", None, say(
            "Some answers do not fit together, so we cannot name a cause yet."), tuple(c.words for c in clashes))
    if by_hand := _by_hand(posterior.world.case):
        return Verdict("cannot tell yet", leader.name, say("We cannot tell from our sums yet."), (by_hand,))
    why = _why_open(posterior, best) or _fragile(posterior, best, again)
    if why:
        return Verdict("cannot tell yet", leader.name,
                       say("We cannot tell yet. It leans towards: {title} ({chance}).", title=leader.title,
                           chance=chance), tuple(why))
    how = say("Almost certainly: {title}.", title=leader.title) if chance == "almost certainly" else (
        say("Most likely: {title} ({chance}).", title=leader.title, chance=chance))
    return Verdict("cause", leader.name, how, ())


def _by_hand(case: Case) -> str:
    """Say why no sum holds for this bike; empty for one with a fork of two tubes between two wheels in line."""
    if case.value("bike.kind") == "outfit":
        return say("With a sidecar neither loads nor legs are as we reckon them: our tuner judges this by hand.")
    if case.value("fork.layout") == "other":
        return say("This front has no pair of tubes, which our sums of a fork are made for: our tuner judges this by "
                   "hand.")
    return ""


def _why_open(posterior: Posterior, best: int) -> list[str]:
    p, causes = posterior.probabilities(), posterior.world.causes
    why: list[str] = []
    if p[best] < SURE:
        why.append(say("The likeliest cause is only {p}.", p=odds_words(float(p[best]))))
    rivals = [c for c in range(len(causes)) if causes[c].remedy != causes[best].remedy and p[c] * LEAD > p[best]]
    why += [say("Nearly as likely, and put right in another way: {title}.", title=causes[c].title)
            for c in rivals]
    return why


def _fragile(posterior: Posterior, best: int, again: Again) -> list[str]:
    """Say where the leader rests on one remembered answer, or on nothing better than guesses."""
    soft = [e for e in posterior.evidence if e.known in ("guessed", "remembered")]
    why: list[str] = [
        say("It rests on one answer that was guessed: {title}." if told[0].known == "guessed" else
            "It rests on one answer that was remembered: {title}.", title=told[0].title)
        for told in _told_together(soft) if _carries(posterior, best, told, again)]
    why += _read_by_a_soft_answer(posterior, best, again) or _unit_in_doubt(posterior, best, again)
    guessed = tuple(e for e in soft if e.known == "guessed")
    if guessed and not why and _without(posterior, guessed, again)[best] < SURE:
        why.append(say("It rests on what was only guessed: {answers}.", answers=listed([e.title for e in guessed])))
    return why or _measured_against_a_guess(posterior, best, again)


def _read_by_a_soft_answer(posterior: Posterior, best: int, again: Again) -> list[str]:
    """Say where the leader rests on numbers that only a guess or a memory says how to read."""
    case, why = posterior.world.case, list[str]()
    for path, title, paths in HOW_READ:
        answer = case.answer(path)
        if answer is None or answer.known not in ("guessed", "remembered"):
            continue
        without = again(*paths).probabilities()
        if int(np.argmax(without)) != best or without[best] < (SURE if answer.known == "guessed" else EVEN):
            template = ("It rests on one answer that was guessed: {title}." if answer.known == "guessed" else
                        "It rests on one answer that was remembered: {title}.")
            why.append(say(template, title=title))
    return why


def _unit_in_doubt(posterior: Posterior, best: int, again: Again) -> list[str]:
    """A number without a unit of its own that would be usual in another one only is asked back before it counts."""
    case = posterior.world.case
    paths = tuple(path for path, answer in case.answers.items() if _may_be_another_unit(case, answer))
    if not paths or again(*paths).probabilities()[best] >= SURE:
        return []
    titles = dict.fromkeys(QUESTIONS[path].title for path in paths)
    asked = dict.fromkeys(doubt.question for doubt in case.doubts if doubt.path in paths)
    return [say("It rests on a number that may be in another unit: {answers}.", answers=listed(list(titles))), *asked]


def _may_be_another_unit(case: Case, answer: Answer) -> bool:
    """An oil level is doubted only where the other unit would bring it nearer to the papers' level."""
    unit = QUESTIONS[answer.path].unit
    meant = other_meaning(answer.path, answer.typed, WANTED[unit].symbol) if isinstance(answer.value, float) else None
    if meant is None or not isinstance(answer.value, float):
        return False
    book = case.number(answer.path.replace(".oil_level_mm", ".oil_level_book_mm"))
    if not answer.path.endswith(".oil_level_mm") or book is None:
        return True
    return abs(to_si(f"{meant.number} {meant.other}", unit) - book) < abs(answer.value - book)


def _told_together(pieces: Sequence[Evidence]) -> list[list[Evidence]]:
    """Return the pieces, what was told of both legs as one: whoever misremembers the left leg does so of the right."""
    groups: dict[str, list[Evidence]] = {}
    for piece in pieces:
        groups.setdefault(piece.path.replace(".right.", ".left."), []).append(piece)
    return list(groups.values())


def _carries(posterior: Posterior, best: int, told: Sequence[Evidence], again: Again) -> bool:
    """Tell whether the leader would be another one, or less than likely, without what was told."""
    without = _without(posterior, told, again)
    return int(np.argmax(without)) != best or bool(without[best] < EVEN)


def _measured_against_a_guess(posterior: Posterior, best: int, again: Again) -> list[str]:
    """A careful reading set against a number that was only guessed is no better than the guess."""
    case = posterior.world.case
    paths = [path for path in MEASURES if (answer := case.answer(path)) is not None and answer.known == "guessed"]
    if not paths or again(*paths).probabilities()[best] >= SURE:
        return []
    titles = dict.fromkeys(QUESTIONS[path].title for path in paths)
    return [say("It rests on what was only guessed: {answers}.", answers=listed(list(titles)))]


def _without(posterior: Posterior, pieces: Sequence[Evidence], again: Again) -> Array:
    """Probabilities without some pieces.

    A number that shaped the draws needs new draws without it; any other is just left out of the product.
    """
    paths = tuple(e.path for e in pieces)
    return (again(*paths) if any(e.is_label for e in pieces) else posterior).probabilities(paths)


def _hangs_on(posterior: Posterior, best: int, clashes: Sequence[Disagreement], again: Again) -> bool:
    """True where the leader would not be sure without the answers that clash."""
    named = {path for clash in clashes for path in clash.paths}
    pieces = [e for e in posterior.evidence if e.path in named]
    return bool(_without(posterior, pieces, again)[best] < SURE)
