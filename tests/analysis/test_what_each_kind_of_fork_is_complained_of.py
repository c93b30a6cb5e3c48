"""How often each kind of trouble is complained of in each way, in percent: common practice, no source."""
from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from analysis import analyse, parse_case
from analysis.observations import SYMPTOMS
from tests.analysis.one_bike import KINDS

NAMED = {
    "will not use travel": {"sound": 44, "short": 68, "deep": 14, "to the mark": 13, "past the mark": 10,
        "near the mark": 21, "unused": 50},
    "stops hard": {"sound": 10, "solid": 57, "stiff end": 26, "metal": 37, "short": 69, "deep": 9},
    "clanks at the end": {"sound": 2, "metal": 72},
    "too stiff": {"sound": 19, "solid": 33, "stiff end": 24, "metal": 27, "held": 49, "high": 52, "low": 15},
    "harsh on small bumps": {"sound": 16, "sticky": 65, "dragging": 42, "loose": 15},
    "sticks then jumps": {"sound": 7, "sticky": 69, "dragging": 40},
    "dives": {"sound": 10, "loose": 33, "high": 6, "low": 41, "deep": 30, "to the mark": 32, "past the mark": 35,
        "near the mark": 17},
    "bottoms out": {"sound": 4, "deep": 61, "to the mark": 66, "past the mark": 73, "near the mark": 25,
        "overloaded": 60},
    "rides high": {"sound": 8, "high": 47, "low": 5},
    "rides low": {"sound": 7, "high": 5, "low": 51, "overloaded": 61},
    "legs differ": {"sound": 6, "legs apart": 49, "legs a little apart": 30, "own work": 55},
    "leaks": {"sound": 1, "leaks": 86},
    "tops out": {"sound": 2, "springy": 25, "tops out": 72},
    "bounces": {"sound": 3, "springy": 64},
    "packs down": {"sound": 3, "springy": 2, "slow": 49},
    "rear trouble": {"sound": 3, "rear worn": 78, "rear off": 47},
}


def test_every_complaint_is_told() -> None:
    assert set(NAMED) == set(SYMPTOMS)


@pytest.mark.parametrize(("symptom", "kind"), [(symptom, kind) for symptom, kinds in NAMED.items() for kind in kinds])
def test_each_kind_of_fork_is_complained_of_as_in_practice(symptom: str, kind: str) -> None:
    assert 100 * np.asarray(SYMPTOMS[symptom](KINDS[kind])).item() == pytest.approx(NAMED[symptom][kind], abs=0.6)


def told(*symptoms: str) -> dict[str, Any]:
    case = parse_case({"schema": 1, "complaint": {"symptoms": list(symptoms)}})
    return analyse(case, np.random.default_rng(1)).as_document()


def share_of_the_rear(found: dict[str, Any]) -> float:
    rear = ("rear spring or height", "rear linkage stuck", "worn shock")
    return sum(float(cause["probability"]) for cause in found["causes"] if cause["name"] in rear)


def test_who_names_the_rear_alone_is_asked_to_try_the_rear_first() -> None:
    found = told("rear trouble")
    assert share_of_the_rear(found) > 0.5
    assert found["verdict"]["kind"] == "cannot tell yet"
    assert found["next_test"]["name"] == "rear_bounce"


def test_the_rear_named_beside_trouble_at_the_front_leaves_the_front_in_the_lead() -> None:
    assert share_of_the_rear(told("rear trouble", "will not use travel", "stops hard")) < 0.2
