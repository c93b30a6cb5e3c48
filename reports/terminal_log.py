"""A travel log's results on a terminal."""
from __future__ import annotations

import shutil
import textwrap
from collections.abc import Mapping
from typing import Any

from reports.phrases import NBSP, quantity, sentence
from reports.terminal import NARROWEST, WIDEST

LABEL = 22
SHOWN_VISITS = 12
TITLES = {"front": "Front", "rear": "Rear"}


def travel_summary(part: Mapping[str, Any], width: int | None = None) -> str:
    """Return what a log says of both ends in words, wrapped to ``width`` columns (the terminal's where none)."""
    width = min(max(width or shutil.get_terminal_size((80, 24)).columns, NARROWEST), WIDEST)
    text = "\n\n".join("\n".join(_end(TITLES[end], log, width)) for end, log in part.items() if log)
    return "".join(letter if letter == "\n" or letter.isprintable() else "?" for letter in text.replace(NBSP, " "))


def _end(title: str, log: Mapping[str, Any], width: int) -> list[str]:
    head = (f"{title}: {quantity(log['measured_s'], 's', 1)} measured, {log['readings']} readings, "
            f"{log['readings_per_second']:.0f} a second")
    rows = [("Travel used", _with_share(log["used_mm"], log["used_percent"])),
            ("99 % of the time under", _mm(log["used_99_mm"])),
            ("Ride height, median", _with_share(log["ride_height_mm"], log["ride_height_percent"]))]
    rows += [(f"Near {name}", f"{quantity(time['s'], 's', 2)} ({quantity(time['percent'], '%', 1)}), "
              f"within {_mm(log['near_mm'])}") for name, time in log["near"].items() if time]
    if log["still_s"]:
        rows.append(("Standing still", f"{quantity(log['still_s'], 's', 0)}; cut it off before judging ride height"))
    return [*textwrap.wrap(head.replace(NBSP, " "), width),
            *(line for label, words in rows if words for line in _row(label, words, width)),
            *_listing("Trouble", [f"{row['words']} {row['mend']}" for row in log["troubles"]], width),
            *_visits(log, width), *_speeds(log["speeds"], width),
            *_listing("Against the prediction", [row["words"] for row in log["agreement"]], width)]


def _mm(value: float | None) -> str:
    return "" if value is None else quantity(value, "mm", 1)


def _with_share(value: float | None, share: float | None) -> str:
    return _mm(value) + ("" if share is None else f" ({quantity(share, '%')} of full stroke)")


def _row(label: str, words: str, width: int) -> list[str]:
    return textwrap.wrap(words.replace(NBSP, " "), width, initial_indent=f"  {label.ljust(LABEL)}  ",
                         subsequent_indent="    ")


def _listing(title: str, items: list[str], width: int) -> list[str]:
    lines = [line for item in items for line in
             textwrap.wrap(sentence(item).replace(NBSP, " "), width, initial_indent="  - ", subsequent_indent="    ")]
    return ["", title, *lines] if lines else []


def _visits(log: Mapping[str, Any], width: int) -> list[str]:
    deepest = sorted(log["visits"], key=lambda visit: -visit["stroke_mm"])[:SHOWN_VISITS]
    words = [_visit(visit) for visit in sorted(deepest, key=lambda visit: visit["at_s"])]
    more = log["visits_count"] - len(deepest)
    return _listing("Deepest visits", words + ([f"{more} more, less deep"] if more > 0 else []), width)


def _visit(visit: Mapping[str, Any]) -> str:
    speed = visit["speed_in_mm_per_s"]
    going_in = "" if speed is None else f"going in at {speed} mm/s, "
    return f"{quantity(visit['at_s'], 's', 2)}: {_mm(visit['stroke_mm'])}, {going_in}{visit['shape']}"


def _speeds(fast: Mapping[str, Any] | None, width: int) -> list[str]:
    if fast is None:
        return []
    lower = fast["from_mm_per_s"]
    names = [f"{low} to {high}" for low, high in zip(lower, lower[1:], strict=False)] + [f"over {lower[-1]}"]
    rows = [f"  {name:>12}  {down:11.1f} %  {up:7.1f} %" for name, down, up in
            zip(names, fast["compression_percent"], fast["rebound_percent"], strict=True) if down or up]
    ends = f"{fast['fastest_compression_mm_per_s']:>13}  {fast['fastest_rebound_mm_per_s']:>9}"
    note = textwrap.wrap(f"Speeds are {fast['filter']}.", width, initial_indent="  ", subsequent_indent="  ")
    return ["", "Share of the time at each speed", f"  {'mm/s':>12}  {'compression':>13}  {'rebound':>9}", *rows,
            f"  {'fastest':>12}  {ends}", *note]
