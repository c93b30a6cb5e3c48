"""Many bells for the same work, rung at the same moment: everything happens once."""
from __future__ import annotations

from tests.relay import running_relay

MANY = 12


def orders_of_its_own(job, rows):
    """Three workers on the same rows, from both ends and from the middle."""
    return (job, rows), (job, rows[::-1]), (job, rows[5:] + rows[:5])


def test_of_three_workers_on_the_same_orders_each_order_is_drafted_once(installation):
    orders = installation.does("prepare", MANY)
    assert sum(installation.race(*orders_of_its_own("draft", orders))) == MANY
    assert installation.rows("SELECT DISTINCT state, attempts, reason FROM intake_workorder") == [("done", 1, "")]
    for table in ("reports_draft", "reports_letter", "reports_letterversion"):
        assert installation.rows(f"SELECT count(*) FROM {table}") == [(MANY,)]
    assert installation.rows("SELECT count(*) FROM intake_event WHERE what = 'Assessed.'") == [(MANY,)]


def test_of_three_workers_on_the_same_letters_each_letter_is_mailed_once(installation):
    with running_relay() as relay:
        installation.relay_port = relay.port
        installation.does("draft", installation.does("prepare", MANY))
        mails = installation.does("approve", "rider@example.org")
        installation.race(*orders_of_its_own("deliver", mails))
        assert installation.rows("SELECT DISTINCT state, attempts FROM reports_delivery") == [("sent", 1)]
        assert len(relay.taken) == len({message["Message-ID"] for message in relay.taken}) == MANY


def test_two_clicks_on_approve_and_send_at_the_same_moment_approve_and_send_once(installation):
    installation.does("draft", installation.does("prepare", 3))
    first, second = installation.race(("approve", "rider@example.org"), ("approve", "rider@example.org"))
    assert first == second
    assert installation.rows("SELECT count(*) FROM reports_delivery") == [(3,)]
    assert installation.rows("SELECT count(*) FROM intake_event WHERE what LIKE 'Letter approved%'") == [(3,)]
