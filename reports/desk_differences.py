"""Two letters side by side, with the words that differ marked."""
from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class DiffLine:
    """One line of two texts side by side; each side is a list of (kept | gone | new, words)."""

    old: tuple[tuple[str, str], ...]
    new: tuple[tuple[str, str], ...]
    same: bool


def differences(old: str, new: str) -> tuple[DiffLine, ...]:
    """Return both texts line by line, with the words that differ marked on either side."""
    before, after = old.splitlines(), new.splitlines()
    lines: list[DiffLine] = []
    for tag, a, b, c, d in difflib.SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if tag == "equal":
            lines += [DiffLine((("kept", line),), (("kept", line),), True) for line in before[a:b]]
        else:
            lines += _changed(before[a:b], after[c:d])
    return tuple(lines)


def _changed(before: Sequence[str], after: Sequence[str]) -> Iterator[DiffLine]:
    for at in range(max(len(before), len(after))):
        old = before[at] if at < len(before) else ""
        new = after[at] if at < len(after) else ""
        yield DiffLine(*_words_apart(old, new), False)


def _words_apart(old: str, new: str) -> tuple[tuple[tuple[str, str], ...], tuple[tuple[str, str], ...]]:
    before, after = re.findall(r"\s+|\S+", old), re.findall(r"\s+|\S+", new)
    left: list[tuple[str, str]] = []
    right: list[tuple[str, str]] = []
    for tag, a, b, c, d in difflib.SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        same = tag == "equal"
        if b > a:
            left.append(("kept" if same else "gone", "".join(before[a:b])))
        if d > c:
            right.append(("kept" if same else "new", "".join(after[c:d])))
    return tuple(left), tuple(right)


def unchanged_apart(lines: Iterable[DiffLine], around: int = 2) -> Iterator[DiffLine | None]:
    """Yield the changed lines with ``around`` lines of context; None stands for a stretch left out."""
    rows = list(lines)
    near = {at + by for at, line in enumerate(rows) if not line.same for by in range(-around, around + 1)}
    skipped = False
    for at, line in enumerate(rows):
        if at in near:
            yield line
        elif not skipped:
            yield None
        skipped = at not in near
