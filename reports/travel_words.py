"""What a travel log says: rows for the desk, and lines for a letter in the rider's language."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext_lazy as _
from django.utils.translation import override

from reports.phrases import quantity, sentence
from reports.tongue import in_words, tell
from reports.travel_figure import class_names, speeds_svg

TITLES = {"front": "Fork", "rear": "Rear"}
SHOWN_VISITS = 12
Part = Mapping[str, Any]


def ends_of(summary: Part | None) -> list[dict[str, Any]]:
    """Return each end that was recorded: title, rows of label and words, speeds, what agrees and what is wrong."""
    return [_end(TITLES[end], log) for end, log in _logs(summary)]


def _end(title: str, log: Part) -> dict[str, Any]:
    fast = log["speeds"]
    return {
        "title": title, "rows": [(label, words) for label, words in _rows(log) if words],
        "troubles": [f"{row['words']} {row['mend']}" for row in log["troubles"]],
        "agreement": [(row["result"], sentence(row["words"])) for row in log["agreement"]],
        "visits": _visits(log), "visits_left_out": max(log["visits_count"] - SHOWN_VISITS, 0),
        "speeds": None if fast is None else _speeds(fast), "figure": "" if fast is None else _figure(fast, title),
    }


def _rows(log: Part) -> list[tuple[str, str]]:
    rows = [("Recorded", f"{quantity(log['recorded_s'], 's', 1)}, {log['readings']} readings, "
                         f"{log['readings_per_second']:.0f} a second"),
            ("Of that can be used", quantity(log["measured_s"], "s", 1)),
            ("Full stroke", _mm(log["stroke_mm"])),
            ("Travel used", _with_share(log["used_mm"], log["used_percent"])),
            ("99 % of the time under", _mm(log["used_99_mm"])),
            ("Ride height, median", _with_share(log["ride_height_mm"], log["ride_height_percent"]))]
    rows += [(f"Near {name}", f"{quantity(time['s'], 's', 2)} ({quantity(time['percent'], '%', 1)}), "
              f"within {_mm(log['near_mm'])}") for name, time in log["near"].items() if time]
    still = f"{quantity(log['still_s'], 's', 0)}; cut it off before judging ride height" if log["still_s"] else ""
    return [*rows, ("Standing still", still)]


def _mm(value: float | None) -> str:
    return "" if value is None else quantity(value, "mm", 1)


def _with_share(value: float | None, share: float | None) -> str:
    return _mm(value) + ("" if share is None else f" ({quantity(share, '%')} of full stroke)")


def _visits(log: Part) -> list[tuple[str, str, str, str]]:
    deepest = sorted(log["visits"], key=lambda visit: -visit["stroke_mm"])[:SHOWN_VISITS]
    return [(quantity(visit["at_s"], "s", 2), _mm(visit["stroke_mm"]),
             "–" if visit["speed_in_mm_per_s"] is None else quantity(visit["speed_in_mm_per_s"], "mm/s", 0),
             visit["shape"]) for visit in sorted(deepest, key=lambda visit: visit["at_s"])]


def _speeds(fast: Part) -> dict[str, Any]:
    rows = [(name, quantity(down, "%", 2), quantity(up, "%", 2)) for name, down, up in zip(
        class_names(fast), fast["compression_percent"], fast["rebound_percent"], strict=True)]
    ends = [quantity(fast[f"fastest_{way}_mm_per_s"], "mm/s", 0) for way in ("compression", "rebound")]
    return {"rows": rows, "fastest": ends, "filter": fast["filter"]}


def _figure(fast: Part, title: str) -> SafeString:
    return mark_safe(speeds_svg(fast, title))  # drawn by us from numbers


USED = {
    ("front", True): _("Travel log: the fork used {used} of {stroke} in {time}."),
    ("front", False): _("Travel log: the fork used {used} in {time}."),
    ("rear", True): _("Travel log: the shock used {used} of {stroke} in {time}."),
    ("rear", False): _("Travel log: the shock used {used} in {time}."),
}
TELLS = ("agrees", "stops elsewhere", "went beyond")


def letter_lines(summary: Part | None, language: str) -> str:
    """Return lines for a letter's facts, each with the mark of a point; blank where no travel is known."""
    with override(language):
        return "\n".join(f"- {_told(end, log, (summary or {}).get('phrases') or {})}" for end, log in _logs(summary)
                         if log["used_mm"] is not None)


def _told(end: str, log: Part, phrases: Part) -> str:
    stroke = log["stroke_mm"]
    used = tell(str(USED[end, stroke is not None]), used=quantity(log["used_mm"], "mm"),
                stroke=quantity(stroke, "mm"), time=quantity(log["measured_s"], "s", 0))
    stops = [in_words(row["words"], phrases) for row in log["agreement"]
             if row["result"] in TELLS and row["name"] != "full stroke"]
    return " ".join([used, *(sentence(words) for words in stops)])


def _logs(summary: Part | None) -> list[tuple[str, Part]]:
    return [(end, (summary or {})[end]) for end in TITLES if (summary or {}).get(end)]
