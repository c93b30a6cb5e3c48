"""A whole installation, a real mail relay and a real browser for each journey."""
from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

from deploy.screenshots import FLAGS, chromium
from deploy.trial import Trial, installation
from tests.relay import Relay, running_relay


@pytest.fixture(scope="module")
def relay() -> Iterator[Relay]:
    with running_relay() as relay:
        yield relay


@pytest.fixture(scope="module")
def trial(relay: Relay, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Trial]:
    folder: Path = tmp_path_factory.mktemp("installation")
    with installation(folder, EMAIL_URL=f"smtp://127.0.0.1:{relay.port}") as trial:
        yield trial


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium(), args=FLAGS)
        yield browser
        browser.close()
