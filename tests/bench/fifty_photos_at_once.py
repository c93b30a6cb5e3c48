"""Fifty photos of 8 MB sent at the same moment to a whole installation: how long until they are answered and until they
can be seen, and how much memory in all.

Not part of the benchmarks, because its aim in seconds asks for more than two processors, half of which the senders use;
to measure it by hand:
``python -m pytest tests/bench/fifty_photos_at_once.py -m bench -s``.
"""
from __future__ import annotations

import http.cookiejar
import io
import os
import re
import sqlite3
import statistics
import threading
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from deploy.trial import Trial, installation

pytestmark = pytest.mark.bench
PHOTOS, RIDERS, PIECE = 50, 5, 2 * 1024 * 1024
HANDS = max(1, min(4, len(os.sched_getaffinity(0))))


def eight_megabytes() -> bytes:
    """Twelve million pixels with a sensor's noise: as a phone's camera makes them, on the heavy side."""
    noise = np.random.default_rng(8).normal(128, 40, (3000, 4000, 3)).clip(0, 255).astype("uint8")
    out = io.BytesIO()
    Image.fromarray(noise).save(out, "JPEG", quality=89)
    return out.getvalue()


def bare_seconds(data: bytes) -> float:
    """The floor: the picture library alone, half size and encoded again, in a process that is warm."""
    taken = []
    for _ in range(5):
        start = time.perf_counter()
        picture = Image.open(io.BytesIO(data))
        picture.draft("RGB", (2000, 1500))
        picture.save(io.BytesIO(), "JPEG", quality=85)
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


class Phone:
    """One rider's browser, as far as sending photos goes."""

    def __init__(self, trial: Trial) -> None:
        self.site = trial.site
        self.jar = http.cookiejar.CookieJar()
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(self.jar))
        page = self.opener.open(f"{self.site}/start/").read().decode()
        found = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)
        assert found
        form = {"csrfmiddlewaretoken": found[1], "rider_name": "", "rider_email": ""}
        with self.opener.open(f"{self.site}/start/", urllib.parse.urlencode(form).encode()) as shown:
            shown.read()
        self.number = urllib.parse.urlsplit(shown.url).path.split("/")[1]

    def ask(self, method: str, address: str, body: bytes, **headers: str) -> Any:
        key = next(cookie.value for cookie in self.jar if cookie.name == "csrftoken") or ""
        said = {name.replace("_", "-"): value for name, value in headers.items()} | {"X-CSRFToken": key}
        request = urllib.request.Request(self.site + address, body, said, method=method)
        try:
            answer = self.opener.open(request, timeout=300)
        except urllib.error.HTTPError as refused:
            answer = refused
        with answer:  # read and closed at once, as a browser does: a server waits for those who hold on
            answer.read()
        return answer

    def send(self, data: bytes) -> float:
        start = time.perf_counter()
        begun = self.ask("POST", f"/{self.number}/photo/new/", b"place=travel", Upload_Length=str(len(data)))
        at, offset = begun.headers["Location"], 0
        while True:
            answer = self.ask("PATCH", at, data[offset:offset + PIECE], Upload_Offset=str(offset),
                              Content_Type="application/partial-upload")
            offset = int(answer.headers["Upload-Offset"])
            if answer.status == 200:
                return time.perf_counter() - start
            assert answer.status == 204


def wait_until_made(database: Path) -> None:
    waiting, end = 1, time.monotonic() + 300
    while waiting:
        assert time.monotonic() < end
        time.sleep(0.2)
        with closing(sqlite3.connect(f"file:{database}?mode=ro", uri=True, timeout=20)) as connection:
            [(waiting,)] = connection.execute("SELECT count(*) FROM intake_photoupload WHERE photo_id IS NULL")


def family(pid: int) -> Iterator[int]:
    yield pid
    for task in Path(f"/proc/{pid}/task").glob("*/children"):
        for child in task.read_text().split():
            yield from family(int(child))


def megabytes(launcher: int) -> float:
    """What the web processes and the decoders they started hold, shared pages counted once."""
    total = 0
    for pid in family(launcher):
        try:
            command = Path(f"/proc/{pid}/cmdline").read_bytes()
            if b"gunicorn" in command or b"photo_child" in command:
                held = re.search(r"^Pss:\s+(\d+)", Path(f"/proc/{pid}/smaps_rollup").read_text(), re.MULTILINE)
                total += int(held[1]) if held else 0
        except (OSError, ProcessLookupError):
            continue
    return total / 1024


@contextmanager
def watched(look: Callable[[], float]) -> Iterator[list[float]]:
    seen, end = [look()], threading.Event()

    def watch() -> None:
        while not end.wait(0.1):
            seen.append(look())

    watcher = threading.Thread(target=watch)
    watcher.start()
    yield seen
    end.set()
    watcher.join()


def test_fifty_photos_at_once(tmp_path, report):
    data = eight_megabytes()
    assert 7_500_000 < len(data) < 8_500_000
    floor = bare_seconds(data) * PHOTOS / HANDS
    with installation(tmp_path) as trial:
        phones = [Phone(trial) for _ in range(RIDERS)]
        phones[0].send(data)
        with watched(lambda: megabytes(trial.launcher)) as memory, ThreadPoolExecutor(PHOTOS) as pool:
            start = time.perf_counter()
            taken = sorted(pool.map(lambda number: phones[number % RIDERS].send(data), range(PHOTOS)))
            wait_until_made(tmp_path / "farbench.sqlite3")
            made = time.perf_counter() - start
    report("50 photos of 8 MB at once, memory of web and decoders", max(memory), 400, "MB")
    report("50 photos of 8 MB at once, all made, against bare decoding", made / floor, 10, "x")
    report("50 photos of 8 MB at once, all answered, against bare decoding", taken[-1] / floor, 2, "x")
    report("50 photos of 8 MB at once, 95 of 100 answered within", taken[int(0.95 * PHOTOS) - 1], 2, "s")
