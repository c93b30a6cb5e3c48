"""What speaks against a tuner's numbers, in words: what is wrong, and what to do."""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

WHAT = {"oil": "the oil", "preload": "the preload", "spring": "the springs"}

_WORDS = {
    "stopped": "A safety sign stops the front. No numbers can be advised for it until that is put right.",
    "lock": "{leg} would be solid with oil at {value} mm, before its full stroke of {limit} mm. Take more "
            "oil out of it.",
    "spare": "{leg} would have {value} mm of air to spare at full stroke with warm oil; {limit} mm is the "
             "least. Take more oil out of it.",
    "over-filled": "in {leg} the oil would stand {value} mm higher than the papers say; {limit} mm is the "
                   "most. Set it lower.",
    "bind": "in {leg} the coils would touch at {value} mm, before the full stroke of {limit} mm. Take out "
            "preload, or pick another spring.",
    "adjuster": "the preload of {leg} would stand at {value} turns; its adjuster goes from 0{until}. Stay inside.",
    "step": "That is {value} mm of preload at once; {limit} mm is the most without hearing back. Take a smaller "
            "step.",
    "nothing": "The letter is about preload, and these numbers leave it as it is. Turn it, or judge the cause "
               "otherwise.",
    "no cause": "The draft names no cause yet, so its letter asks and changes nothing. Judge the cause first, with "
                "your reason.",
    "other work": "One thing at a time: the letter's cause is not about {what}. Put {what} back to as advised, or "
                  "judge the cause otherwise.",
}


def in_sentences(objections: Iterable[Mapping[str, Any]]) -> list[str]:
    """Return one plain sentence or two for each objection; what holds for both legs is said once."""
    said: list[str] = []
    rows = list(objections)
    for one in rows:
        other = {**one, "side": {"left": "right", "right": "left"}.get(one["side"], "")}
        if one["side"] == "right" and other in rows:
            continue
        said.append(_sentence(one, both=other in rows))
    return said


def _sentence(one: Mapping[str, Any], both: bool) -> str:
    value, limit = one["value"], one["limit"]
    words = _WORDS[one["kind"]].format(
        leg="each leg" if both else f"the {one['side']} leg", what=WHAT.get(one["side"], ""),
        value=_figure(value), limit=_figure(limit), until=f" to {_figure(limit)}" if limit else " up")
    return words[0].upper() + words[1:]


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:g}".replace("-", "−")
