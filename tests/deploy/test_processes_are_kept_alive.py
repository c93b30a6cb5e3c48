"""The launcher starts the dead again, ends all in order, and leaves nobody behind."""
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from deploy import processes
from deploy.processes import Keeper, KeepsDying

BASE = Path(__file__).resolve().parents[2]
SLEEP = ("-c", "import time; print('up', flush=True); time.sleep(60)")


@pytest.fixture
def said():
    return []


@pytest.fixture
def keeper(tmp_path, said, monkeypatch):
    monkeypatch.setattr(processes, "PAUSE", 0.0)
    keeper = Keeper(BASE, tmp_path, lambda name, line: said.append((name, line)))
    yield keeper
    keeper.stop()


def until(true, patience=10.0):
    end = time.monotonic() + patience
    while not true():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.01)


def lives(pid):
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"


def test_what_a_process_says_is_shown_and_kept(keeper, said, tmp_path):
    keeper.start("talker", *SLEEP)
    until(lambda: ("talker", "up") in said)
    assert (tmp_path / "talker.log").read_text() == "up\n"


def test_a_dead_process_is_started_again(keeper, said):
    keeper.start("sleeper", *SLEEP)
    until(lambda: ("sleeper", "up") in said)
    (kept,) = keeper._kept
    kept.process.kill()
    kept.process.wait()
    keeper.look_after()
    until(lambda: said.count(("sleeper", "up")) == 2)
    assert any("sleeper died (status -9)" in line for _, line in said)


def test_one_that_keeps_dying_ends_it_with_its_log_named(keeper, tmp_path):
    keeper.start("broken", "-c", "raise SystemExit(3)")
    with pytest.raises(KeepsDying, match=rf"broken keeps dying \(last with status 3\).*{tmp_path}"):
        for _ in range(processes.TOO_OFTEN):
            keeper._kept[0].process.wait()
            keeper.look_after()


def test_stopping_goes_backwards_and_leaves_nobody(keeper, tmp_path):
    note = tmp_path / "ends"
    tell = ("import signal,sys,time\ndef end(*_):\n open({0!r}, 'a').write({1!r}); sys.exit()\n"
            "signal.signal(signal.SIGTERM, end)\nprint('up', flush=True)\ntime.sleep(60)")
    for name in "abc":
        keeper.start(name, "-c", tell.format(str(note), name))
    until(lambda: all(kept.log.read_text() for kept in keeper._kept))
    pids = [kept.process.pid for kept in keeper._kept]
    keeper.stop()
    assert note.read_text() == "cba"
    assert not any(map(lives, pids))


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the kernel's word is Linux's")
def test_children_of_a_killed_launcher_die_with_it(tmp_path):
    launcher = subprocess.Popen([sys.executable, "-c", (
        "import sys, time\nfrom pathlib import Path\nfrom deploy.processes import Keeper\n"
        f"keeper = Keeper(Path({str(BASE)!r}), Path({str(tmp_path)!r}), print)\n"
        f"keeper.start('child', '-c', {SLEEP[1]!r})\n"
        "print(keeper._kept[0].process.pid, flush=True)\ntime.sleep(60)")],
        cwd=BASE, stdout=subprocess.PIPE, text=True)
    child = int(launcher.stdout.readline())
    until(lambda: (tmp_path / "child.log").exists() and (tmp_path / "child.log").read_text())
    launcher.send_signal(signal.SIGKILL)
    launcher.wait()
    until(lambda: not lives(child))
    launcher.stdout.close()
