"""From the shop's hand-in to the draft, on a whole installation with an idle worker."""
import json
import time
import urllib.request
from pathlib import Path

import pytest

from deploy.trial import installation

pytestmark = pytest.mark.bench
CASE = Path(__file__).resolve().parents[2] / "fixtures" / "demo" / "01-wall-after-the-oil-change.json"
TIMES = 20
DRAFTED = "ready"


def ask(trial, path, body=None):
    request = urllib.request.Request(
        trial.site + path, json.dumps(body).encode() if body else None,
        {"Authorization": f"Token {trial.token}", "Content-Type": "application/json"})
    with urllib.request.urlopen(request, timeout=30) as answer:
        return json.load(answer)


def seconds_until_drafted(trial, job, document):
    start = time.perf_counter()
    number = ask(trial, "/api/cases/", {"job": job, "document": document})["number"]
    while (state := ask(trial, f"/api/cases/{number}/")["state"]) != DRAFTED:
        said = (trial.folder / "logs" / "worker.log").read_text()
        assert time.perf_counter() - start < 60, f"{number} is {state}, not drafted. The worker said: {said[-3000:]}"
        time.sleep(0.2)
    return time.perf_counter() - start


def test_a_case_is_drafted_soon_after_its_hand_in(tmp_path, report):
    document = json.loads(CASE.read_text())
    with installation(tmp_path) as trial:
        seconds_until_drafted(trial, "warm-up", document)
        taken = sorted(seconds_until_drafted(trial, f"job-{number}", document) for number in range(TIMES))
    report("handed in -> drafted, 95 of 100 within", taken[int(0.95 * TIMES) - 1], 2, "s")
