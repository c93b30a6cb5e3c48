"""Dying with one's parent.  Standard library only.

``python -m deploy.parent PID COMMAND ...`` becomes COMMAND, and the kernel ends it when process PID dies.
"""
from __future__ import annotations

import ctypes
import os
import signal
import sys

PR_SET_PDEATHSIG = 1


def signal_me_when_my_parent_dies(number: signal.Signals) -> None:
    """Ask the kernel for a signal at the parent's death (Linux; elsewhere ``is_orphan`` must do).

    Trap: "parent" is the *thread* that started this process, so the signal can come while the parent lives on.
    Whoever must not mistake that asks ``is_orphan`` in the handler.
    """
    if sys.platform.startswith("linux"):
        ctypes.CDLL(None, use_errno=True).prctl(PR_SET_PDEATHSIG, number)


def is_orphan(parent: int) -> bool:
    """Whether the parent that was there at the start is gone."""
    return os.getppid() != parent


def main(argv: list[str]) -> None:
    """Tie this process to its parent and become the command."""
    parent, command = int(argv[0]), argv[1:]
    signal_me_when_my_parent_dies(signal.SIGTERM)
    if is_orphan(parent):  # it died before the kernel was asked
        sys.exit(0)
    os.execv(command[0], command)


if __name__ == "__main__":
    main(sys.argv[1:])
