"""What was typed or photographed in one round of a case is never taken for the next, unless its rider says so."""
from __future__ import annotations

from django.utils.translation import gettext as _

from intake.errors import Refused
from intake.models import Round


def of_another_round(typed: str | None, round: Round) -> bool:
    """Tell whether a page or a phone says that what it sends belongs to another round; silence says nothing."""
    return bool(typed) and typed != str(round.number)


def other_round() -> Refused:
    """Return what is said about a page that was open when the next round was opened elsewhere."""
    return Refused(_("This page was opened in another round of this case. Nothing of it is saved yet."),
                   _("What you typed stands here. Look at each answer: what still holds is saved once you save again."))


def photo_of_another_round() -> Refused:
    """Return what is said about a photo that waited on a phone while the next round was opened."""
    return Refused(_("This photo was taken in another round of this case."),
                   _("If it shows the bike as it is now, add it to this round. If not, throw it away."))
