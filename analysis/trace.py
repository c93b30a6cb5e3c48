"""A recorded bounce from a table of text: a logger's file, or a film read off frame by frame."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from analysis.case import Fault
from analysis.columns import Column, Floats, read_columns
from analysis.csv_rows import MOST_FAULTS, THE_FILE, LogFaults, refuse
from analysis.decay_trace import frame_times
from analysis.say import say

MOST_POINTS = 20_000
"""Readings of one bounce: twenty seconds at a thousand a second.  A bounce is over in three."""


@dataclass(frozen=True)
class Trace:
    """Times in s and positions in m, both of shape (n,), and the line of the file that each reading stands in."""

    times: Floats
    positions: Floats
    lines: tuple[int, ...]


def read_trace(raw: str | bytes, columns: Mapping[str, Column], *, frames_per_s: float | None = None) -> Trace:
    """Return the bounce in a table whose columns the person has named.

    ``columns`` has "position" (a length) and either "time" (a time) or "frame" (a plain number); frames need
    ``frames_per_s``, the camera's own rate, which in slow motion is not that of the playback.  Semicolon, tab or
    comma; decimal comma with the first two.  Raises LogFaults naming every column that is missing and every line that
    cannot be used or whose time does not go on, and for more than ``MOST_POINTS`` readings.
    """
    clock = "time" if "time" in columns else "frame"
    table = read_columns(raw, {"position": columns["position"], clock: columns[clock]})
    if len(table.lines) > MOST_POINTS:
        raise refuse(THE_FILE, say("it has {count} readings; one bounce needs {most} at most",
                                   count=f"{len(table.lines):,}", most=f"{MOST_POINTS:,}"),
                     say("Cut out one bounce, from just before letting go until it rests."))
    if clock == "frame" and (frames_per_s is None or frames_per_s <= 0):
        raise refuse(say("frames a second"), say("frames are no times without the camera's rate"),
                     say("Look it up in the camera's settings: 240, 120, 60 …"))
    times = frame_times(table.columns["frame"], frames_per_s or 1.0) if clock == "frame" else table.columns["time"]
    _goes_on(times, table.lines)
    return Trace(times, table.columns["position"], table.lines)


def _goes_on(times: Floats, lines: tuple[int, ...]) -> None:
    """Refuse times that stand still or go back, naming the lines."""
    back = [lines[i + 1] for i in np.flatnonzero(np.diff(times) <= 0)]
    if back:
        more = len(back) - MOST_FAULTS
        problem = say("the time does not go on from the line before") if more <= 0 else say(
            "the time does not go on from the line before and {more} more", more=more)
        raise LogFaults(tuple(Fault(say("line {line}", line=line), problem,
                                    say("Leave doubled lines out, and cut the file to one recording."))
                              for line in back[:MOST_FAULTS]))
