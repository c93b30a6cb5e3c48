"""Every sentence that can be translated: found in the code, in the templates and in the catalogue."""
from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from pathlib import Path
from typing import Any

from django.utils.translation.template import templatize

BASE = Path(__file__).resolve().parent.parent
ROOMS = ("analysis", "intake", "reports", "deploy")
MARKS = frozenset({"say", "tell", "_", "gettext", "gettext_lazy", "gettext_noop", "ngettext", "ngettext_lazy"})
"""Calls whose first text is a sentence."""
PLURAL = frozenset({"ngettext", "ngettext_lazy"})
NAMES = frozenset({"name", "path", "unit", "kind", "value", "needs", "drawing", "remedy", "known", "shown_when", "sees",
                   "test", "onset", "paths", "settle", "place", "skips", "when", "unless", "values"})
"""Fields of the catalogue that hold names, not words."""
_TEXT = r"""(?:u?'(?:[^'\\]|\\.)*'|u?"(?:[^"\\]|\\.)*")"""
_IN_TEMPLATE = re.compile(rf"\b(?P<call>_|gettext|ngettext)\(\s*(?P<one>{_TEXT})(?:\s*,\s*(?P<many>{_TEXT}))?",
                          re.DOTALL)


@dataclass(frozen=True)
class Sentence:
    """One sentence in English, its plural where it has one, and the file it stands in."""

    text: str
    plural: str
    place: str


def sentences() -> list[Sentence]:
    """Return every sentence once for each file it stands in, in the order of the files."""
    found = [*_of_the_catalogue()]
    for room in ROOMS:
        for path in sorted((BASE / room).rglob("*.py")):
            if "migrations" not in path.parts:
                found += _of_code(path)
        for path in sorted(path for kind in ("html", "txt") for path in (BASE / room).rglob(f"templates/**/*.{kind}")):
            found += _of_template(path)
    return list(dict.fromkeys(one for one in found if re.search(r"[^\W\d_]{2}", re.sub(r"\{\w*\}", "", one.text))))


def _place(path: Path) -> str:
    return path.relative_to(BASE).as_posix()


def _of_code(path: Path) -> Iterator[Sentence]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    calls = (node for node in ast.walk(tree) if isinstance(node, ast.Call) and _called(node) in MARKS and node.args)
    for call in calls:
        if _called(call) in PLURAL:
            one, many = (_plain(argument) for argument in call.args[:2])
            yield Sentence(one, many, _place(path))
        else:
            yield from (Sentence(text, "", _place(path)) for text in _texts(call.args[0], tree))


def _called(call: ast.Call) -> str:
    return call.func.id if isinstance(call.func, ast.Name) else ""


def _plain(node: ast.expr) -> str:
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def _texts(node: ast.expr, tree: ast.Module) -> Iterator[str]:
    """Return what a sentence can be: a text, one of two, or what a variable or function of this file holds."""
    if isinstance(node, ast.Constant):
        yield from (text for text in (_plain(node),) if text)
    elif isinstance(node, ast.IfExp):
        yield from (*_texts(node.body, tree), *_texts(node.orelse, tree))
    elif isinstance(node, ast.Name):
        yield from (text for value in _assigned(node.id, tree) for text in _within(value))
    elif isinstance(node, ast.Call):
        yield from (text for made in ast.walk(tree) if isinstance(made, ast.FunctionDef) and made.name == _called(node)
                    for back in ast.walk(made) if isinstance(back, ast.Return) and back.value is not None
                    for text in _within(back.value))


def _assigned(name: str, tree: ast.Module) -> Iterator[ast.expr]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign) and any(_names(target, name) for target in node.targets):
            yield node.value
        elif isinstance(node, ast.For | ast.comprehension) and _names(node.target, name):
            yield node.iter


def _names(target: ast.expr, name: str) -> bool:
    return any(isinstance(part, ast.Name) and part.id == name for part in ast.walk(target))


def _within(node: ast.expr) -> Iterator[str]:
    """Return the sentences inside an expression: texts of several words that are not names of files or keys."""
    yield from (text for part in ast.walk(node) if isinstance(part, ast.Constant) and " " in (text := _plain(part)))


def _of_template(path: Path) -> Iterator[Sentence]:
    made = templatize(path.read_text(encoding="utf-8"), origin=str(path))
    for hit in _IN_TEMPLATE.finditer(made):
        one, many = (ast.literal_eval(hit[part]) if hit[part] else "" for part in ("one", "many"))
        yield Sentence(one, many if hit["call"] == "ngettext" else "", _place(path))


def _of_the_catalogue() -> Iterator[Sentence]:
    from analysis.answers import KNOWN
    from analysis.catalogue import BENCH_TESTS, SECTIONS, SIDES
    from analysis.catalogue.bench import BEFORE_ANY_TEST
    from analysis.catalogue.branches import BRANCHES, LEADS
    from analysis.catalogue.first import FIRST_STEPS, WANTED
    from analysis.causes import CAUSES
    from intake.stations import FIRST, NEEDS
    from reports.remedies import REMEDIES
    from reports.remedies_by_cause import BY_CAUSE, KEPT_CLOSED, SPACERS

    for place, record in (("analysis/catalogue", (SECTIONS, BENCH_TESTS, BEFORE_ANY_TEST)),
                          ("analysis/catalogue/first.py", (FIRST_STEPS, WANTED)),
                          ("analysis/catalogue/branches.py", (BRANCHES, LEADS)),
                          ("intake/stations.py", (FIRST, NEEDS)), ("analysis/causes.py", CAUSES),
                          ("reports/remedies.py", REMEDIES),
                          ("reports/remedies_by_cause.py", (BY_CAUSE, KEPT_CLOSED, SPACERS))):
        yield from (Sentence(text, "", place) for text in _words_of(record))
    yield from (Sentence(word, "", "analysis/answers.py") for word in (*SIDES, *KNOWN))


def _words_of(record: Any) -> Iterator[str]:
    if isinstance(record, str):
        yield from (record,) if record else ()
    elif is_dataclass(record):
        for field in fields(record):
            yield from () if field.name in NAMES else _words_of(getattr(record, field.name))
    elif isinstance(record, Mapping):
        yield from (text for part in record.values() for text in _words_of(part))
    elif isinstance(record, list | tuple):
        yield from (text for part in record for text in _words_of(part))
