"""A worker that is killed loses nothing and doubles nothing."""
from __future__ import annotations

from tests.relay import running_relay


def test_a_worker_killed_while_computing_is_made_good_by_the_next_one(installation):
    orders = installation.does("prepare", 1)
    worker = installation.start("draft and stall computing", orders).go()
    assert worker.says() == "stalled"
    worker.kill()
    assert installation.rows("SELECT state, attempts FROM intake_workorder") == [("claimed", 1)]
    assert installation.does("draft", orders) == 0, "the lease still runs"
    installation.let_leases_run_out()
    assert installation.does("draft", orders * 2) == 1
    assert installation.rows("SELECT state, attempts FROM intake_workorder") == [("done", 2)]
    assert installation.rows("SELECT count(*) FROM reports_draft") == [(1,)]


def test_a_worker_killed_while_storing_leaves_nothing_half_stored_and_no_lock(installation):
    orders = installation.does("prepare", 1)
    worker = installation.start("draft and stall storing", orders).go()
    assert worker.says() == "stalled"
    worker.kill()
    assert installation.rows("SELECT count(*) FROM reports_draft") == [(0,)]
    assert installation.rows("SELECT count(*) FROM reports_letter") == [(0,)]
    installation.let_leases_run_out()
    assert installation.does("draft", orders) == 1
    assert installation.rows("SELECT state FROM intake_case") == [("ready",)]


def test_an_order_that_kills_every_worker_is_put_aside_by_the_sweep(installation):
    orders = installation.does("prepare", 1)
    for _ in range(3):
        worker = installation.start("draft and stall computing", orders).go()
        assert worker.says() == "stalled"
        worker.kill()
        installation.let_leases_run_out()
    assert installation.does("draft", orders) == 0
    installation.does("sweep")
    [(state, reason)] = installation.rows("SELECT state, reason FROM intake_workorder")
    assert state == "parked" and "stopped 3 times" in reason


def test_a_worker_killed_while_sending_leaves_the_decision_to_a_person(installation):
    with running_relay() as relay:
        installation.relay_port = relay.port
        installation.does("draft", installation.does("prepare", 1))
        mails = installation.does("approve", "rider@example.org")
        relay.hold.clear()
        worker = installation.start("deliver", mails).go()
        assert relay.has_everything.wait(20)
        worker.kill()
        relay.hold.set()
        installation.let_leases_run_out()
        installation.does("sweep")
        assert installation.does("deliver", mails) == [""]
        assert installation.rows("SELECT state FROM reports_delivery") == [("unknown",)]
        assert len(relay.taken) == 1, "it did arrive, and nobody sent it again unasked"
