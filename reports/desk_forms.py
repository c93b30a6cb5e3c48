"""What a tuner fills in besides the letter: a question to the rider, and how a case ended."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from intake.services import PROOFS, outcomes
from reports.desk_pages import PLACES, place_of, question_title


class AskForm(forms.Form):
    """One question to the rider, and where its answer belongs."""

    question = forms.CharField(max_length=2000, error_messages={"required": "Write what you want to know."})
    place = forms.ChoiceField(required=False, choices=[("", "Anywhere"), *PLACES.items()])


class CloseForm(forms.Form):
    """How a case ended: what it was, how we know, and in words what was learned."""

    outcome = forms.ChoiceField(label="It was", choices=lambda: list(outcomes().items()),
                                error_messages={"required": "Pick what it was."})
    proof = forms.ChoiceField(label="How do we know?", required=False, choices=list(PROOFS.items()))
    words = forms.CharField(required=False, max_length=4000)


def prefilled_question(findings: Mapping[str, Any], about: str) -> dict[str, str]:
    """Return the ask form's first words for ``about``: 'next-test', or 'missing-0', 'doubt-1', 'disagreement-0'."""
    if about == "next-test" and findings.get("next_test"):
        return _test_question(findings["next_test"])
    kind, _, position = about.partition("-")
    found = findings.get({"missing": "missing", "doubt": "doubts", "disagreement": "disagreements"}.get(kind, "")) or ()
    if not position.isdecimal() or int(position) >= len(found):
        return {}
    return {"missing": _missing_question, "doubt": _doubt_question, "disagreement": _disagreement_question}[kind](
        found[int(position)])


def _test_question(test: Mapping[str, Any]) -> dict[str, str]:
    minutes = f" It takes about {test['minutes']} minutes." if test.get("minutes") else ""
    return {"place": place_of(test["name"]), "question": (
        f"Thank you for what you sent. One more test would help most: {test['title']}. {test['why']}{minutes} "
        "If you cannot do it, say so and we find another way.")}


def _missing_question(one: Mapping[str, Any]) -> dict[str, str]:
    return {"place": place_of(one["path"]), "question": (
        f"Could you tell us one more thing: {question_title(one['path'])}? {one['why']} "
        "If you do not know, 'not known' is a good answer.")}


def _doubt_question(one: Mapping[str, Any]) -> dict[str, str]:
    return {"place": place_of(one["path"]), "question": f"May we ask back? {one['question']}"}


def _disagreement_question(one: Mapping[str, Any]) -> dict[str, str]:
    place = next((place_of(path) for path in one["between"] if place_of(path)), "")
    return {"place": place, "question": (
        f"Two of your answers do not fit together for us; we may have misread one. {one['words']} {one['ask']}")}
