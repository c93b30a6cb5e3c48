"""Which pages are pictured, and what is done there first: data for ``deploy.screenshots``."""
from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from playwright.sync_api import Page


def _nothing(page: Page) -> None:
    """The page as it opens."""


@dataclass(frozen=True)
class Shot:
    """One page: the picture's name, the address with places for cases, and what is done before the picture."""

    name: str
    path: str
    first: Callable[[Page], None] = _nothing


SHELF_TABLE = """kind,name,note,travel_mm,stanchion_diameter_mm,oil_level_book_mm
fork,"Road bike, 41 mm, rod-damped",from the papers,140,41,140
fork,"Scrambler, 43 mm",measured here,,43,one hand
fork,"Tourer, first series",bench notes,130 kg,41,
"""


def _reads_a_table(page: Page) -> None:
    page.locator("input[type=file]").set_input_files(
        {"name": "shelf.csv", "mimeType": "text/csv", "buffer": SHELF_TABLE.encode()})
    page.locator("main form button").first.click()


def _begins(page: Page) -> None:
    if page.locator("button[name=begin]").count():
        page.locator("button[name=begin]").first.click()


def _moves_a_slider(page: Page) -> None:
    slider = page.locator("[data-slider] input[name]").first
    slider.fill(str(round(float(slider.input_value()) * 0.95)))
    page.wait_for_timeout(700)


def _makes_a_token(page: Page) -> None:
    page.locator("#name").fill(f"computer {page.locator('section.sheet').count()}")
    page.get_by_role("button", name="Make the token").click()


RIDER = (
    Shot("rider-home", "/"),
    Shot("rider-case", "/{collecting}/"),
    Shot("rider-oil-and-tubes", "/{collecting}/form/legs/"),
    Shot("rider-push-test", "/{collecting}/bench/push/"),
    Shot("rider-check", "/{collecting}/check/"),
    Shot("rider-letter", "/{advised}/letter/"),
)
SIGN_IN = Shot("desk-sign-in", "/desk/sign-in/")
CODE = Shot("desk-second-step", "/desk/sign-in/second-step/")
DESK = (
    Shot("desk-queue", "/desk/"),
    Shot("desk-queue-search", "/desk/?state=any&q=fork"),
    Shot("desk-filters", "/desk/filters/"),
    Shot("desk-views", "/desk/views/"),
    Shot("desk-case", "/desk/case/{open}/"),
    Shot("desk-stop", "/desk/case/{stopped}/"),
    Shot("desk-told-in-words", "/desk/case/{spoken}/"),
    Shot("desk-advised", "/desk/case/{advised}/"),
    Shot("desk-curves", "/desk/case/{open}/try/", _moves_a_slider),
    Shot("desk-letter", "/desk/case/{open}/letter/"),
    Shot("desk-versions", "/desk/case/{open}/letter/versions/"),
    Shot("desk-ask", "/desk/case/{open}/ask/"),
    Shot("desk-close", "/desk/case/{open}/close/"),
    Shot("desk-data-sheets", "/desk/case/{open}/sheets/"),
    Shot("desk-trail", "/desk/case/{open}/trail/"),
    Shot("desk-learning", "/desk/learning/"),
    Shot("desk-base-rates", "/desk/learning/rates/"),
    Shot("desk-shelf", "/desk/shelf/"),
    Shot("desk-shelf-sheet", "/desk/shelf/{sheet}/"),
    Shot("desk-shelf-new", "/desk/shelf/new/shock/"),
    Shot("desk-shelf-table", "/desk/shelf/import/", _reads_a_table),
    Shot("desk-own-words", "/desk/words/"),
    Shot("desk-second-factor", "/desk/second-factor/", _begins),
    Shot("desk-shops", "/desk/shops/"),
    Shot("desk-people", "/desk/people/"),
)
SHOP_SIGN_IN = Shot("shop-sign-in", "/shop/sign-in/")
SHOP = (
    Shot("shop-queue", "/shop/"),
    Shot("shop-forward", "/shop/new/"),
    Shot("shop-case", "/shop/case/{job}/"),
    Shot("shop-answers", "/shop/case/{waits}/answers/"),
    Shot("shop-tables", "/shop/tables/"),
    Shot("shop-table", "/shop/tables/{table}/"),
    Shot("shop-tokens", "/shop/tokens/", _makes_a_token),
    Shot("shop-hooks", "/shop/hooks/"),
    Shot("shop-program", "/api/docs/"),
)
README = {"desk-queue": "desk-light", "desk-case": "desk-light", "desk-curves": "desk-light",
          "desk-learning": "desk-light", "shop-case": "desk-light",
          "rider-push-test": "phone-light", "rider-letter": "phone-light"}
"""What README shows, and in which size and scheme."""
