"""What is said when a rule stands in the way."""
from __future__ import annotations


class Refused(Exception):
    """Something cannot be done as things stand: ``problem`` says why, ``mend`` says what to do instead."""

    def __init__(self, problem: str, mend: str) -> None:
        super().__init__(f"{problem} {mend}")
        self.problem = problem
        self.mend = mend
