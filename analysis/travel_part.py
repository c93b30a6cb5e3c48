"""A travel log's results in the trade's units, as plain lists, numbers and words that can be written as JSON."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from analysis.columns import Column
from analysis.travel_agreement import Agreement, predicted_stops
from analysis.travel_events import Visit
from analysis.travel_log import NEAR, Sensor, TravelLog, read_log, travel_log
from analysis.travel_speed import EDGES, Speeds
from analysis.units import from_si

MOST_VISITS = 200
"""Deep visits that are listed, the deepest first to stay; all are counted."""
FILTER = ("a cubic fitted to {window:.0f} ms of readings around each moment; pauses are not bridged, "
          "the class is where the fitted speed lies")


def travel_log_part(raw: str | bytes, time: Column, sensors: Mapping[str, Sensor],
                    findings: Mapping[str, Any] | None = None, near: float = NEAR) -> dict[str, Any]:
    """Return what a recording (CSV) says of each mapped end, "front" and "rear"; null for an end that is not mapped.

    The front is compared with the stops that ``findings`` predict.  Raises LogFaults with every fault of the file.
    """
    signals = read_log(raw, time, sensors)
    stops = {"front": predicted_stops(findings or {})}
    logs = {end: travel_log(one, stops.get(end, ()), near) for end, one in signals.items()}
    return {end: log_part(logs[end], near) if end in logs else None for end in ("front", "rear")}


def log_part(log: TravelLog, near: float = NEAR) -> dict[str, Any]:
    """Return one end's log as a dictionary; what could not be known is null, with the reason under ``troubles``."""
    one = log.signal
    deepest = sorted(sorted(log.visits, key=lambda v: -v.stroke)[:MOST_VISITS], key=lambda v: v.time)
    return {
        "readings": len(one.time), "readings_per_second": round(1 / one.step, 2),
        "recorded_s": round(float(one.time[-1]), 3), "measured_s": round(log.measured, 3),
        "stretches": len(one.runs), "still_s": round(log.still, 1), "stroke_mm": _mm(one.stroke),
        "used_mm": _mm(log.used), "used_99_mm": _mm(log.used_99), "used_percent": _percent(log.used, one.stroke),
        "ride_height_mm": _mm(log.ride_height), "ride_height_percent": _percent(log.ride_height, one.stroke),
        "near_mm": _mm(near), "near": {name: _time(seconds, log.measured) for name, seconds in (
            ("full extension", log.near_top), ("full stroke", log.near_bottom), ("predicted stop", log.near_stop))},
        "visits_count": len(log.visits), "visits": [_visit(visit) for visit in deepest],
        "speeds": None if log.speeds is None else _speeds(log.speeds),
        "agreement": [_agreement(row) for row in log.agreements],
        "troubles": [{"name": t.name, "words": t.words, "mend": t.mend} for t in log.troubles],
    }


def _mm(value: float | None) -> float | None:
    return None if value is None else round(from_si(value, "mm"), 1) + 0.0


def _percent(value: float | None, whole: float | None) -> float | None:
    return None if value is None or not whole else round(100 * value / whole, 1) + 0.0


def _time(seconds: float | None, measured: float) -> dict[str, float | None] | None:
    return None if seconds is None else {"s": round(seconds, 3), "percent": _percent(seconds, measured)}


def _visit(visit: Visit) -> dict[str, Any]:
    speed = None if visit.speed is None else round(from_si(visit.speed, "mm"))
    return {"at_s": round(visit.time, 3), "stroke_mm": _mm(visit.stroke), "speed_in_mm_per_s": speed,
            "shape": visit.shape}


def _speeds(fast: Speeds) -> dict[str, Any]:
    return {
        "filter": FILTER.format(window=1e3 * fast.window),
        "from_mm_per_s": [round(from_si(edge, "mm")) for edge in EDGES],
        "compression_percent": [round(100 * float(share), 2) for share in fast.compression],
        "rebound_percent": [round(100 * float(share), 2) for share in fast.rebound],
        "fastest_compression_mm_per_s": round(from_si(fast.fastest_compression, "mm")),
        "fastest_rebound_mm_per_s": round(from_si(fast.fastest_rebound, "mm")),
    }


def _agreement(row: Agreement) -> dict[str, Any]:
    stop = row.stop
    return {"name": stop.name, "at_mm": _mm(stop.at), "low_mm": _mm(stop.low), "high_mm": _mm(stop.high),
            "result": row.result, "words": row.words}
