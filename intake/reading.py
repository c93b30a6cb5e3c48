"""What the engine says about a document while it is still being filled in."""
from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

from django.utils.translation import gettext as _

from analysis.bounce_sources import FRONT, REAR, Sources
from analysis.damping_part import bounce_part
from analysis.document import Case, CaseFaults, Fault, parse_case
from analysis.gates import Gate, opening_is_workshop_only, safety_gates
from analysis.sag import Sag, sag_from_readings
from intake.paths import at_path, put
from intake.services import check_document

BOUNCES: Mapping[str, Sources] = {"rebound": FRONT, "rear_bounce": REAR}
"""The bench tests that let the bike bounce, each with the sources of its damping ratio."""


def faults_before_handing_in(document: Mapping[str, Any]) -> tuple[Fault, ...]:
    """Return every fault that stops the hand-in."""
    try:
        check_document(document)
    except CaseFaults as caught:
        return caught.faults
    return ()


def readable_case(document: Mapping[str, Any]) -> Case | None:
    """Return the case without its faulty answers; None where nothing can be read at all."""
    sound = deepcopy(dict(document))
    for _pass in range(3):  # a fault can hide another one behind it
        try:
            return parse_case(sound)
        except CaseFaults as caught:
            for fault in caught.faults:
                if fault.path and at_path(sound, fault.path)[0]:
                    put(sound, fault.path, "", {})
    return None


def stop_signs(case: Case | None) -> tuple[Gate, ...]:
    """Return the safety gates that the answers trip so far, whatever else is still wrong with them."""
    return safety_gates(case) if case is not None else ()


def workshop_only(case: Case | None) -> tuple[str, ...]:
    """Return why the fork is not to be opened at home; empty where nothing speaks against it."""
    return opening_is_workshop_only(case) if case is not None else ()


def sag_results(case: Case | None) -> list[tuple[str, Sag]]:
    """Return free sag and rider sag from the readings, as far as all three readings of each are there."""
    if case is None:
        return []
    found = []
    for name in ("free", "rider"):
        paths = ("extended", f"{name}_from_below", f"{name}_from_above")
        answers = [case.answer(f"bench.sag.{path}_mm") for path in paths]
        if all(answer is not None for answer in answers):
            extended, below, above = (float(answer.value) for answer in answers)
            title = _("Free sag") if name == "free" else _("Rider sag")
            found.append((title, sag_from_readings(extended, below, above, answers[0].sd)))
    return found


def bounce_result(case: Case | None, test: str) -> dict[str, Any] | None:
    """Return what the engine makes of a bounce; None where the test is another one or nothing was read off a film."""
    part = bounce_part(case, BOUNCES[test]) if case is not None and test in BOUNCES else None
    return part if part and (part["from"] != "count" or part["refused"]) else None
