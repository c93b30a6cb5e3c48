"""A whole installation with the demo cases drafted, a real mail relay and a real browser, shared by all journeys."""
from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

from deploy.screenshots import FLAGS, chromium
from deploy.trial import Trial, installation
from tests.journeys import scene
from tests.relay import Relay, running_relay


@pytest.fixture(scope="session")
def relay() -> Iterator[Relay]:
    with running_relay() as relay:
        yield relay


@pytest.fixture(scope="session")
def trial(relay: Relay, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Trial]:
    folder: Path = tmp_path_factory.mktemp("installation")
    with installation(folder, demo=True, EMAIL_URL=f"smtp://127.0.0.1:{relay.port}") as trial:
        yield trial


@pytest.fixture(scope="session")
def cases(trial: Trial) -> dict[str, list[str]]:
    """Cases in every state in that installation: what each shows, with its number and a private link's token."""
    return scene.prepared(trial)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium(), args=FLAGS)
        yield browser
        browser.close()
