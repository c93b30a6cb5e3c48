"""What a tuner wants to see of the queue: a few filters and words, as they stand in an address or a saved view."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from django.conf import settings

from intake.errors import Refused
from intake.models import Case
from intake.search import FORK_KINDS

ANY = "any"
STATES: dict[str, str] = {"": "to do", ANY: "all states", **{value: str(title) for value, title in Case.State.choices}}
"""What the queue can be narrowed to; blank: what waits for us."""
WHOSE: dict[str, str] = {"": "everybody's", "mine": "mine", "nobody": "nobody's"}
ON = "1"
LONGEST_SEARCH = 200


@dataclass(frozen=True)
class Wanted:
    """Filters, all of which a case must meet.  Blank ones ask nothing."""

    state: str = ""
    whose: str = ""
    stop: str = ""
    overdue: str = ""
    returned: str = ""
    shop: str = ""
    language: str = ""
    fork: str = ""
    q: str = ""
    """Words to be found; see ``intake.search``."""

    def as_query(self) -> dict[str, str]:
        """Return what is asked as an address says it; nothing of what is blank."""
        return {one.name: getattr(self, one.name) for one in fields(self) if getattr(self, one.name)}

    def without(self, name: str) -> dict[str, str]:
        """Return the address's words with one filter taken away."""
        return {key: value for key, value in self.as_query().items() if key != name}


def wanted_from(typed: Mapping[str, Any]) -> Wanted:
    """Return what an address or a form asks for.  Raises ``Refused`` for a filter that the queue never gave."""
    said = {one.name: str(typed.get(one.name) or "").replace("\x00", "").strip() for one in fields(Wanted)}
    said["q"] = said["q"][:LONGEST_SEARCH]
    if said["state"] not in STATES:
        raise Refused(f"There is no state '{said['state'][:40]}'.", "Pick a state from the list.")
    languages = dict(settings.LANGUAGES)
    fine = (said["whose"] in WHOSE and {said["stop"], said["overdue"]} <= {"", ON}
            and said["returned"] in Case.Returned.values
            and (not said["shop"] or (said["shop"].isascii() and said["shop"].isdigit() and len(said["shop"]) < 19))
            and said["language"] in ("", *languages) and said["fork"] in ("", *FORK_KINDS))
    if not fine:
        raise Refused("The queue has no such filter.", "Pick the filters from the list.")
    return Wanted(**said)
