"""A sign that means "do not ride" and advice on settings never stand in the same letter, whoever wrote the words.

It is held against the words as they are about to leave: the engine's own stop letter has no block of adjustments, and
an edit cannot bring one in.  Rather a harmless sentence refused than an adjustment let through.
"""
from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from difflib import SequenceMatcher
from typing import Any

from reports.letter_words import WHOLE

ADJUSTING = frozenset({"do", "cautions", "steps", "see", "otherwise", "undo", "results mean", "answer"})
"""Blocks that a stop letter does not have."""
ON_RIDING = ("riding", WHOLE)
"""Blocks that say whether to ride: its own, or a letter whose parts are not known."""
SETTINGS = re.compile(
    r"(?ix) \b(preload|rebound|compression|damping|clicks?|spacers?|oil\ levels?|air\ (gap|pressure)|fork\ oil|"
    r"spring\ rates?|stiffer|softer|drain|draw\ off|pour|refill|top\ up|"
    r"vorspannung\w*|zugstufe\w*|druckstufe\w*|dämpfung\w*|klicks?|rasten?|ölst[aä]nd\w*|öl(menge|füllung)\w*|gabelöl\w*|"
    r"luftdruck\w*|luftpolster\w*|luftkammer\w*|federraten?|\w*hülsen?|härter|weicher|ablassen|absaugen|einfüllen|"
    r"precarga|rebote|extensión|compresión|amortiguación|clics?|nivel(es)?\ de(l)?\ aceite|aceite\ de\ horquilla|"
    r"presión\ de(l)?\ aire|cámara\ de\ aire|separador(es)?|muelles?\ más|más\ (duro|blando)s?|vaciar|extraer|"
    r"verter|rellenar|knobs?|adjusters?|tube\ heights?|einsteller\w*|verstell\w*|ajustador(es)?|regulador(es)?)\b "
    r"| \d[\d.,]*\s?(ml|cc|cm³|mm|n/mm|bar|kpa|psi|%?\s?turns?|umdrehung\w*|vueltas?)\b"
    r"| \b(turns?|umdrehung\w*|vueltas?)\s(in|out|hinein|heraus|rein|raus|hinaus|dentro|fuera|adentro|afuera)\b")
"""Words that settings are told in, in every language of a letter."""
DO_NOT_RIDE = re.compile(r"(?i)\b(do not ride|don't ride|fahre?\b.{0,30}\bnicht|nicht fahren|"
                         r"no (conduzcas|montes|circules|ruedes|uses la moto))")


def is_stop(findings: Mapping[str, Any]) -> bool:
    """Tell whether the findings mean: do not ride."""
    verdict = findings.get("verdict") or {}
    return bool(findings.get("stop_riding")) or verdict.get("kind") == "stop"


def advice_beside_stop(blocks: Sequence[Mapping[str, Any]], findings: Mapping[str, Any]) -> str:
    """Return the first words by which a stop and advice would leave in one letter; blank where none do.

    Words that the engine wrote are not looked at again: its stop letter quotes the rider's own settings.
    """
    if is_stop(findings):
        return next((words for block in blocks for words in _advice(block)), "")
    riding = next((block for block in blocks if block["name"] == "riding"), None)
    stops = riding is not None and any(
        DO_NOT_RIDE.search(_bare(line)) for line in added(riding["written"], riding["text"]))
    if riding is None or not stops:
        return ""
    return next((block["text"].split("\n")[-1] for block in blocks if block["name"] in ADJUSTING and block["text"]), "")


def takes_stop_out(blocks: Sequence[Mapping[str, Any]], findings: Mapping[str, Any]) -> bool:
    """Tell whether somebody's words on riding no longer say "do not ride" where the findings mean it."""
    return is_stop(findings) and any(
        block["name"] in ON_RIDING and block["text"] != block["written"]
        and not DO_NOT_RIDE.search(_bare(block["text"])) for block in blocks)


def _advice(block: Mapping[str, Any]) -> Iterable[str]:
    if block["name"] in ADJUSTING and block["text"].strip():
        yield block["text"].strip().split("\n")[-1]
    lines = added(block["written"], block["text"])
    yield from (line for line in [*lines, " ".join(lines)] if SETTINGS.search(_bare(line)))


def _bare(text: str) -> str:
    """Return the words without marks and with plain spaces, so that neither hides one."""
    return " ".join(re.sub(r"[*_`\\]", "", text).split())


def added(written: str, text: str) -> list[str]:
    """Return the lines of ``text`` that the engine did not write."""
    old, new = written.split("\n"), text.split("\n")
    matcher = SequenceMatcher(None, old, new, autojunk=False)
    return [line for tag, _, _, start, end in matcher.get_opcodes() if tag != "equal" for line in new[start:end]
            if line.strip()]
