"""Reading and writing answers of a nested case document by their dotted paths."""
from __future__ import annotations

import json
import math
from typing import Any

from django.utils.translation import gettext as _

from intake.errors import Refused

DEEPEST = 12
LONGEST_TEXT = 20_000
Changes = dict[str, dict[str, Any]]
"""By path: ``was`` where there was an answer before, ``now`` where there is one after."""


def is_blank(raw: object) -> bool:
    """Tell whether nothing was typed.  ``None`` is an answer: asked, and not known."""
    if isinstance(raw, dict):
        return raw.get("known") != "unknown" and ("value" not in raw or is_blank(raw["value"]))
    return (isinstance(raw, str) and not raw.strip()) or raw == [] or raw == ()


def same(one: object, other: object) -> bool:
    """Tell whether two answers were typed alike; in Python 1 equals True, in a document it does not."""
    return json.dumps(one, sort_keys=True) == json.dumps(other, sort_keys=True)


def storable(raw: Any, depth: int = 0) -> Any:
    """Return ``raw`` as both databases can keep it: no NUL, no half surrogate, no endless number, not too deep."""
    if depth > DEEPEST:
        raise Refused(_("The document is nested too deeply."),
                      _("Follow the case document's schema: it is five levels deep."))
    if isinstance(raw, dict):
        return {storable(str(key), depth): storable(value, depth + 1) for key, value in raw.items()}
    if isinstance(raw, (list, tuple)):
        return [storable(item, depth + 1) for item in raw]
    if isinstance(raw, float) and not math.isfinite(raw):
        return str(raw)
    return _storable_text(raw) if isinstance(raw, str) else raw


def _storable_text(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise Refused(_("One text has %(number)d characters; %(most)d fit.") % {
            "number": len(text), "most": LONGEST_TEXT}, _("Shorten it, or send a photo of the page."))
    return text.replace("\x00", "").encode("utf-8", "replace").decode("utf-8")


def at_path(document: object, path: str) -> tuple[bool, Any]:
    """Return whether the document holds something at ``path``, and what."""
    for key in path.split("."):
        if not isinstance(document, dict) or key not in document:
            return False, None
        document = document[key]
    return True, document


def put(document: dict[str, Any], path: str, raw: Any, changes: Changes) -> None:
    """Write one answer, or take it away where it is blank, and note the change."""
    there, was = at_path(document, path)
    blank = is_blank(raw)
    if (blank and not there) or (there and not blank and same(was, raw)):
        return
    changes[path] = ({"was": was} if there else {}) | ({} if blank else {"now": raw})
    if blank:
        _take_away(document, path.split("."))
    else:
        _branch(document, path, changes)[path.rpartition(".")[2]] = raw


def _branch(document: dict[str, Any], path: str, changes: Changes) -> dict[str, Any]:
    keys = path.split(".")[:-1]
    for depth, key in enumerate(keys, start=1):
        inner = document.get(key)
        if not isinstance(inner, dict):
            if inner is not None:  # somebody's file had a plain value where a part belongs: keep it in the diary
                changes[".".join(keys[:depth])] = {"was": inner}
            inner = document[key] = {}
        document = inner
    return document


def _take_away(document: dict[str, Any], keys: list[str]) -> None:
    if len(keys) > 1:
        _take_away(document[keys[0]], keys[1:])
        if document[keys[0]]:
            return
    del document[keys[0]]


def answers_of(document: object, prefix: str = "") -> dict[str, Any]:
    """Return every answer of a document by its path: an object with ``value`` or ``known`` is one answer."""
    if not isinstance(document, dict) or (prefix and ("value" in document or "known" in document)):
        return {prefix: document}
    found: dict[str, Any] = {}
    for key, inner in document.items():
        found |= answers_of(inner, f"{prefix}.{key}" if prefix else key)
    return found
