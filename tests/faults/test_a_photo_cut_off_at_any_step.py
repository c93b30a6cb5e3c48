"""Whoever is killed over a photo, and at whatever step: there is one photo in the end, and nothing else lies about."""
from __future__ import annotations

from pathlib import Path

import pytest


def killed(installation, job, *args):
    worker = installation.start(job, *args).go()
    assert worker.says() == "stalled"
    worker.kill()


def files(installation) -> list[str]:
    return sorted(path.suffix for path in Path(installation.media).rglob("*") if path.is_file())


def photos(installation) -> int:
    return installation.rows("SELECT count(*) FROM intake_photo")[0][0]


@pytest.mark.parametrize("step", ["make and stall decoding", "make and stall writing",
                                  "make and stall before the commit"])
def test_a_worker_killed_before_the_commit_leaves_it_to_the_next_one(installation, step):
    upload = installation.does("receive a photo")
    killed(installation, step, upload)
    assert photos(installation) == 0
    assert installation.does("make a photo", upload) is False, "the lease still runs"
    installation.let_leases_run_out()
    assert installation.does("make a photo", upload) is True
    assert installation.does("make a photo", upload) is False
    assert photos(installation) == 1 and files(installation) == [".jpg"]


def test_a_worker_killed_after_the_commit_makes_no_second_photo_and_the_sweep_takes_the_bytes(installation):
    upload = installation.does("receive a photo")
    killed(installation, "make and stall before the bytes go", upload)
    assert photos(installation) == 1 and files(installation) == [".jpg", ".part"]
    installation.let_leases_run_out()
    assert installation.does("make a photo", upload) is False and photos(installation) == 1
    installation.race(("sweep",), ("sweep",))
    assert files(installation) == [".jpg"]


def test_a_photo_that_three_workers_were_killed_over_is_given_up_by_the_sweep(installation):
    upload = installation.does("receive a photo")
    for _ in range(3):
        killed(installation, "make and stall decoding", upload)
        installation.let_leases_run_out()
    assert installation.does("make a photo", upload) is False
    installation.does("sweep")
    [(why,)] = installation.rows("SELECT refused_as FROM intake_photoupload")
    assert why and not files(installation)
    assert installation.rows("SELECT count(*) FROM intake_event WHERE what = 'A photo could not be used.'") == [(1,)]


@pytest.mark.parametrize("step", ["make and stall writing", "make and stall before the commit"])
def test_a_case_erased_after_such_a_death_leaves_no_file(installation, step):
    killed(installation, step, installation.does("receive a photo"))
    assert ".jpg" in files(installation)
    installation.does("erase the case")
    assert files(installation) == []


@pytest.mark.parametrize("step", ["receive and stall before it is put down", "receive and stall before the commit"])
def test_a_request_killed_before_it_answered_promises_nothing(installation, step):
    killed(installation, step)
    assert installation.rows("SELECT whole_since FROM intake_photoupload") == [(None,)]
    assert installation.rows("SELECT count(*) FROM intake_event WHERE what = 'Photo added.'") == [(0,)]


def test_a_phone_that_heard_no_answer_finishes_what_it_sent(installation):
    upload = installation.does("send a photo")
    assert installation.race(("finish a photo", upload), ("finish a photo", upload)) == [True, True]
    assert installation.rows("SELECT count(*) FROM intake_event WHERE what = 'Photo added.'") == [(1,)]
    assert sorted(installation.race(*[("make a photo", upload)] * 3)) == [False, False, True]
    assert photos(installation) == 1
