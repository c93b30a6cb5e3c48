"""The data folder of one installation, and what settings need to know about it.  Standard library only."""
from __future__ import annotations

import hashlib
import os
import re
import secrets
import sqlite3
import tempfile
from pathlib import Path

LONGEST_SOCKET_PATH = 100
"""The kernel takes 107 bytes; the broker adds a few for its temporary name."""
SAFE_WAL = (3, 51, 3)
"""From this SQLite on the write-ahead log is safe with several processes; before, a bug could corrupt it."""


def data_folder(base: Path, wanted: str = "") -> Path:
    """Return the data folder, made if need be: the one asked for, or ``.farbench`` beside the code."""
    folder = Path(wanted).expanduser().resolve() if wanted else base / ".farbench"
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return folder


def kept_secret(path: Path) -> str:
    """Return the secret kept at ``path``; the first to ask makes it, and of two at once only one does."""
    if not path.exists():
        fresh = path.with_name(f"{path.name}.{os.getpid()}.{secrets.token_hex(4)}")
        fresh.touch(mode=0o600)
        fresh.write_text(secrets.token_urlsafe(50))
        try:
            os.link(fresh, path)
        except FileExistsError:
            pass
        finally:
            fresh.unlink()
    return path.read_text().strip()


def socket_path(folder: Path) -> Path:
    """Return where the embedded broker listens: in the data folder, or elsewhere where that path cannot be used."""
    inside = folder / "broker" / "broker.sock"
    fits = len(os.fsencode(inside)) <= LONGEST_SOCKET_PATH
    if fits and re.fullmatch(r"[\w/.-]+", str(inside), re.ASCII):  # other signs would need care in an address
        return inside
    mark = hashlib.sha256(os.fsencode(folder)).hexdigest()[:12]
    return Path(tempfile.gettempdir()) / f"farbench-{os.getuid()}-{mark}" / "broker.sock"


def broker_url(folder: Path) -> str:
    """Return the embedded broker's address, in Celery's spelling."""
    return f"redis+socket://{socket_path(folder)}"


def sqlite_pragmas(version: tuple[int, ...] = sqlite3.sqlite_version_info) -> str:
    """Return the statements that make SQLite safe with several processes, by the library's version.

    What is deleted is overwritten, so that an erased case cannot be read from the file's free pages.
    """
    journal = "journal_mode=DELETE; PRAGMA synchronous=EXTRA" if version < SAFE_WAL else (
        "journal_mode=WAL; PRAGMA synchronous=FULL")
    return f"PRAGMA secure_delete=ON; PRAGMA {journal}"
