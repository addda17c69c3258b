"""Files that a page hands out: written whole inside a short transaction, then sent as fast as the reader takes them."""

from __future__ import annotations

import tempfile
from typing import IO

from django.http import FileResponse, HttpResponse

ZIP, CSV = "application/zip", "text/csv; charset=utf-8"


def waiting_file() -> IO[bytes]:
    """A file on disk, gone when it is closed: large ones do not fit into memory, and a slow reader holds no lock."""
    return tempfile.TemporaryFile()  # closed by the response that sends it


def sent(file: IO[bytes], name: str, media: str) -> FileResponse:
    """Send such a file from its beginning, under a name."""
    file.seek(0)
    return FileResponse(file, as_attachment=True, filename=name, content_type=media)


def handed(content: bytes, name: str, media: str) -> HttpResponse:
    """Send what is in memory already, under a name."""
    made = HttpResponse(content, content_type=media)
    made.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return made
