"""The reference fork of the engine's tests, and cases told of it.

Sliding tube 41 mm, bore 36 mm, stroke 140 mm, springs 8.5 N/mm with 15 mm preload, level 140 mm, 71.7 ml of spring and
spacer: invented, an ordinary road bike's.
"""
from __future__ import annotations

import math
from typing import Any

import numpy as np

from analysis import analyse, parse_case
from analysis.fork import Fork
from analysis.leg import Leg

ATMOSPHERE = 101_325.0
SEAL, GAS = math.pi / 4 * 0.041**2, math.pi / 4 * 0.036**2
STROKE = 0.140
STEEL = math.pi * 0.030 * 29 * math.pi / 4 * 0.005**2 + 18e-6
AIR = GAS * 0.140 - STEEL

Document = dict[str, Any]


def leg(over_ml: float = 0.0, preload: float = 0.015, rate: float = 8500.0, **more: Any) -> Leg:
    """One leg of the reference fork, with so much oil more than it should have."""
    values = {"seal_area": SEAL, "stroke": STROKE, "air_compressed": AIR - over_ml * 1e-6,
              "closed_pressure": ATMOSPHERE, "ride_pressure": ATMOSPHERE, "rate": rate, "preload": preload}
    return Leg(**(values | more))


def fork(over_ml: float = 0.0, **more: Any) -> Fork:
    """The reference fork, both legs alike."""
    return Fork(leg(over_ml, **more), leg(over_ml, **more))


def leg_answers(**more: Any) -> Document:
    """What a rider with all papers says of one leg; None leaves an answer out."""
    answers = {"stanchion_diameter_mm": 41, "bore_diameter_mm": 36, "inner_parts_area_mm2": 0,
               "oil_level_book_mm": 140, "oil_volume_book_ml": 520, "steel_volume_ml": 71.7, "cap_intrusion_ml": 0,
               "spring": {"rate_n_per_mm": 8.5}, "preload_fixed_mm": 15} | more
    return {name: value for name, value in answers.items() if value is not None}


def case(both: Document | None = None, right: Document | None = None, **parts: Any) -> Document:
    """A whole case of the reference fork: ``both`` changes both legs, ``right`` the right one only."""
    legs = {side: leg_answers(**(both or {}) | (right or {} if side == "right" else {})) for side in ("left", "right")}
    document: Document = {
        "bike": {"kind": "road", "mass_kg": 200, "front_share": 0.49, "unsprung_front_kg": 16, "rake_deg": 24},
        "rider": {"mass_kg": 78}, "fork": {"damper": "damper rod", "travel_mm": 140, **legs}}
    for name, part in parts.items():
        document[name] = {**document.get(name, {}), **part}
    return document


def findings(document: Document, seed: int = 1) -> Document:
    """What the engine says of a document, as the file shows it."""
    return analyse(parse_case(document), np.random.default_rng(seed)).as_document()


def probability(found: Document, cause: str) -> float:
    """A cause's probability in the findings; 0 where such a fork cannot have it."""
    return next((float(c["probability"]) for c in found["causes"] if c["name"] == cause), 0.0)
