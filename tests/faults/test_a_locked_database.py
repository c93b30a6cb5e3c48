"""A database that is locked, for a moment or for longer than anybody waits, loses nothing."""
from __future__ import annotations

import sqlite3
import time
from contextlib import closing


def test_a_worker_waits_for_a_lock_that_is_let_go_in_time(installation):
    worker = installation.start("draft", installation.does("prepare", 1))
    with closing(sqlite3.connect(installation.database, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        worker.go()
        time.sleep(0.5)
        assert not worker.talk.poll(), "it waits"
        other.execute("COMMIT")
    assert worker.says() == 1


def test_a_result_that_could_not_be_stored_is_drafted_again_once_the_lease_is_over(installation):
    orders = installation.does("prepare", 1)
    worker = installation.start("draft without patience", orders).go()
    assert worker.says() == "computing"
    with closing(sqlite3.connect(installation.database, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        worker.talk.send("go on")
        assert worker.ends() != 0 and "database is locked" in installation.errors.read_text()
        other.execute("COMMIT")
    assert installation.rows("SELECT state, attempts FROM intake_workorder") == [("claimed", 1)]
    installation.let_leases_run_out()
    assert installation.does("draft", orders) == 1
    assert installation.rows("SELECT count(*) FROM reports_draft") == [(1,)]
