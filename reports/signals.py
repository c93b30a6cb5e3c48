"""What the rest of the program can listen to."""
from django.dispatch import Signal

mail_waiting = Signal()
"""A delivery waits to be sent; sent after the commit with ``delivery_id``."""

reminder_waiting = Signal()
"""A reminder waits to be sent; sent after the commit with ``reminder_id``."""
