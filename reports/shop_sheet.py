"""The service sheet by itself, as a shop gets it: of an approved letter, never beside a stop sign."""
from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.formats import date_format

from intake.models import Case
from reports.approved import approved_letter
from reports.models import Letter
from reports.pdf import service_sheet_pdf
from reports.service_sheet import sheet_data
from reports.tongue import tell


@dataclass(frozen=True)
class ShopSheet:
    """The sheet of one letter, in the reader's language; where the letter is not approved yet, the sheet says so."""

    letter: Letter
    data: dict[str, Any]

    def pdf(self) -> bytes:
        """Return it on paper, with the shop and its job number filled in."""
        case = self.letter.round.case
        return service_sheet_pdf(self.data, {
            "number": case.number, "round": self.letter.round.number, "title": case.title,
            "date": date_format(self.letter.approved_at, "DATE_FORMAT") if self.letter.approved_at else tell(
                "Not approved yet: do not work from it"), "tuner": "Farbench",
            "shop": case.shop.name if case.shop else "", "job": case.shop_job})


def shop_sheet(case: Case, round_number: str = "") -> tuple[ShopSheet | None, str]:
    """Return the sheet, or None and why there is none.  A stop sign that came after the letter takes it away."""
    if case.stop:
        return None, "A safety sign says: do not ride. There is no sheet of work beside that."
    letter = approved_letter(case, round_number)
    return sheet_of_letter(letter) if letter else (None, "There is no approved letter.")


def sheet_of_letter(letter: Letter) -> tuple[ShopSheet | None, str]:
    """Return a letter's sheet, approved or not, or None and why there is none."""
    if letter.draft.findings.get("stop_riding"):
        return None, "The letter says: do not ride. There is no sheet of work beside that."
    data = sheet_data(letter.draft.findings)
    if data is None:
        return None, "The letter asks for no work on the fork, so there is no sheet."
    return ShopSheet(letter, data), ""
