"""Pictures of the main pages: ``python -m deploy.screenshots FOLDER [--whole] [--readme] [NAME ...]``.

Needs the test packages and Chromium.  Runs an installation of its own with the demo cases, so that the pictures show
what a first start shows.  ``--whole`` pictures a page to its foot; ``--readme`` only what README shows; a NAME only the
pages whose names begin so.
"""
from __future__ import annotations

import argparse
import io
import os
import shutil
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from deploy import picture_list as pages
from deploy import picture_scene
from deploy.picture_list import Shot
from deploy.trial import Trial, installation

SIZES = {"phone": (390, 844), "desk": (1280, 860)}
SCHEMES = ("light", "dark")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-background-networking"]


@dataclass(frozen=True)
class Wish:
    """What is wanted: where the pictures go, whether to the page's foot, and names to begin with; none means all."""

    target: Path
    whole: bool = False
    readme: bool = False
    names: tuple[str, ...] = ()

    def wants(self, shot: Shot, look: str) -> bool:
        """Tell whether this page is pictured in this look."""
        return (not self.names or shot.name.startswith(self.names)) and (
            not self.readme or pages.README.get(shot.name) == look)

    def file(self, shot: Shot, look: str) -> Path:
        """Return where its picture goes."""
        return self.target / (f"{shot.name}.png" if self.readme else f"{shot.name}-{look}.png")


def main(wish: Wish) -> None:
    """Write every picture that is wished for."""
    wish.target.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="farbench-pictures-") as scratch, \
            installation(Path(scratch), demo=True) as trial:
        named, links = picture_scene.prepare(trial)  # before the browser: in its loop Django refuses the database
        with sync_playwright() as play:
            browser = play.chromium.launch(executable_path=chromium(), args=FLAGS)
            for size in SIZES:
                for scheme in SCHEMES:
                    _shoot_all(browser, trial, named, links, wish, size, scheme)
            browser.close()


def chromium() -> str:
    """Return where this machine keeps Chromium."""
    found = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if not found:
        sys.exit("There is no Chromium here. On Debian or Ubuntu: apt install chromium")
    return found


def _shoot_all(browser: Browser, trial: Trial, named: Mapping[str, Any], links: Sequence[str], wish: Wish,
               size: str, scheme: str) -> None:
    width, height = SIZES[size]

    def fresh() -> Page:
        return browser.new_context(base_url=trial.site, viewport={"width": width, "height": height},
                                   color_scheme=scheme).new_page()  # type: ignore[arg-type]

    def shoot(page: Page, *shots: Shot) -> None:
        for shot in shots:
            if wish.wants(shot, f"{size}-{scheme}"):
                _shoot(page, shot, named, wish, wish.file(shot, f"{size}-{scheme}"))

    rider, desk, colleague, shop = (fresh() for _ in range(4))
    for token in links:
        rider.goto(f"/link/{token}/")
        rider.get_by_role("main").get_by_role("button").first.click()
    shoot(rider, *pages.RIDER)
    shoot(desk, pages.SIGN_IN)
    _sign_in(desk, "/desk/", trial.name, trial.password)
    shoot(desk, *pages.DESK)
    _sign_in(colleague, "/desk/", picture_scene.COLLEAGUE, picture_scene.PASSWORD)
    shoot(colleague, pages.CODE)
    shoot(shop, pages.SHOP_SIGN_IN)
    _sign_in(shop, "/shop/", picture_scene.COUNTER, picture_scene.PASSWORD)
    shoot(shop, *pages.SHOP)
    for page in (rider, desk, colleague, shop):
        page.context.close()


def _sign_in(page: Page, door: str, name: str, password: str) -> None:
    page.goto(f"{door}sign-in/")
    page.locator("input[name=username]").fill(name)
    page.locator("input[name=password]").fill(password)
    page.locator("main form button").first.click()
    page.wait_for_load_state("networkidle")


def _shoot(page: Page, shot: Shot, named: Mapping[str, Any], wish: Wish, target: Path) -> None:
    page.goto(shot.path.format_map(named))
    shot.first(page)
    page.wait_for_load_state("networkidle")
    if wish.whole:
        page.evaluate("for (const one of document.images) one.loading = 'eager'")
        page.wait_for_load_state("networkidle")
    picture = page.screenshot(full_page=wish.whole)
    _small(picture).save(target, optimize=True)


def _small(png: bytes) -> Image.Image:
    """Few colours are on these pages; a palette of them makes a picture a third of the size."""
    return Image.open(io.BytesIO(png)).convert("RGB").quantize(128, dither=Image.Dither.NONE)


def _wished(typed: Sequence[str]) -> Wish:
    asked = argparse.ArgumentParser(prog="python -m deploy.screenshots", description="Pictures of the main pages.")
    asked.add_argument("folder", type=Path)
    asked.add_argument("--whole", action="store_true", help="to the page's foot")
    asked.add_argument("--readme", action="store_true", help="what README shows, under its names there")
    asked.add_argument("names", nargs="*", help="only pages whose names begin so")
    found = asked.parse_intermixed_args(typed)
    return Wish(found.folder, found.whole, found.readme, tuple(found.names))


if __name__ == "__main__":
    main(_wished(sys.argv[1:]))
