"""How a line in the log is written."""
from __future__ import annotations

import logging
import re

PRIVATE_LINK = re.compile(r"/link/[\w-]{20,}")


class WithoutPrivateLinks(logging.Formatter):
    """A refused request is logged with its address, and a private link's address opens a case."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line with the secret part of any private link left out."""
        return PRIVATE_LINK.sub("/link/(not written down)", super().format(record))
