"""The shapes that catalogue entries have."""
from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

SIDES = ("left", "right")
"""The fork's legs, as seen by the seated rider."""

Kind = Literal["quantity", "choice", "many", "yes_no", "text", "table"]
Known = Literal["measured", "documented", "remembered", "guessed"]


@dataclass(frozen=True)
class Spread:
    """Standard deviation of a quantity by the way it is known.

    ``sd = hypot(absolute, relative × |value|) × factor[known]``, in the question's unit.  The factors are common
    practice, no source: papers are about as good as one's own careful reading, a memory is three times worse, a
    guess six times.
    """

    absolute: float = 0.0
    relative: float = 0.0


@dataclass(frozen=True)
class Choice:
    """One answer that can be picked: ``value`` stands in files, ``title`` on screens."""

    value: str
    title: str


@dataclass(frozen=True)
class Condition:
    """Show a question only where the answer at ``path`` is one of ``values`` (``{side}`` is filled in)."""

    path: str
    values: tuple[str, ...]


@dataclass(frozen=True)
class Question:
    """One thing that can be asked.

    ``path`` is its place in the case document; ``{side}`` in it stands for ``left`` and ``right``.
    ``unit`` is the canonical unit of a quantity, in pint's spelling ("" for a pure number).  A table is text: pairs of
    numbers in that unit, such as "0:0 20:9.8 40:19.9", rising from 0:0.
    A table that is a ``trace`` is a list of pairs, seconds and millimetres in the order of time, or the same as text.
    Outside ``possible`` an answer is refused; outside ``usual`` it is accepted and asked back.
    ``repeats`` is how many readings are asked for; their mean is the answer.
    ``by_hand``: a longer way to an answer that another question gives too; a page folds it away at first.
    """

    path: str
    title: str
    kind: Kind = "quantity"
    unit: str = ""
    possible: tuple[float, float] | None = None
    usual: tuple[float, float] | None = None
    spread: Spread = Spread()
    choices: tuple[Choice, ...] = ()
    help: str = ""
    shown_when: Condition | None = None
    repeats: int = 1
    trace: bool = False
    by_hand: bool = False

    def paths(self) -> tuple[str, ...]:
        """Return the full paths: two for a question about a leg, one for any other."""
        if "{side}" not in self.path:
            return (self.path,)
        return tuple(self.path.format(side=side) for side in SIDES)


@dataclass(frozen=True)
class Section:
    """One page of questions."""

    name: str
    title: str
    lead: str
    questions: tuple[Question, ...]


@dataclass(frozen=True)
class BenchTest:
    """One guided bench test: why, with what, how safely, step by step, and what to write down.

    ``needs`` names what a person must have: ``helper``, ``stand``, ``rear stand``, ``caps`` (skill to open fork caps),
    ``ride``, ``tape``, ``workshop``.  ``drawing`` is the name of the line drawing shown beside the steps.
    """

    name: str
    title: str
    purpose: str
    minutes: int
    tools: tuple[str, ...]
    needs: tuple[str, ...]
    safety: str
    steps: tuple[str, ...]
    drawing: str
    questions: tuple[Question, ...]


def choices(**titles: str) -> tuple[Choice, ...]:
    """Build choices from keyword arguments; an underscore in a name stands for a space in the value."""
    return tuple(Choice(name.strip("_").replace("_", " "), title) for name, title in titles.items())
