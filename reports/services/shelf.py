"""The shelf: data sheets written, changed and retired; and the version that a case draws on."""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import partial

from django.contrib.auth.models import AbstractBaseUser
from django.db import IntegrityError, transaction
from django.utils import timezone

from intake.errors import Refused
from intake.events import record_event
from intake.models import Case, Round
from intake.paths import storable
from intake.states import ENDED, hold
from reports.models import Letter
from reports.services.choosing import engines_numbers_back
from reports.services.drafting import draft_again
from reports.shelf_fields import FIELDS, SheetFault, differences, sheet_faults
from reports.shelf_models import DataSheet, SheetLink, SheetVersion

LONGEST_NAME, LONGEST_NOTE = 80, 300
OTHER_SHEET = "Other data sheets lie under the answers now."


@dataclass(frozen=True)
class GoodRow:
    """A row that can be taken, and what taking it would do."""

    line: int
    kind: str
    name: str
    note: str
    values: dict[str, str]
    sheet: DataSheet | None
    does: str


class SheetRefused(Refused):
    """Values that cannot be kept: every fault of the sheet at once."""

    def __init__(self, faults: list[SheetFault]) -> None:
        count = len(faults)
        super().__init__("One value cannot be kept." if count == 1 else f"{count} values cannot be kept.",
                         "Mend what is marked; nothing is lost.")
        self.faults = faults


def tidy_values(*, kind: str, typed: Mapping[str, str]) -> dict[str, str]:
    """Return what was typed into the fields of ``kind``, without idle spaces and without empty ones."""
    tidied = {field.name: " ".join(str(storable(typed.get(field.name, ""))).split()) for field in FIELDS[kind]}
    return {name: value for name, value in tidied.items() if value}


def keep_sheet(*, user: AbstractBaseUser, kind: str, name: str, note: str, typed: Mapping[str, str],
               sheet: DataSheet | None = None, based_on: int = 0) -> SheetVersion:
    """Keep a new data sheet, or a new version of ``sheet`` that was written over version ``based_on``.

    What says the same as the newest version is kept once.  Raises SheetRefused with every fault of the values, and
    Refused for a bad or taken name, a retired sheet, and where somebody else was quicker.
    """
    if kind not in FIELDS:
        raise Refused("This is neither a fork nor a shock.", "Pick one of the two.")
    name, note, values = _named(name), " ".join(storable(note).split()), tidy_values(kind=kind, typed=typed)
    if len(note) > LONGEST_NOTE:
        raise Refused(f"The note has {len(note)} signs.", f"{LONGEST_NOTE} fit.")
    if faults := sheet_faults(kind, values):
        raise SheetRefused(faults)
    if not values:
        raise Refused("There is no value on this sheet.", "Fill in at least one.")
    keep = partial(_kept, user, kind, name, note, values, sheet, based_on)
    try:
        with transaction.atomic():
            return keep()
    except IntegrityError:  # a doubled click, or a colleague with this name, was quicker: now it is seen
        with transaction.atomic():
            return keep()


def _kept(user: AbstractBaseUser, kind: str, name: str, note: str, values: dict[str, str], sheet: DataSheet | None,
          based_on: int) -> SheetVersion:
    held = DataSheet.objects.select_for_update().get(pk=sheet.pk) if sheet else None
    if held is None and (known := _kept_before(kind, name, note, values)):
        return known
    _check_name(kind, name, held)
    if held and (same := _checked_base(held, based_on, name, note, values)):
        return same
    if held is None:
        held = DataSheet(kind=kind, number=0)
    held.name, held.number = name, held.number + 1
    held.save()
    return SheetVersion.objects.create(sheet=held, number=held.number, name=name, note=note, values=values,
                                       user=user, who=user.get_username())


def _kept_before(kind: str, name: str, note: str, values: dict[str, str]) -> SheetVersion | None:
    """Return the version on the shelf that says all of this already."""
    on_shelf = DataSheet.objects.filter(kind=kind, name=name, retired_at__isnull=True).first()
    newest = on_shelf.versions.get(number=on_shelf.number) if on_shelf else None
    return newest if newest and (newest.note, newest.values) == (note, values) else None


def _named(name: str) -> str:
    name = " ".join(storable(name).split())
    if not name or len(name) > LONGEST_NAME:
        raise Refused("The sheet has no name." if not name else f"The name has {len(name)} signs.",
                      f"Give it a name of 1 to {LONGEST_NAME} signs that you will know it by.")
    return name


