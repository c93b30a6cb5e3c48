"""Every sentence of the diary is said in the rider's language, and says no tuner's name."""
from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from django.utils.translation import override

from reports.diary_words import SAID, SHORTER, in_words, who_in_words
from reports.shelf_models import Fee

BASE = Path(__file__).resolve().parents[2]
WRITERS = {"record_event", "_record", "_record_by", "save_blocks"}
FILES = sorted(path for room in ("intake", "reports") for path in (BASE / room).rglob("*.py")
               if WRITERS & set(re.findall(r"\w+", path.read_text())))


def written(path: Path) -> Iterator[str]:
    """Yield every sentence that a file writes into the diary, its slots filled with X."""
    tree = ast.parse(path.read_text())
    module = import_module(".".join(path.relative_to(BASE).with_suffix("").parts))
    for call in (node for node in ast.walk(tree) if isinstance(node, ast.Call)):
        name = getattr(call.func, "id", getattr(call.func, "attr", ""))
        if name in WRITERS - {"save_blocks"}:
            for part in (*call.args[1:], *(word.value for word in call.keywords if word.arg == "what")):
                yield from _texts(part, tree, module)


def _texts(node: ast.expr, tree: ast.Module, module: Any) -> Iterator[str]:
    if isinstance(node, ast.JoinedStr):
        yield "".join(part.value if isinstance(part, ast.Constant) else "X" for part in node.values)
    elif isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield from [node.value] if node.value.endswith((".", "}")) else []
    elif isinstance(node, ast.IfExp):
        yield from (*_texts(node.body, tree, module), *_texts(node.orelse, tree, module))
    elif isinstance(node, ast.Name) and isinstance(getattr(module, node.id, None), str):
        yield getattr(module, node.id)
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):  # A_SENTENCE.format(...)
        yield from (re.sub(r"\{\w+\}", "X", text) for text in _texts(node.func.value, tree, module))
    elif isinstance(node, ast.Call):
        yield from (re.sub(r"\{\w+\}", "X", text) for text in _of_function(node, tree, module))


def _of_function(call: ast.Call, tree: ast.Module, module: Any) -> Iterator[str]:
    """Yield the sentences that a function of the same file picks from."""
    for made in ast.walk(tree):
        if isinstance(made, ast.FunctionDef) and made.name == getattr(call.func, "id", ""):
            for table in (node for node in ast.walk(made) if isinstance(node, ast.Dict)):
                for value in table.values:
                    yield from _texts(value, tree, module)


ALL = sorted({text for path in FILES for text in written(path)} - {"Fee X."} | {f"Fee {state}." for state in Fee.State})


def test_the_sentences_are_found_at_all():
    assert len(ALL) > 50 and "Handed over to X." in ALL and "Letter mailed to X." in ALL


@pytest.mark.parametrize("written", ALL)
@pytest.mark.parametrize("language", ["de", "es"])
def test_every_sentence_that_is_written_down_is_said_in_the_language(written, language):
    with override("en"):
        english = in_words(written)
    with override(language):
        said = in_words(written)
    assert said != english and said != written


@pytest.mark.parametrize("language", ["en", "de", "es"])
def test_what_changes_in_a_sentence_stays_in_it(language):
    with override(language):
        assert "7" in in_words("Round 7 opened.")
        assert "anna@example.org" in in_words("Letter mailed to anna@example.org.")
        assert "3" in in_words("New number taken in 'Take care', version 3.")


@pytest.mark.parametrize("language", ["en", "de", "es"])
def test_no_tuner_is_named(language):
    with override(language):
        for sentence in ("Taken over from kim.", "Handed over to kim."):
            assert "kim" not in in_words(sentence)
        assert "kim" not in who_in_words("kim", of_ours=True)


def test_what_nobody_listed_stays_as_it_was_written_down():
    with override("de"):
        assert in_words("Letter read.") == "Letter read."


def test_no_sentence_is_listed_that_nobody_writes():
    listed = {re.sub(r"\{\w+\}", "X", text).strip() for text in (*SAID, *SHORTER)}
    stems = {text.split("X")[0] for text in listed}
    assert not [stem for stem in stems if not any(text.startswith(stem) for text in ALL)]
