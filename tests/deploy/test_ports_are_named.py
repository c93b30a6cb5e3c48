"""A taken port: named, stepped over, or refused where it was asked for."""
import os
import socket

import pytest

from deploy import ports


@pytest.fixture
def taken():
    with socket.socket() as server:
        server.bind(("127.0.0.1", 0))
        server.listen()
        yield server.getsockname()[1]


def test_a_free_first_port_is_used_without_a_word(taken):
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        free = probe.getsockname()[1]
    assert ports.settle("127.0.0.1", None, free) == (free, "")


def test_a_taken_first_port_is_stepped_over_and_its_holder_named(taken):
    port, words = ports.settle("127.0.0.1", None, taken)
    assert port > taken
    assert str(taken) in words and f"process {os.getpid()}" in words and str(port) in words


def test_a_taken_port_that_was_asked_for_is_an_error_that_names_its_holder(taken):
    with pytest.raises(ports.PortTaken, match=f"{taken} is taken by process {os.getpid()}"):
        ports.settle("127.0.0.1", taken, 8000)


@pytest.mark.parametrize("number", [0, -1, 65536])
def test_a_number_that_is_no_port_is_refused(number):
    with pytest.raises(ports.PortTaken, match="no port"):
        ports.settle("127.0.0.1", number, 8000)


def test_a_port_that_nobody_visible_holds_still_gets_a_plain_word():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        assert "another program" in ports.holder(probe.getsockname()[1])
