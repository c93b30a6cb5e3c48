"""Pictures of the main pages: ``python -m deploy.screenshots FOLDER`` (needs the test packages and Chromium).

Runs an installation of its own with the demo cases, so that the pictures show what a first start shows.
"""
from __future__ import annotations

import io
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from deploy.trial import Trial, installation

SIZES = {"phone": (390, 844), "desk": (1280, 860)}
SCHEMES = ("light", "dark")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-background-networking"]
CLASSIC, OPEN = "01-wall-after-the-oil-change", "05-hardly-anything-known"
Shot = tuple[str, str]
"""Name and path of a page."""


def main(target: Path) -> None:
    """Write every picture into ``target``."""
    target.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="farbench-pictures-") as scratch, \
            installation(Path(scratch), demo=True) as trial:
        links = _prepare(trial)  # before the browser: inside its loop Django refuses to touch the database
        with sync_playwright() as play:
            browser = play.chromium.launch(executable_path=chromium(), args=FLAGS)
            for size in SIZES:
                for scheme in SCHEMES:
                    _shoot_all(browser, trial, links, target, size, scheme)
            browser.close()


def chromium() -> str:
    """Return where this machine keeps Chromium."""
    found = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if not found:
        sys.exit("There is no Chromium here. On Debian or Ubuntu: apt install chromium")
    return found


def _prepare(trial: Trial) -> dict[str, str]:
    """Give the classic case an approved letter and start one that is half answered; return private links to both."""
    os.environ["FARBENCH_DATA"], os.environ["SITE_URL"] = str(trial.folder), trial.site
    os.environ["DJANGO_SETTINGS_MODULE"] = "deploy.settings"
    import django

    django.setup()
    from django.contrib.auth import get_user_model

    from deploy import demo
    from intake import services
    from intake.models import Case
    from reports import services as letters
    from reports.models import Letter

    documents = demo.documents()
    classic = Case.objects.get(title=documents[CLASSIC]["title"])
    letter = Letter.objects.get(round__case=classic)
    letters.approve(letter=letter, version=letter.version, user=get_user_model().objects.get(username=trial.name))
    collecting = services.start_case(title="Scrambler, rides high")
    demo.answer(collecting.current_round, {name: documents[CLASSIC][name] for name in ("complaint", "bike", "rider")})
    return {case.number: services.new_link(case=case) for case in (classic, collecting)}


def _pages(links: dict[str, str]) -> tuple[list[Shot], list[Shot]]:
    advised, collecting = links
    rider = [
        ("rider-home", "/"), ("rider-case", f"/{collecting}/"), ("rider-oil-and-tubes", f"/{collecting}/form/legs/"),
        ("rider-push-test", f"/{collecting}/bench/push/"), ("rider-check", f"/{collecting}/check/"),
        ("rider-letter", f"/{advised}/letter/"),
    ]
    desk = [
        ("desk-queue", "/desk/"), ("desk-case", f"/desk/case/{advised}/"),
        ("desk-versions", f"/desk/case/{advised}/letter/versions/"), ("shop-docs", "/api/docs/"),
    ]
    return rider, desk


def _shoot_all(
    browser: Browser, trial: Trial, links: dict[str, str], target: Path, size: str, scheme: str,
) -> None:
    width, height = SIZES[size]
    context = browser.new_context(base_url=trial.site, viewport={"width": width, "height": height},
                                  color_scheme=scheme)  # type: ignore[arg-type]
    page, (rider, desk) = context.new_page(), _pages(links)
    for token in links.values():
        page.goto(f"/link/{token}/")
        page.get_by_role("button").first.click()
    _shoot(page, rider, target, f"{size}-{scheme}")
    page.goto("/desk/sign-in/")
    _shoot(page, [("desk-sign-in", "/desk/sign-in/")], target, f"{size}-{scheme}")
    page.locator("input[name=username]").fill(trial.name)
    page.locator("input[name=password]").fill(trial.password)
    page.locator("form button").first.click()
    page.wait_for_url("**/desk/")
    _shoot(page, [*desk, *_waiting_case(page)], target, f"{size}-{scheme}")
    context.close()


def _waiting_case(page: Page) -> Iterator[Shot]:
    """The queue's first case: a stop sign."""
    page.goto("/desk/")
    href = page.locator("ol.queue a").first.get_attribute("href")
    assert href is not None
    yield "desk-stop", href


def _shoot(page: Page, shots: list[Shot], target: Path, ending: str) -> None:
    for name, path in shots:
        page.goto(path)
        page.wait_for_load_state("networkidle")
        _small(page.screenshot()).save(target / f"{name}-{ending}.png", optimize=True)


def _small(png: bytes) -> Image.Image:
    """Few colours are on these pages; a palette of them makes a picture a third of the size."""
    return Image.open(io.BytesIO(png)).convert("RGB").quantize(128, dither=Image.Dither.NONE)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
