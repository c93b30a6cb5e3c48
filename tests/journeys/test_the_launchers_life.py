"""The one command: what it survives, how it ends, and what it says when it cannot run."""
import os
import re
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from deploy.trial import BASE, free_port, start

pytestmark = pytest.mark.machine
PATIENCE = 120.0


def until(true, what):
    end = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < end, what()
        time.sleep(0.1)


def said(folder):
    return (folder / "said").read_text()


def up(folder, launcher):
    until(lambda: "Ctrl-C stops it" in said(folder) or launcher.poll() is not None, lambda: said(folder))
    assert launcher.poll() is None, said(folder)


def processes_of(folder):
    """Every process that lives by this data folder, by its id, with its command."""
    mark, found = f"FARBENCH_DATA={folder}".encode(), {}
    for process in Path("/proc").glob("[0-9]*"):
        try:
            if mark in (process / "environ").read_bytes().split(b"\0"):
                found[int(process.name)] = (process / "cmdline").read_bytes().replace(b"\0", b" ").decode()
        except OSError:
            continue
    return found


def end(launcher, number=signal.SIGINT):
    launcher.send_signal(number)
    return launcher.wait(60)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("life")


@pytest.fixture(scope="module")
def first_words(folder):
    """A first start that ends by Ctrl-C."""
    launcher = start(folder, "--serve", "--no-demo", "--port", str(free_port()))
    up(folder, launcher)
    words, alive = said(folder), processes_of(folder)
    assert any("celery" in command for command in alive.values())
    assert end(launcher) == 0
    until(lambda: not processes_of(folder), lambda: processes_of(folder))
    return words


def test_a_second_start_finds_all_as_it_was(folder, first_words):
    launcher = start(folder, "--serve", "--no-demo", "--port", str(free_port()))
    try:
        up(folder, launcher)
        assert re.search(r"name tuner, password \S{16} ", first_words) and "token" in first_words
        assert "sign in as before" in said(folder) and ", password " not in said(folder)
        assert "shown at the first start" in said(folder)
    finally:
        assert end(launcher, signal.SIGTERM) == 0


def test_what_dies_is_started_again_and_a_killed_launcher_leaves_nobody(folder, first_words):
    launcher = start(folder, "--serve", "--no-demo", "--port", str(free_port()))
    up(folder, launcher)
    (broker,) = [pid for pid, command in processes_of(folder).items() if "deploy.broker" in command]
    os.kill(broker, signal.SIGKILL)
    until(lambda: "the broker died (status -9) and is started again" in said(folder), lambda: said(folder))
    until(lambda: said(folder).count("broker | ready") == 2, lambda: said(folder))
    launcher.kill()
    launcher.wait()
    until(lambda: not processes_of(folder), lambda: processes_of(folder))


def test_a_second_launcher_on_the_same_folder_is_told_who_has_it(folder, first_words):
    launcher = start(folder, "--serve", "--no-demo", "--port", str(free_port()))
    up(folder, launcher)
    try:
        second = subprocess.run([sys.executable, "-m", "deploy.machine", "--serve"], cwd=BASE, capture_output=True,
                                env=os.environ | {"FARBENCH_DATA": str(folder)}, text=True)
        assert second.returncode == 1
        assert f"already runs from {folder} (process {launcher.pid})" in second.stderr
    finally:
        end(launcher)


def test_a_taken_port_that_was_asked_for_ends_it_with_the_holders_name(tmp_path):
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        assert start(tmp_path, "--serve", "--port", str(port)).wait(60) == 1
    assert f"Port {port} is taken by process {os.getpid()}" in said(tmp_path)
