"""Having a case erased: everything of it goes, and one line without a person stays."""
from __future__ import annotations

from functools import partial

from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from intake.errors import Refused
from intake.models import Case, Erased, Photo, PhotoUpload, Round
from intake.once import forget_answers_about
from intake.photo_files import file_of, made_file
from intake.search import forget_deleted_words
from intake.signals import case_erasing


def erase_case(*, case: Case, typed: str) -> None:
    """Erase the case on the rider's word; ``typed`` is the case's number as the rider wrote it once more.

    Name and address, every round with its answers and photos, drafts, letters, deliveries, links and the diary go in
    one transaction; work and mail that wait go with them.  The photos' files go after the commit.  What stays is an
    ``Erased`` row: the number, so that nobody gets it again, and what the case turned out to be.

    A second time changes nothing.  Raises ``Refused`` where the number is not the case's own.
    """
    if "".join(typed.split()).upper() != case.number:
        raise Refused(_("That is not the number of this case."),
                      _("Type %(number)s to have it erased. Nothing was erased.") % {"number": case.number})
    with transaction.atomic():
        if not Case.objects.filter(pk=case.pk).update(number=case.number):  # holds the row; none left: done before
            return
        # A photo that is being kept at this moment is listed below; one that comes later finds no round.
        Round.objects.filter(case=case).update(number=F("number"))
        photos = list(Photo.objects.filter(round__case=case))
        uploads = PhotoUpload.objects.filter(round__case=case)
        on_their_way = [name(upload) for upload in uploads for name in (file_of, made_file)]
        Erased.objects.create(number=case.number, case_key=case.pk, outcome=Case.objects.get(pk=case.pk).outcome)
        case_erasing.send(sender=Case, case=case)
        forget_answers_about(case)
        Case.objects.filter(pk=case.pk).delete()
        transaction.on_commit(forget_deleted_words, robust=True)
        for photo in photos:
            transaction.on_commit(partial(photo.file.storage.delete, photo.file.name), robust=True)
        for file in on_their_way:
            transaction.on_commit(partial(file.unlink, missing_ok=True), robust=True)


def erased(*, number: str) -> Erased | None:
    """Return what is left of an erased case; None where no case of this number was erased."""
    number = number.strip().upper().replace("\x00", "")
    return Erased.objects.filter(number=number).first() if number else None
