"""A key that is not in the catalogue: what was probably meant."""
from __future__ import annotations

import difflib
import re
from collections.abc import Iterable

from analysis.catalogue import QUESTIONS
from analysis.say import either, one_after_another, say

_UNIT = re.compile(
    r"_(?:n_per_mm|kgf?_per_mm|lbf?_per_in|mm_per_turn|mm2|cm2|mm|cm|in|inch|inches|ft|m|kgf?|lbs?|lbf|st|ml|cc|l|oz|floz"
    r"|bar|psi|kpa|deg|degrees|rad|n|c|f|k|s|ms|g|percent)$"
)
_EXAMPLES = say("A value in another unit goes in as text, for example \"4.3 in\".")


def without_unit(key: str) -> str:
    """Return the key without the unit at its end: ``oil_level_mm`` and ``oil_level_cm`` give ``oil_level``."""
    return _UNIT.sub("", key)


def mend_for(key: str, here: str, siblings: Iterable[str]) -> str:
    """Return what to do about the unknown ``key`` found at ``here``, where ``siblings`` would be known."""
    names = tuple(siblings)
    if len(key) > 80:
        return say("Leave it out.")
    return _same_but_unit(key, names) or _elsewhere(key, here) or _alike(key, names) or say("Leave it out.")


def _same_but_unit(key: str, names: tuple[str, ...]) -> str:
    bare = without_unit(key.casefold())
    for name in names:
        if without_unit(name) == bare:
            asked = say('Did you mean "{meant}"?', meant=name)
            return one_after_another([asked, _EXAMPLES]) if name != key.casefold() else asked
    return ""


def _elsewhere(key: str, here: str) -> str:
    """Find the key in another group, the nearest group first."""
    places = [path for path in QUESTIONS if f".{path}".endswith(f".{key}")]
    places.sort(key=lambda path: (not path.startswith(here), path.count("."), path))
    return say("It belongs at {places}, as groups inside groups.", places=either(places[:2])) if places else ""


def _alike(key: str, names: tuple[str, ...]) -> str:
    near = difflib.get_close_matches(key.casefold(), names, 1, 0.6)
    return say('Did you mean "{meant}"?', meant=near[0]) if near else ""
