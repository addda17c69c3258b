"""A text as a code to scan from the page."""

from __future__ import annotations

import segno


def scannable(text: str) -> str:
    """A QR code (ISO/IEC 18004) as SVG, without style or script; the figure around it says what it is."""
    drawn: str = segno.make(text, error="m", micro=False).svg_inline(omitsize=True, border=4)
    return drawn.replace("<svg ", '<svg aria-hidden="true" ', 1)