def _check_name(kind: str, name: str, sheet: DataSheet | None) -> None:
    same = DataSheet.objects.filter(kind=kind, name=name, retired_at__isnull=True)
    if (same.exclude(pk=sheet.pk) if sheet else same).exists():
        raise Refused(f"There is a sheet called “{name}” already.", "Pick another name, or change that sheet.")


def _checked_base(sheet: DataSheet, based_on: int, name: str, note: str, values: dict[str, str],
                  ) -> SheetVersion | None:
    """Return the newest version where it says all of this already."""
    if sheet.retired_at:
        raise Refused("This sheet is retired.", "Take it back onto the shelf first.")
    newest = sheet.versions.get(number=sheet.number)
    if (newest.name, newest.note, newest.values) == (name, note, values):
        return newest
    if based_on != sheet.number:
        raise Refused(f"Somebody has made version {sheet.number} of this sheet meanwhile.",
                      "What you typed is below. Compare it with the newest version, then save again.")
    return None


@transaction.atomic
def take_rows(*, rows: Iterable[GoodRow], user: AbstractBaseUser) -> None:
    """Put the rows of a table onto the shelf: all of them, or none where one is refused."""
    for row in rows:
        keep_sheet(user=user, kind=row.kind, name=row.name, note=row.note, typed=row.values, sheet=row.sheet,
                   based_on=row.sheet.number if row.sheet else 0)


def retire_sheet(*, sheet: DataSheet, user: AbstractBaseUser, retired: bool = True) -> None:
    """Take a sheet off the shelf, or put it back; cases that draw on it keep it."""
    with transaction.atomic():
        if not retired:
            _check_name(sheet.kind, sheet.name, sheet)
        DataSheet.objects.filter(pk=sheet.pk).update(
            retired_at=timezone.now() if retired else None, retired_by=user.get_username() if retired else "")


def link_sheet(*, case: Case, version: SheetVersion, user: AbstractBaseUser) -> SheetLink:
    """Let a case draw on a version of a data sheet, in place of one of the same kind, and draft it anew.

    Refused where the case has ended, its newest letter is approved, or a sheet that it does not have yet is retired.
    """
    kind = version.sheet.kind
    with transaction.atomic():
        hold(case)
        round = _changeable(case)
        standing = SheetLink.objects.filter(case=case, kind=kind, ended_at__isnull=True).first()
        if standing and standing.version_id == version.pk:
            return standing
        if version.sheet.retired_at and not (standing and standing.version.sheet_id == version.sheet_id):
            raise Refused("This sheet is retired.", "Pick another, or take it back onto the shelf first.")
        _end(case, kind, user)
        engines_numbers_back(round=round, user=user, reason=OTHER_SHEET)
        link = SheetLink.objects.create(case=case, kind=kind, version=version, user=user, who=user.get_username())
        record_event(case=case, who=link.who, user=user, what="Data sheet laid under the answers.",
                     detail={"sheet": version.name, "version": version.number, "kind": kind})
        draft_again(round=round)
    return link


def unlink_sheet(*, case: Case, kind: str, user: AbstractBaseUser) -> None:
    """Take the data sheet of ``kind`` off a case and draft it anew; nothing happens where there is none."""
    with transaction.atomic():
        hold(case)
        round = _changeable(case)
        if _end(case, kind, user):
            engines_numbers_back(round=round, user=user, reason=OTHER_SHEET)
            record_event(case=case, who=user.get_username(), user=user, what="Data sheet taken off.",
                         detail={"kind": kind})
            draft_again(round=round)


def _end(case: Case, kind: str, user: AbstractBaseUser) -> int:
    return SheetLink.objects.filter(case=case, kind=kind, ended_at__isnull=True).update(
        ended_at=timezone.now(), ended_by=user.get_username())


def _changeable(case: Case) -> Round:
    """Return the round that a sheet would change, where its letter can still be changed."""
    case.refresh_from_db()
    if case.state in ENDED:
        raise Refused(f"The case is {case.get_state_display()}.", "It can only be read.")
    round = case.current_round
    if Letter.objects.filter(round=round, approved_at__isnull=False, replaced_by__isnull=True).exists():
        raise Refused("The letter is approved, and an approved letter is not changed.",
                      "Take the approval back while nothing was sent, or open a next round.")
    return round


def newer_than(*, version: SheetVersion) -> tuple[SheetVersion, list[tuple[str, str, str]]] | None:
    """Return the sheet's newest version and what differs, where ``version`` is an older one."""
    sheet = version.sheet
    if sheet.number == version.number:
        return None
    newest = sheet.versions.get(number=sheet.number)
    return newest, differences(sheet.kind, version.values, newest.values)
