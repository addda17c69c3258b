"""Photos as a camera gives them, made up."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from PIL import Image, ImageDraw


def shot(size: tuple[int, int] = (400, 200), kind: str = "JPEG", **saved: Any) -> bytes:
    """A white picture with a red quarter at its upper left."""
    image = Image.new("RGB", size, "white")
    ImageDraw.Draw(image).rectangle((0, 0, size[0] // 2, size[1] // 2), fill=(200, 0, 0))
    out = BytesIO()
    image.save(out, kind, **saved)
    return out.getvalue()
