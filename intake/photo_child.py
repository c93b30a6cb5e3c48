"""Decodes one picture in a process of its own, with little memory and little time.

Run by path, not imported: standard input is the upload, standard output a fresh JPEG, the exit status says what was
wrong.  Knows nothing of Django or the case, so that whatever a hostile file manages to do happens here.
"""
from __future__ import annotations

import io
import os
import resource
import sys

MOST_PIXELS = 50_000_000
LONGEST_SIDE = 2000
MEMORY = 1_200 * 1024 * 1024
CPU_SECONDS = 20
NICENESS = 10
"""Whoever waits for a page goes first."""
NOT_A_PICTURE, TOO_MANY_PIXELS, BROKEN, TOO_MUCH, MOVES = 10, 11, 12, 13, 14
FORMATS = ("JPEG", "PNG", "WEBP")
MOVING = ("PNG", "WEBP")
"""Formats in which more than one picture is a film; in a JPEG or HEIC a phone keeps a second exposure or a depth."""


class Moves(Exception):
    """The file is a moving picture."""


def fresh_jpeg(data: bytes) -> bytes:
    """Return a new JPEG from the picture's pixels alone: no metadata, no comment, nothing behind the end."""
    from PIL import Image, ImageOps

    with Image.open(io.BytesIO(data), formats=_formats(data)) as picture:
        if picture.width * picture.height > MOST_PIXELS:
            raise Image.DecompressionBombError
        if picture.format in MOVING and getattr(picture, "is_animated", False):
            raise Moves
        picture.draft("RGB", _fitted(picture.size))  # a large JPEG is decoded at half or quarter size
        picture.load()
        picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        upright = ImageOps.exif_transpose(picture).convert("RGBA" if picture.has_transparency_data else "RGB")
    fresh = Image.new("RGB", upright.size, "white")
    fresh.paste(upright, mask=upright if upright.mode == "RGBA" else None)
    out = io.BytesIO()
    fresh.save(out, "JPEG", quality=85)
    return out.getvalue()


def _fitted(size: tuple[int, int]) -> tuple[int, int]:
    """Return the size that a picture is brought down to; its proportions stay."""
    share = min(1.0, LONGEST_SIDE / max(size))
    return max(1, int(size[0] * share)), max(1, int(size[1] * share))


def _formats(data: bytes) -> tuple[str, ...]:
    return ("HEIF",) if data[4:8] == b"ftyp" else FORMATS


def _load_decoders(data: bytes) -> None:
    """Load what can read this file and nothing more: each decoder takes time to load, and can have faults."""
    if data[4:8] == b"ftyp":
        import pillow_heif

        pillow_heif.register_heif_opener()
    else:
        from PIL import JpegImagePlugin, PngImagePlugin, WebPImagePlugin  # noqa: F401


def main() -> int:
    """Read, decode, write; return the exit status."""
    from PIL import Image, UnidentifiedImageError

    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    os.nice(NICENESS)
    data = sys.stdin.buffer.read()
    _load_decoders(data)
    # Only now: the libraries reserve address space of their own when they start.
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    try:
        out = fresh_jpeg(data)
    except UnidentifiedImageError:
        return NOT_A_PICTURE
    except Image.DecompressionBombError:
        return TOO_MANY_PIXELS
    except Moves:
        return MOVES
    except MemoryError:
        return TOO_MUCH
    except (OSError, SyntaxError, ValueError, EOFError, RuntimeError):
        return BROKEN
    sys.stdout.buffer.write(out)
    return 0


if __name__ == "__main__":
    sys.exit(main())
