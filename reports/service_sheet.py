"""The workshop's service sheet in words, ready to print: exact amounts, boxes to tick, blanks to fill.

Torques stay blank on purpose: they come from the bike's own manual.
"""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from reports.letter_parts import leading
from reports.phrases import NBSP, UNKNOWN, at, quantity
from reports.remedies_by_cause import remedy_for
from reports.sheet_words import sheets_line
from reports.tongue import in_language, tell

AMOUNTS: tuple[tuple[str, str, str, int], ...] = (
    (_("Level as found"), "level_now_mm", "mm", 0),
    (_("Level to set"), "level_to_set_mm", "mm", 0),
    (_("Draw off or add"), "draw_off_ml", "ml", 0),
    (_("Pour into a dry leg, fully apart"), "dry_fill_ml", "ml", 0),
    (_("Pour in when drained and pumped"), "drained_fill_ml", "ml", 0),
    (_("Pour in when drained only"), "not_pumped_fill_ml", "ml", 0),
    (_("Air left at full stroke"), "air_volume_ml", "ml", 0),
    (_("Air squeezed, times"), "ratio", "", 1),
)
ROUTES = ("dry_fill_ml", "drained_fill_ml", "not_pumped_fill_ml")
"""The ways to fill a leg that was emptied: one of them, never two."""
SPACERS = _("Spacers and preload go back as they were found, both legs alike: one change at a time. Write them down "
            "below.")
CHANGED_SPACERS = _("The spacers are changed as the work to do says. The old ones are kept, labelled by leg. Write "
                    "down both lengths below.")
NO_CAUSE = ("cannot tell yet", "do not fit together")
CHANGE_NOTHING = _("Nothing is to be changed yet")
TEST_FIRST = _("No cause is named so far. The letter says what is to be tested or told first. The numbers below are "
               "for legs that are opened anyway.")
JOINTS = (_("Fork caps, left and right"), _("Upper yoke clamps"), _("Lower yoke clamps"), _("Wheel axle"),
          _("Axle pinch bolts"), _("Brake caliper bolts"))
MEASURED = (_("Oil level, mm"), _("Oil out, ml"), _("Spring: free length, mm"), _("Spacer, mm"),
            _("Preload, turns in"), _("Rider sag, mm"), _("Travel used, mm"))
CONDITION = _("Levels are read from the top of the tube down to the oil: leg upright, pushed fully together, "
                "spring out.")
NOTE = (_("Between trade partners: these numbers rest on what the rider told us. We have not seen the bike. "
            "Please check before releasing it; where the maker's manual differs, the manual is right."))


def sheet_data(findings: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return the sheet's rows in words, or None where there is nothing to put on it.

    ``amounts`` are all rows leg by leg; ``levels`` and ``routes`` the same for paper, the ways to fill side by side.
    ``work`` is what the letter asks for where that is not the oil; the oil then counts only once the legs are open.
    """
    service = in_language(findings).get("service")
    if not service or _is_elsewhere(findings):
        return None
    amounts = [row for row in (_row(service, *amount) for amount in AMOUNTS) if {row[1], row[2]} != {UNKNOWN}]
    if service.get("difference_ml"):
        amounts.append([tell("Left leg holds more than right"), quantity(service["difference_ml"], "ml"), ""])
    fills = {str(title) for title, key, *_ in AMOUNTS if key in ROUTES}
    work = _work(findings)
    spacers = CHANGED_SPACERS if work and work["by_workshop"] else SPACERS
    return {"work": work, "amounts": amounts, "levels": [row for row in amounts if row[0] not in fills],
            "routes": _routes(service), "spacers": str(spacers), "condition": str(CONDITION),
            "note": " ".join(filter(None, (str(NOTE), sheets_line(findings)))),
            "joints": list(map(str, JOINTS)), "measured": list(map(str, MEASURED)),
            "order": list(service.get("order") or ()), "after": list(service.get("check_after") or ())}


def _work(findings: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return what the letter asks for at the fork; None where that is its oil.

    Without a named cause every letter asks for nothing to be changed.  ``by_workshop``: spacers take the place of the
    adjusters.
    """
    if at(findings, "verdict", "kind") in NO_CAUSE:
        return {"title": str(CHANGE_NOTHING), "steps": [str(TEST_FIRST)], "by_workshop": False}
    cause = leading(findings) if at(findings, "verdict", "kind") == "cause" else None
    advice = next(iter(in_language(findings).get("advice") or ()), None)
    if cause is None or advice is None or cause.get("remedy") == "oil":
        return None
    return {"title": str(advice["title"]), "steps": [str(step) for step in advice.get("steps") or ()],
            "by_workshop": bool(advice.get("by_workshop"))}


def _routes(service: Mapping[str, Any]) -> dict[str, list[Any]]:
    """Return the ways to fill an emptied leg: their titles, and a row for each leg; nothing where none is known."""
    ways = [amount for amount in AMOUNTS if amount[1] in ROUTES]
    rows = [_row(service, *way) for way in ways]
    known = [row for row in rows if {row[1], row[2]} != {UNKNOWN}]
    return {"titles": [row[0] for row in known],
            "legs": [[str(tell(leg)), *(row[place] for row in known)] for place, leg in ((1, "Left"), (2, "Right"))]
            if known else []}


def _is_elsewhere(findings: Mapping[str, Any]) -> bool:
    """Tell whether the letter leaves the fork alone: work on its oil would be a second change, or the only one."""
    cause = leading(findings) if at(findings, "verdict", "kind") == "cause" else None
    if cause is None:
        return False
    return cause.get("remedy") == "none" or not remedy_for(cause["name"], cause.get("remedy", "")).at_the_fork


def _row(service: Mapping[str, Any], title: str, key: str, unit: str, digits: int) -> list[str]:
    left, right = ((service.get(side) or {}) for side in ("left", "right"))
    return [str(title), *(_amount(leg, key, unit, digits) for leg in (left, right))]


def _amount(leg: Mapping[str, Any], key: str, unit: str, digits: int) -> str:
    """Return an amount with its give or take; oil to add is said as such, not as a minus."""
    value = leg.get(key)
    if value is None:
        return str(UNKNOWN)
    if key == "draw_off_ml" and oil_is_right(leg):
        return str(tell("nothing: it stands right"))
    add = key == "draw_off_ml" and value < 0
    sure = leg.get("level_tolerance_mm") if key == "level_to_set_mm" else (leg.get("spread") or {}).get(key)
    words = quantity(abs(value) if add else value, unit, digits)
    band = quantity(sure, unit, digits) if sure is not None else ""
    words = f"{words.removesuffix(NBSP + unit)} ± {band}" if band else words
    return tell("add {amount}", amount=words) if add else words


def oil_is_right(leg: Mapping[str, Any]) -> bool:
    """Tell whether a leg's oil stands where it should already, as the order of work then says too."""
    now, to_set, sure = (leg.get(key) for key in ("level_now_mm", "level_to_set_mm", "level_tolerance_mm"))
    return None not in (now, to_set, sure) and abs(to_set - now) <= sure
