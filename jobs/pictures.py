"""Photos as they are kept: what a camera wrote is decoded, turned upright, made smaller, and encoded anew.

Nothing of the file that came is kept beside what is to be seen: no place, no time, no name of a device, no comment.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from struct import error as StructError

from PIL import Image, ImageOps

MOST_BYTES = 10_000_000
# Told by the file's head before anything is decoded. A JPEG is decoded at a fraction of its size; others whole.
MOST_PIXELS = 50_000_000
LONG_SIDE = 1600
QUALITY = 80
FORMATS = ("JPEG", "PNG", "WEBP")
_BROKEN = (OSError, ValueError, SyntaxError, StructError, EOFError, KeyError, IndexError, OverflowError)
_BOMB = (Image.DecompressionBombError, Image.DecompressionBombWarning)


class NoPhoto(ValueError):
    """The bytes are no photo that is kept here; the message is a whole sentence with the next step."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A JPEG without metadata, upright; `width` and `height` in pixels."""

    jpeg: bytes
    width: int
    height: int


def too_large(size: int) -> str:
    """The sentence for a file of more than `MOST_BYTES` bytes."""
    return f"The photo has {size:,} bytes, {MOST_BYTES:,} are the most. Take it smaller."


def plain_picture(source: bytes) -> Picture:
    """Encode a photo anew, `LONG_SIDE` pixels at most. Raises NoPhoto."""
    if len(source) > MOST_BYTES:
        raise NoPhoto(too_large(len(source)))
    try:
        with Image.open(BytesIO(source), formats=FORMATS) as opened:
            pixels = opened.width * opened.height
            if pixels > MOST_PIXELS:
                raise NoPhoto(f"The photo has {pixels:,} pixels, {MOST_PIXELS:,} are the most. Take it smaller.")
            opened.draft("RGB", (LONG_SIDE, LONG_SIDE))
            shown = _upright(opened)
    except _BOMB:
        raise NoPhoto(f"The photo has more than {MOST_PIXELS:,} pixels. Take it smaller.") from None
    except NoPhoto:
        raise
    except _BROKEN:
        raise NoPhoto("This is no photo that can be read. Send a whole JPEG, PNG or WebP.") from None
    out = BytesIO()
    shown.save(out, "JPEG", quality=QUALITY, optimize=True)
    return Picture(out.getvalue(), shown.width, shown.height)


def _upright(opened: Image.Image) -> Image.Image:
    """The picture on white, in an image that knows nothing of the file."""
    image = opened if opened.mode in {"RGB", "RGBA"} else opened.convert("RGBA" if _sees_through(opened) else "RGB")
    image.thumbnail((LONG_SIDE, LONG_SIDE))
    image = ImageOps.exif_transpose(image)
    shown = Image.new("RGB", image.size, "white")
    shown.paste(image, mask=image if image.mode == "RGBA" else None)
    return shown


def _sees_through(opened: Image.Image) -> bool:
    return "A" in opened.getbands() or "transparency" in opened.info
