"""A rider with a browser, for the tests of the rider's pages."""
from __future__ import annotations

import html
import re

from django.test import Client
from django.urls import reverse

from analysis.catalogue.safety import SAFETY
from intake.models import Case


class Rider:
    """Someone who starts a case and goes through its pages."""

    def __init__(self, email: str = "") -> None:
        self.client = Client()
        answer = self.client.post(reverse("case-start"), {"rider_name": "Rider", "rider_email": email})
        self.number = answer.url.strip("/").split("/")[0]

    @property
    def case(self) -> Case:
        return Case.objects.get(number=self.number)

    @property
    def document(self) -> dict:
        return self.case.current_round.document

    def url(self, name: str, *more: str) -> str:
        return reverse(name, args=[self.number, *more])

    def read(self, name: str, *more: str) -> str:
        return self.client.get(self.url(name, *more)).content.decode()

    def save(self, section: str, **answers):
        """Post a section's page; ``__`` in a name stands for a dot."""
        return self.client.post(self.url("section", section), _dotted(answers))

    def measure(self, test: str, **answers):
        return self.client.post(self.url("bench-test", test), {"then": "stay"} | _dotted(answers))

    def answer_first(self, **answers):
        """Answer the eight first questions; the bike is safe and the rider can do every test."""
        usual = {
            "complaint.words": "It stops hard two thirds down.", "complaint.symptoms": ["stops hard"],
            "complaint.symptoms~shown": "1", "complaint.since": "always", "service.done": ["oil"],
            "service.done~shown": "1", "bike.kind": "road", "rider.mass_kg": "85", "fork.damper": "damper rod",
            "rider.can": ["helper", "stand", "rear stand", "tape", "caps", "ride"], "rider.can~shown": "1",
            "checklist~none": "1", "then": "list"}
        signs = {f"{question.path}~listed": "1" for question in SAFETY.questions}
        return self.client.post(self.url("section", "first"), usual | signs | _dotted(answers))

    def complain(self):
        return self.save("complaint", complaint__words="It stops hard two thirds down.")


def _dotted(answers: dict) -> dict:
    return {name.replace("__", "."): value for name, value in answers.items()}


def words_of(page: str) -> str:
    """Return what a person reads of a page, blanks squeezed."""
    plain = re.sub(r"<(script|style|svg)\b.*?</\1>|<[^>]+>", " ", page, flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(plain))
