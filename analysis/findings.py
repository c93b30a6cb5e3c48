"""The findings: everything the engine says of a case, ready to be written as JSON."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from analysis.disagreement import Disagreement
from analysis.estimates import Assumed
from analysis.gates import Gate
from analysis.say import phrases_in
from analysis.verdict import Verdict

SCHEMA = 1
ENGINE_VERSION = "1.0.0"

Document = dict[str, Any]


@dataclass(frozen=True)
class Findings:
    """What the engine found.  Every part is in the trade's units, as the file shows it."""

    fork: Mapping[str, Any]
    sag: Mapping[str, Any] | None
    preload: Mapping[str, Any]
    service: Mapping[str, Any] | None
    shock: Mapping[str, Any] | None
    chassis: Mapping[str, Any] | None
    damping: Mapping[str, Any] | None
    causes: Sequence[Mapping[str, Any]]
    hidden: Sequence[Mapping[str, Any]]
    verdict: Verdict
    next_test: Mapping[str, Any] | None
    tests: Sequence[Mapping[str, Any]]
    gates: Sequence[Gate]
    ride_gently: str | None
    cautions: Sequence[str]
    assumed: Sequence[Assumed]
    doubts: Sequence[Mapping[str, str]]
    disagreements: Sequence[Disagreement]
    missing: Sequence[Mapping[str, str]]
    advice: Sequence[Mapping[str, Any]]
    marks: Mapping[str, Any]
    curves: Sequence[Mapping[str, Any]]
    engines_verdict: Verdict | None = None
    """What the engine would have said, where a tuner judged otherwise."""

    def as_document(self) -> Document:
        """Return the findings as plain lists, dictionaries, numbers and text.

        ``phrases`` says of each sentence, by its English text, how it was made, so that it can be said in another
        language.
        """
        document = self._parts()
        if self.engines_verdict is not None:
            document["engines_verdict"] = _plain(asdict(self.engines_verdict))
        return document | {"phrases": phrases_in(document)}

    def _parts(self) -> Document:
        return {
            "schema": SCHEMA, "engine": ENGINE_VERSION,
            "verdict": _plain(asdict(self.verdict)),
            "stop_riding": bool(self.gates), "stop_reasons": [asdict(gate) for gate in self.gates],
            "ride_gently": self.ride_gently,
            "fork": dict(self.fork), "sag": self.sag, "preload": self.preload, "service": self.service,
            "shock": self.shock, "chassis": self.chassis, "damping": self.damping,
            "causes": list(self.causes), "hidden": list(self.hidden), "next_test": self.next_test,
            "tests": list(self.tests),
            "cautions": list(self.cautions), "assumed": [asdict(a) for a in self.assumed],
            "doubts": list(self.doubts), "disagreements": [_plain(asdict(d)) for d in self.disagreements],
            "missing": list(self.missing), "advice": list(self.advice), "marks": self.marks,
            "curves": list(self.curves),
        }


def _plain(part: Document) -> Document:
    return {key: list(value) if isinstance(value, tuple) else value for key, value in part.items()}
