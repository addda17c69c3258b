"""A file that waits in its page between the look and the applying: packed into a hidden field, kept nowhere else.

What was looked at is known by its digest, so a field that came back otherwise is only something else to look at.
"""

from __future__ import annotations

import base64
import binascii
import zlib

MOST_BYTES = 8_000_000
# As text it has a third more, and Django takes 2.5 MiB of a form's fields.
MOST_PACKED = 1_800_000


class TooLarge(Exception):
    """The file, or what it packs to, is larger than a page carries; its text is the sentence for the page."""


def packed(source: bytes) -> str:
    """The file as text for a hidden field. Raises TooLarge."""
    if len(source) > MOST_BYTES:
        raise TooLarge(f"The file has {len(source):,} bytes; the page takes {MOST_BYTES:,}.")
    small = zlib.compress(source, 9)
    if len(small) > MOST_PACKED:
        raise TooLarge(f"The file has {len(small):,} bytes when packed; the page carries {MOST_PACKED:,}.")
    return base64.urlsafe_b64encode(small).decode()


def unpacked(text: str) -> bytes | None:
    """The file of a hidden field; None where the field was cut or is none. Never unpacks more than a page takes."""
    try:
        reader = zlib.decompressobj()
        source = reader.decompress(base64.b64decode(text, altchars=b"-_", validate=True), MOST_BYTES + 1)
    except (binascii.Error, ValueError, zlib.error):
        return None
    return source if reader.eof and len(source) <= MOST_BYTES else None
