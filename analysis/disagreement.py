"""What a disagreement is: two answers that cannot both be right."""
from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Disagreement:
    """Two answers that cannot both be right: their titles, the finding in words, what to ask, and their paths.

    ``fits_if`` names the one slip, or the two, with which everything would fit; blank where there is none, or more.
    """

    between: tuple[str, str]
    words: str
    ask: str
    paths: tuple[str, ...]
    fits_if: str = ""
