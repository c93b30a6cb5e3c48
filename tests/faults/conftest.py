"""A small installation of its own for each fault test: a database file, and processes that can be killed."""
from __future__ import annotations

import multiprocessing
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.faults import child

LONGEST = 60
PROCESSES = multiprocessing.get_context("forkserver")
PROCESSES.set_forkserver_preload(["tests.faults.child"])


class Worker:
    """One process with one job."""

    def __init__(self, place: Installation, job: str, *args: Any) -> None:
        self.talk, theirs = PROCESSES.Pipe()
        self.process = PROCESSES.Process(
            target=child.run, args=(theirs, str(place.database), str(place.errors), place.relay_port, job, *args))
        self.process.start()
        theirs.close()

    def go(self) -> Worker:
        self.talk.send("go")
        return self

    def says(self) -> Any:
        """Return what the process says next; None where it ends without a word."""
        assert self.talk.poll(LONGEST), "It says nothing."
        try:
            return self.talk.recv()
        except EOFError:
            return None

    def kill(self) -> None:
        self.process.kill()
        self.process.join(LONGEST)

    def ends(self) -> int | None:
        self.process.join(LONGEST)
        return self.process.exitcode


class Installation:
    """One data folder, and the processes that work in it."""

    def __init__(self, folder: Path) -> None:
        self.database, self.errors = folder / "farbench.sqlite3", folder / "errors.txt"
        self.media = folder / "media"
        self.relay_port = 1
        self.workers: list[Worker] = []

    def start(self, job: str, *args: Any) -> Worker:
        """Return a process that waits to be told ``go``."""
        self.workers.append(Worker(self, job, *args))
        return self.workers[-1]

    def does(self, job: str, *args: Any) -> Any:
        """Have a job done to its end and return what the process said."""
        return self.race((job, *args))[0]

    def race(self, *jobs: tuple[Any, ...]) -> list[Any]:
        """Have several jobs done by as many processes that begin at the same moment."""
        workers = [self.start(*job) for job in jobs]
        for worker in workers:
            worker.go()
        said = [worker.says() for worker in workers]
        assert [worker.ends() for worker in workers] == [0] * len(workers), self.errors.read_text()
        return said

    def rows(self, statement: str) -> list[tuple[Any, ...]]:
        with closing(sqlite3.connect(self.database, timeout=30)) as connection, connection:
            return connection.execute(statement).fetchall()

    def let_leases_run_out(self) -> None:
        for table in ("intake_workorder", "reports_delivery", "intake_photoupload"):
            self.rows(f"UPDATE {table} SET claimed_until = '2000-01-01' WHERE claimed_until IS NOT NULL")


@pytest.fixture(scope="session")
def empty_database(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Start the server that forks, in a data folder of its own, and make a database to copy."""
    folder = tmp_path_factory.mktemp("installation")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("FARBENCH_DATA", str(folder))
        for name in ("DATABASE_URL", "REDIS_URL", "EMAIL_URL"):
            patch.delenv(name, raising=False)
        Installation(folder).does("migrate")
    return folder / "farbench.sqlite3"


@pytest.fixture
def installation(tmp_path: Path, empty_database: Path) -> Iterator[Installation]:
    shutil.copy(empty_database, tmp_path / "farbench.sqlite3")
    made = Installation(tmp_path)
    yield made
    for worker in made.workers:
        worker.kill()

