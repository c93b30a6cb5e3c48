"""What the case file tells the rooms above it."""
from __future__ import annotations

from django.dispatch import Signal

work_waiting = Signal()
"""A work order waits for its draft.  Sent after the commit with ``order_id``; nobody has to be listening."""

photo_waiting = Signal()
"""A photo has come and waits to be made afresh.  Sent after the commit with ``upload_id``."""

case_moved = Signal()
"""A case has moved to another state, inside the transaction that does it; sent with ``case``."""

case_erasing = Signal()
"""A case is about to be erased, inside the transaction that does it; sent with ``case``.  Rooms above take away what
they hold of it first."""
