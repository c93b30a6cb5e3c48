"""The letter's first wording, made of checked sentences with numbers in their places; the tuner edits it.

Safety comes first, then the answer in one line, then what it rests on and what speaks against it, then one thing to do.
A sign that means "do not ride" leaves a letter with no adjusting advice at all.  The text uses the few marks that
``reports.markup`` reads.
"""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from analysis.case import Case
from reports.bound import bound, collecting, read
from reports.letter_open import question_letter, stop_letter, test_letter
from reports.letter_parts import Block, Findings, answer_line, bullets, plain, safety_line, section
from reports.letter_remedy import remedy_letter
from reports.phrases import at, odds_in_words, percent, quantity, with_span
from reports.sheet_words import sheets_block
from reports.told_by import told_by
from reports.tongue import tell

__all__ = [
    "BOUNDARIES", "answer_line", "joined", "letter_blocks", "letter_text", "odds_in_words", "percent", "quantity",
    "safety_line", "with_span",
]

Head = Mapping[str, Any]

BOUNDARIES = (
    _("We have not seen or touched your motorcycle. What we say rests on what you told us, and one wrong answer "
        "can make it wrong."),
    _("You, or the workshop you choose, decide whether the work is done, and must be able to do it safely."),
    _("Tightening figures and limits come from your own manual. Where it differs from this letter, the manual is "
        "right."),
    _("If anything feels unsafe, do not ride. Go to a licensed workshop."),
    _("This letter is not an inspection and does not say that the bike is fit for the road."),
    _("Nothing here takes away rights that the law gives you."),
)


def letter_text(findings: Findings, head: Head, case: Case | None = None) -> str:
    """Return the letter in words, as one text."""
    return joined(block["text"] for block in letter_blocks(findings, head, case))


def joined(texts: Iterable[str]) -> str:
    """Return the texts of a letter's blocks as one text; a block without words leaves nothing."""
    return "\n\n".join(text for text in texts if text) + "\n"


def letter_blocks(findings: Findings, head: Head, case: Case | None = None) -> list[dict[str, Any]]:
    """Return the letter as blocks in reading order: ``name``, ``text``, and the ``numbers`` in it.

    ``head`` has ``number``, ``round``, ``rider_name``, ``date`` and ``tuner``, and ``by_shop`` where a shop has the
    bike and wrote for its customer, each of which may be missing; ``case`` lets the letter quote what was answered and
    the settings to go back to.  A number says its ``path`` in the findings, ``how`` it is written, what is ``shown``
    and where that ``start``s.
    """
    with collecting() as sources, told_by(a_shop=bool(head.get("by_shop"))):
        blocks = [Block("greeting", _greeting(head)), *_body(bound(findings), case),
                  *sheets_block(findings, case),
                  *section("boundaries", tell("What this letter is and is not"), bullets(BOUNDARIES)),
                  Block("ending", _ending(head))]
        made = [(block.name, *read(str(block.text), sources)) for block in blocks if block.text]
    return [{"name": name, "text": text, "numbers": numbers} for name, text, numbers in made]


def _body(findings: Findings, case: Case | None) -> list[Block]:
    kind = at(findings, "verdict", "kind")
    if findings.get("stop_riding") or kind == "stop":
        return stop_letter(findings, case)
    if kind == "do not fit together":
        return question_letter(findings, case)
    if kind == "cause" and at(findings, "verdict", "cause"):
        return remedy_letter(findings, case)
    return test_letter(findings, case)


def _greeting(head: Head) -> str:
    """A shop writes down what it calls its customer, which is often no name to be greeted by."""
    name = "" if head.get("by_shop") else plain(str(head.get("rider_name") or ""))
    return tell("Hello {name},", name=name) if name else tell("Hello,")


def _ending(head: Head) -> str:
    parts = [tell("Case {number}", number=head["number"]) if head.get("number") else "",
             tell("round {round}", round=head["round"]) if head.get("round") else "",
             plain(str(head.get("date") or "")), plain(str(head.get("tuner") or ""))]
    return ", ".join(part for part in parts if part)
