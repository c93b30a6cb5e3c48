"""Decodes one picture in a process of its own, with little memory and little time.

Run by path, not imported: standard input is the upload, standard output a fresh JPEG, the exit status says what was
wrong.  Knows nothing of Django or the case, so that whatever a hostile file manages to do happens here.
"""
from __future__ import annotations

import io
import resource
import sys

MOST_PIXELS = 50_000_000
LONGEST_SIDE = 2560
MEMORY = 1_200 * 1024 * 1024
CPU_SECONDS = 20
NOT_A_PICTURE, TOO_MANY_PIXELS, BROKEN, TOO_MUCH = 10, 11, 12, 13
FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")


def fresh_jpeg(data: bytes) -> bytes:
    """Return a new JPEG from the picture's pixels alone: no metadata, no comment, nothing behind the end."""
    from PIL import Image, ImageOps

    with Image.open(io.BytesIO(data), formats=FORMATS) as picture:
        if picture.width * picture.height > MOST_PIXELS:
            raise Image.DecompressionBombError
        picture.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))  # a large JPEG is decoded at half or quarter size
        picture.load()
        picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        upright = ImageOps.exif_transpose(picture).convert("RGBA" if picture.has_transparency_data else "RGB")
    fresh = Image.new("RGB", upright.size, "white")
    fresh.paste(upright, mask=upright if upright.mode == "RGBA" else None)
    out = io.BytesIO()
    fresh.save(out, "JPEG", quality=85)
    return out.getvalue()


def main() -> int:
    """Read, decode, write; return the exit status."""
    import pillow_heif
    from PIL import Image, UnidentifiedImageError

    pillow_heif.register_heif_opener()
    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    data = sys.stdin.buffer.read()
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
    except MemoryError:
        return TOO_MUCH
    except (OSError, SyntaxError, ValueError, EOFError, RuntimeError):
        return BROKEN
    sys.stdout.buffer.write(out)
    return 0


if __name__ == "__main__":
    sys.exit(main())
