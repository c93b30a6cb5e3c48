"""What the rest of the program can listen to."""
from django.dispatch import Signal

mail_waiting = Signal()
"""A delivery waits to be sent; sent after the commit with ``delivery_id``."""

hook_waiting = Signal()
"""A message to a shop's web-hook waits to be sent; sent after the commit with ``sending_id``."""

reminder_waiting = Signal()
"""A reminder waits to be sent; sent after the commit with ``reminder_id``."""
