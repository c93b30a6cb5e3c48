"""What a tuner fills in besides the letter: a question to the rider, and how a case ended."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from intake.services import NEVER_HEARD, PROOFS, SOMETHING_ELSE, outcomes
from reports.desk_pages import PLACES, place_of, question_title
from reports.outcome_numbers import NUMBERS
from reports.services.outcomes import LONGEST_LESSON, WAYS


class AskForm(forms.Form):
    """One question to the rider, and where its answer belongs."""

    question = forms.CharField(max_length=2000, required=False)
    place = forms.ChoiceField(required=False, choices=[("", "Anywhere"), *PLACES.items()])


class CloseForm(forms.Form):
    """How a case ended: what it was, how we know, what was done and measured, and what was learned."""

    outcome = forms.ChoiceField(label="It was, above all", choices=lambda: list(outcomes().items()),
                                error_messages={"required": "Pick what it was."})
    also = forms.MultipleChoiceField(label="And also", required=False, choices=lambda: [
        (name, title) for name, title in outcomes().items() if name not in (SOMETHING_ELSE, NEVER_HEARD)])
    proof = forms.ChoiceField(label="How do we know?", required=False, choices=list(PROOFS.items()))
    done_by = forms.ChoiceField(label="Who put it right?", required=False, choices=list(WAYS.items()))
    harm = forms.ChoiceField(label="Was anybody hurt, or nearly?", choices=[("no", "No"), ("yes", "Yes")],
                             required=False)
    words = forms.CharField(required=False, max_length=4000)
    lesson = forms.CharField(required=False, max_length=LONGEST_LESSON)

    def __init__(self, *args: Any, **named: Any) -> None:
        super().__init__(*args, **named)
        for one in NUMBERS:
            self.fields[one.name] = forms.FloatField(
                label=f"{one.title}, {one.unit}", required=False, localize=False, min_value=one.low, max_value=one.high)

    def clean(self) -> dict[str, Any]:
        """Whether somebody was hurt is never left open, unless nobody was heard of again."""
        said: dict[str, Any] = super().clean() or {}
        if said.get("outcome") not in (None, "", NEVER_HEARD) and not said.get("harm"):
            self.add_error("harm", "Say whether anybody was hurt, or nearly.")
        return said

    def as_outcome(self) -> dict[str, Any]:
        """Return what was filled in as ``record_outcome`` takes it."""
        said = {name: self.cleaned_data[name] for name in ("outcome", "also", "proof", "done_by", "words", "lesson")}
        measured = {one.name: self.cleaned_data[one.name] for one in NUMBERS
                    if self.cleaned_data.get(one.name) is not None}
        return {**said, "harm": self.cleaned_data["harm"] == "yes", "measured": measured}


def prefilled_question(findings: Mapping[str, Any], about: str) -> dict[str, str]:
    """Return the ask form's first words for ``about``: 'missing-0', 'doubt-1' or 'disagreement-0'."""
    kind, _, position = about.partition("-")
    found = findings.get({"missing": "missing", "doubt": "doubts", "disagreement": "disagreements"}.get(kind, "")) or ()
    if not position.isdecimal() or int(position) >= len(found):
        return {}
    return {"missing": _missing_question, "doubt": _doubt_question, "disagreement": _disagreement_question}[kind](
        found[int(position)])


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
