"""What the diary says, in the language of whoever reads it.

A row keeps the English sentence that was written down.  Here stands how each of them reads: the pattern that finds it,
and the sentence it is said by.  What only the desk needs, such as which tuner it was, is left out.
"""
from __future__ import annotations

import re
from functools import cache

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from intake.events import RIDER, WORKER

SAID = (
    # from the first page to the hand-in
    gettext_noop("Case started."), gettext_noop("Private link made."), gettext_noop("Private link mailed."),
    gettext_noop("Private links revoked."), gettext_noop("The private link could not be mailed."),
    gettext_noop("Name or e-mail address changed."), gettext_noop("Language picked."),
    gettext_noop("Earlier answers offered."), gettext_noop("Answers saved."),
    gettext_noop("Said what was changed on the bike."), gettext_noop("Photo added."), gettext_noop("Photo removed."),
    gettext_noop("A photo could not be used."), gettext_noop("Bench sheet printed."), gettext_noop("Handed in."),
    gettext_noop("No more reminders."), gettext_noop("Reminders wanted again."), gettext_noop("Gone quiet."),
    gettext_noop("Round {number} opened."), gettext_noop("Case withdrawn."),
    # at the desk
    gettext_noop("Assessed."), gettext_noop("Older assessment set aside."), gettext_noop("Taken."),
    gettext_noop("Given back."), gettext_noop("Rider asked."), gettext_noop("Rider advised."),
    gettext_noop("Advice taken back."), gettext_noop("Case closed."), gettext_noop("Outcome corrected."),
    gettext_noop("Could not be drafted; put aside."), gettext_noop("Another try at the draft."),
    gettext_noop("Added a travel log."), gettext_noop("Read a travel log."), gettext_noop("Removed a travel log."),
    gettext_noop("Data sheet laid under the answers."), gettext_noop("Data sheet taken off."),
    gettext_noop("Own numbers put into the draft."), gettext_noop("The engine's numbers put back."),
    gettext_noop("Leading cause judged otherwise."), gettext_noop("Own judgement taken back."),
    gettext_noop("Fee quoted."), gettext_noop("Fee agreed."), gettext_noop("Fee settled."), gettext_noop("Fee waived."),
    # the letter
    gettext_noop("Letter approved, version {number}."), gettext_noop("Approval of version {number} taken back."),
    gettext_noop("A letter that replaces the one sent was begun."), gettext_noop("Letter mailed to {to}."),
    gettext_noop("Letter queued for {to} again."), gettext_noop("Letter queued for {to}."),
    gettext_noop("Letter to {to} taken back before it left."), gettext_noop("Letter to {to} leaves at once."),
    gettext_noop("Letter to {to} did not arrive; queued again."), gettext_noop("Letter to {to} did arrive."),
)
"""Sentences that are said as they were written down."""
SHORTER = {
    "Taken over from {name}.": gettext_noop("Taken over from another tuner."),
    "Handed over to {name}.": gettext_noop("Handed over to another tuner."),
    "Letter to {to} could not be mailed.{reason}": gettext_noop("Letter to {to} could not be mailed."),
    "Nobody can say whether the letter to {to} went out.{reason}":
        gettext_noop("Nobody can say whether the letter to {to} went out."),
    "Late answer about the letter to {to}: {answer}": gettext_noop("A late answer came about the letter to {to}."),
    "Reminder mailed: {step}": gettext_noop("Reminder mailed."),
    "Reminder could not be mailed: {step}": gettext_noop("A reminder could not be mailed."),
    "Nobody can say whether a reminder went out: {step}": gettext_noop("Nobody can say whether a reminder went out."),
    "Words of version {number} kept {why}.": gettext_noop("The words of version {number} were kept."),
    "{what}, version {number}.": gettext_noop("Letter edited, version {number}."),
}
"""Sentences that are said with less."""


def in_words(what: str) -> str:
    """Return a diary row's sentence in the language at hand; one that nobody listed stays as it was written down."""
    for pattern, said in _patterns():
        if found := pattern.fullmatch(what):
            return _(said).format(**found.groupdict())
    return what


def who_in_words(who: str, of_ours: bool) -> str:
    """Return who did it; whoever of us it was is 'tuner'."""
    if of_ours:
        return _("tuner")
    return {RIDER: _("The rider"), WORKER: "Farbench"}.get(who, who.replace("shop:", f"{_('Workshop')}:"))


@cache
def _patterns() -> tuple[tuple[re.Pattern[str], str], ...]:
    return tuple((_pattern(written), said) for written, said in [*zip(SAID, SAID, strict=True), *SHORTER.items()])


def _pattern(written: str) -> re.Pattern[str]:
    return re.compile(re.sub(r"\\\{(\w+)\\\}", r"(?P<\1>.*)", re.escape(written)), re.DOTALL)
