"""The findings document as JSON Schema 2020-12: what every number is, in which unit, and where it can be null."""
from __future__ import annotations

from analysis.catalogue import BENCH_TESTS
from analysis.causes import CAUSES
from analysis.findings import SCHEMA
from analysis.findings_schema_ends import chassis_schema, damping_schema, shock_schema
from analysis.findings_schema_fork import (
    curve_schema,
    fork_schema,
    marks_schema,
    preload_schema,
    sag_schema,
    service_schema,
)
from analysis.schema_words import (
    PATH,
    Schema,
    assumed_schema,
    group,
    listing,
    number,
    one_of,
    or_null,
    text,
    texts,
    yes_no,
)

_LEAD = (
    "What the engine says of one case. The unit of a number stands at the end of its key. 'found' is as the answers "
    "say it is, 'book' as the papers want it, 'advised' with the advice followed. A sentence is plain English, and "
    "'phrases' says how it was made. Findings are not advice: a tuner judges them."
)
_CAUSES = tuple(cause.name for cause in CAUSES)
_TESTS = tuple(test.name for test in BENCH_TESTS)


def findings_schema() -> Schema:
    """Return the JSON Schema of a findings document (``Findings.as_document``); every part lists all of its keys."""
    parts: Schema = {
        "schema": {"const": SCHEMA, "description": "The number of this form of document."},
        "engine": text("The version of the engine."),
        **_judgement(), **_safety(),
        "fork": fork_schema(), "sag": sag_schema(), "preload": preload_schema(), "service": service_schema(),
        "shock": shock_schema(), "chassis": chassis_schema(), "damping": damping_schema(),
        **_loose_ends(), "marks": marks_schema(), "curves": curve_schema(), "phrases": _phrases(),
    }
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Suspension findings",
            **group(_LEAD, parts, ("engines_verdict",))}


def _judgement() -> Schema:
    verdict = group("What may be said in one line.", {
        "kind": one_of(("cause", "cannot tell yet", "do not fit together", "stop"),
                       "Whether a cause may be named at all. stop: a safety sign comes before every cause."),
        "cause": or_null(one_of(_CAUSES, "The name of the cause."), "none is named."),
        "words": text("The verdict as a sentence."),
        "why_open": texts("What keeps it open."),
    })
    cause = group("One cause.", {
        "name": one_of(_CAUSES, "Its name."), "title": text("Its name for people."),
        "probability": number("Share of 1, over all causes of this list together."),
        "standard_error": number("Standard error of the probability from the number of draws, share of 1."),
        "remedy": text("The kind of work that would put it right; causes with one remedy need not be told apart."),
        "moved_by": texts("The answers that moved it most; only for the likeliest three."),
        "bits": listing(group("One answer.", {"path": text(PATH), "moved_bits": number(
            "By how much it moved the cause's log odds, bits; below 0 against it.")}), "What moved it, most first."),
    })
    hidden = group("One quantity that nobody can read off.", {
        "name": text("What it is."), "unit": one_of(("ml", "mm", "N", ""), "Its unit; blank for a share of 1."),
        "low": number("5 % point, in the unit."), "middle": number("50 % point, in the unit."),
        "high": number("95 % point, in the unit."),
    })
    test = group("The test that tells most for its minutes.", {
        "name": one_of(_TESTS, "Its name."), "title": text("Its name for people."), "why": text("What it is for."),
        "minutes": number("How long it takes, minutes."),
        "gain_bits": number("Information that it is expected to give, bits."),
        "by_workshop": yes_no("A workshop has to do it."),
        "expect": listing(group("One cause.", {"cause": text("The cause, named for people."),
                                               "words": text("What the test would show.")}),
                          "What it would show for each likely cause."),
        "answers": listing(_meaning(), "What each answer would mean."),
    })
    engines = verdict | {"description": "What the engine would have said, where a tuner judged otherwise."}
    return {"verdict": verdict, "engines_verdict": engines,
            "causes": listing(cause, "All causes that this bike can have, likeliest first."),
            "hidden": listing(hidden, "What lies behind the answers, over all causes."),
            "next_test": or_null(test, "none is worth doing, or a safety sign comes first."),
            "tests": listing(test, "The best three to pick from, best first; the first of them is the next test.")}


def _meaning() -> Schema:
    return group("One answer that the test can have.", {
        "title": text("What is asked or read."),
        "answer": text("The answer that is picked; blank for a number."),
        "low": or_null(number("The number is at least this, in the unit."), "it has no lower end, or is no number."),
        "high": or_null(number("The number is at most this, in the unit."), "it has no upper end, or is no number."),
        "unit": text("Its unit; blank where an answer is picked."),
        "chance": number("How likely this answer is, share of 1."),
        "cause": text("The likeliest cause with this answer, named for people."),
        "probability": number("That cause's probability with this answer alone added, share of 1."),
    })


def _safety() -> Schema:
    gate = group("One sign that means: do not ride.", {
        "name": text("Its name."), "end": one_of(("front", "rear", "both"), "The end of the bike that it stops."),
        "reason": text("What was seen."), "do": text("What to do about it."),
    })
    return {"stop_riding": yes_no("True where any sign was found. No number outvotes it; false is no all-clear."),
            "stop_reasons": listing(gate, "Every such sign."),
            "ride_gently": or_null(text("How to ride until it is put right."), "nothing speaks for it, or it is not "
                                   "to be ridden at all."),
            "cautions": texts("What to take care of with the work on this case.")}


def _loose_ends() -> Schema:
    doubt = group("One answer that is possible and unusual.", {"path": text(PATH), "question": text("Asked back.")})
    clash = group("Two answers that cannot both be right.", {
        "between": listing({"type": "string"}, "Their titles.") | {"minItems": 2, "maxItems": 2},
        "words": text("What does not fit."), "ask": text("What to ask."),
        "paths": listing({"type": "string"}, "Their questions' paths."),
        "fits_if": text("The one slip, or the two, with which all would fit; blank where there is none or more."),
    })
    missing = group("One question.", {"path": text(PATH), "title": text("The question's title."),
                                      "why": text("Why it would help.")})
    advice = group("One piece of advice.", {
        "title": text("What to do."), "steps": texts("How, in this order."),
        "expect": text("What it should lead to, as bands."),
        "by_workshop": yes_no("A workshop has to do it, although riders mostly do such work themselves."),
    })
    return {"assumed": assumed_schema(), "doubts": listing(doubt, "Answers to be asked back."),
            "disagreements": listing(clash, "Answers that contradict each other."),
            "missing": listing(missing, "What would help most and is not answered, or only guessed."),
            "advice": listing(advice, "What to do; empty where a safety sign stops that end of the bike.")}


def _phrases() -> Schema:
    made = group("How one sentence was made.", {
        "template": text("The sentence with its slots in braces."),
        "slots": {"type": "object", "additionalProperties": {"type": "string"},
                  "description": "What stands in each slot: a number as text, a title, or another phrase."},
    })
    return {"type": "object", "additionalProperties": made,
            "description": "By its English text, how each sentence was made, so that it can be said in another "
                           "language."}
