"""The queue's page around its rows: most of it is as it was at the last look, and so it is drawn once."""
from __future__ import annotations

from functools import lru_cache
from secrets import token_hex
from typing import NamedTuple

from django.conf import settings
from django.http import QueryDict
from django.template.loader import render_to_string
from django.utils.http import urlencode
from django.utils.safestring import SafeString, mark_safe

from intake.models import Case
from intake.search import FORK_KINDS
from intake.wanted import ON, STATES, WHOSE, Wanted
from reports.desk_stuck import Stuck

FRAMES_KEPT = 300
ROWS, TOKEN = token_hex(), token_hex()
"""Where the rows and the form's token belong in a frame; nobody can guess them, so nothing that is typed says them."""
RETURNED = {"": "whatever", Case.Returned.ANSWER: "the rider answered", Case.Returned.ROUND: "tried, and wrote back"}
QUICK: tuple[tuple[str, dict[str, str]], ...] = (
    ("To do", {}), ("Mine", {"whose": "mine"}), ("Nobody's", {"whose": "nobody"}), ("Stop signs", {"stop": ON}),
    ("Overdue", {"overdue": ON}), ("Answered", {"returned": Case.Returned.ANSWER}),
    ("Tried", {"returned": Case.Returned.ROUND}),
)
"""The looks at the queue that every day needs."""


class Look(NamedTuple):
    """A link to one look at the queue."""

    title: str
    query: str
    here: bool = False


class Frame(NamedTuple):
    """All that the page says besides its rows.  Frames that are equal look alike: nothing else gets into one."""

    user: str
    path: str
    asked: str
    """The address's query as it came."""
    wanted: Wanted
    after: str
    before: str
    looked_at: int
    any_rows: bool
    all_ticked: bool
    shop: str
    """The name of the shop that is wanted."""
    views: tuple[Look, ...]
    """The tuner's own."""
    erased: str
    """The number of a case that was looked for and has been erased."""
    messages: tuple[str, ...]
    refused: tuple[str, str] | None = None
    """The problem and how to mend it."""
    stuck: tuple[Stuck, ...] = ()


def framed(frame: Frame, rows: SafeString, token: str) -> SafeString:
    """Return the whole page: the rows in their frame, and the form's token wherever a form needs it."""
    return mark_safe(_drawn(frame).replace(TOKEN, token).replace(ROWS, rows))


def forget_drawn_frames() -> None:
    """Draw every frame anew from now on."""
    _drawn.cache_clear()


@lru_cache(maxsize=FRAMES_KEPT)
def _drawn(frame: Frame) -> str:
    asked = frame.wanted.as_query()
    here = urlencode(asked)
    problem, mend = frame.refused or ("", "")
    return render_to_string("reports/desk/queue.html", frame._asdict() | {
        "user": {"is_staff": True, "get_username": frame.user}, "csrf_token": TOKEN, "drawn": mark_safe(ROWS),
        "states": STATES.items(), "here": here, "kept": frame.wanted.without("q").items(),
        "looks": [Look(title, urlencode(query), query == asked) for title, query in QUICK],
        "filters": [Look(title, urlencode(frame.wanted.without(name))) for name, title in _narrowing(frame).items()],
        "older": urlencode({**asked, "after": frame.after}) if frame.after else "",
        "newer": urlencode({**asked, "before": frame.before}) if frame.before else "",
        "further_down": "after" in QueryDict(frame.asked), "with_ticks": _with_ticks(frame.asked),
        "refused": {"problem": problem, "mend": mend} if frame.refused else None,
    })


def _narrowing(frame: Frame) -> dict[str, str]:
    """Return what narrows the queue, in words."""
    wanted = frame.wanted
    words = {
        "state": STATES.get(wanted.state, ""), "whose": WHOSE[wanted.whose], "stop": "stop signs", "overdue": "overdue",
        "returned": RETURNED.get(wanted.returned, ""), "language": dict(settings.LANGUAGES).get(wanted.language, ""),
        "fork": FORK_KINDS.get(wanted.fork, ""), "q": f"“{wanted.q}”", "shop": frame.shop,
    }
    return {name: words[name] for name in wanted.as_query()}


def _with_ticks(asked: str) -> str:
    """Return the address of this very page with every row ticked, for whoever has no keyboard at hand."""
    query = QueryDict(asked, mutable=True)
    query["ticked"] = "all"
    return query.urlencode()
