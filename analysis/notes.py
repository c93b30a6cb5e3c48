"""What is collected while a document is read."""
from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from analysis.case import Answer, Doubt, Fault
from analysis.say import say

LONGEST_TEXT = 20_000

_UNKEEPABLE = re.compile("[\0\ud800-\udfff]")
"""Databases and files in UTF-8 take neither NUL nor half a surrogate pair."""


@dataclass
class Notes:
    """Answers, unknowns, doubts and faults, as they are found."""

    answers: dict[str, Answer] = field(default_factory=dict)
    unknown: set[str] = field(default_factory=set)
    doubts: list[Doubt] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    def fault(self, path: str, problem: str, mend: str) -> None:
        """Note something that cannot be accepted."""
        self.faults.append(Fault(path, problem, mend))

    def doubt(self, path: str, question: str) -> None:
        """Note something to be asked back."""
        self.doubts.append(Doubt(path, question))


def shown(value: object) -> str:
    """Return a short, safe picture of something typed, for messages."""
    if isinstance(value, str):
        return f'"{value[:40]}…"' if len(value) > 40 else f'"{value}"'
    if isinstance(value, bool) or value is None:
        return json.dumps(value)
    if isinstance(value, (int, float)):
        return f"{value:g}" if abs(value) < 1e15 or isinstance(value, float) else say("a very large number")
    if isinstance(value, (list, tuple)):
        return say("a list")
    return say("a group") if isinstance(value, Mapping) else say("something that is not JSON")


def text_is_sound(path: str, raw: object, notes: Notes) -> bool:
    """Note a fault where ``raw`` is no text that can be kept; return whether it is."""
    if not isinstance(raw, str):
        notes.fault(path, say("{raw} is not text", raw=shown(raw)), say("Put the words in quotation marks."))
    elif len(raw) > LONGEST_TEXT:
        notes.fault(path, say("this text has {raw} characters", raw=len(raw)),
                    say("Shorten it to {most} at most.", most=LONGEST_TEXT))
    elif _UNKEEPABLE.search(raw):
        notes.fault(path, say("this text holds a character that cannot be kept"),
                    say("Type it anew without odd characters."))
    else:
        return True
    return False
