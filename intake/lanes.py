"""Where a case stands in the queue, as one number that an index keeps in order: first its lane, then a moment."""
from __future__ import annotations

from datetime import UTC, datetime, timedelta
from enum import IntEnum

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
STEP = 1 << 56
"""Room for a moment in microseconds below each lane; six lanes of it fit into the database's eight bytes."""


class Lane(IntEnum):
    """What kind of case comes before what other kind."""

    STOP = 0
    OVERDUE = 1
    """Our time is up, or the rider's words speak of a danger."""
    RETURNED = 2
    WAITING = 3
    RIDER = 4
    ENDED = 5


TO_DO = Lane.RIDER * STEP
"""Ranks below this wait for us."""


def rank_of(lane: Lane, moment: datetime) -> int:
    """Return the rank of a case in ``lane`` that is ordered by ``moment`` there."""
    return lane * STEP + max(0, (moment - EPOCH) // timedelta(microseconds=1))


def lane_of(rank: int) -> Lane:
    """Return the lane of a rank."""
    return Lane(rank // STEP)


def new_rank() -> int:
    """Return the rank of a case that its rider is just starting."""
    return rank_of(Lane.RIDER, datetime.now(UTC))
