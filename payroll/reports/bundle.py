"""A zip of files with a manifest that holds the SHA-256 of each; equal content makes equal bytes."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Mapping
from typing import Any

MANIFEST = "manifest.json"
# Every file bears this moment, so that the bytes say nothing of when they were packed.
_MOMENT = (1980, 1, 1, 0, 0, 0)


def bundle(about: Mapping[str, Any], files: Mapping[str, bytes]) -> bytes:
    """Pack `files` in their order, and last a manifest of `about` with the hash of every file."""
    hashes = {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}
    manifest = json.dumps({**about, "sha256": hashes}, indent=1, ensure_ascii=False).encode()
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as opened:
        for name, content in {**files, MANIFEST: manifest}.items():
            info = zipfile.ZipInfo(name, date_time=_MOMENT)
            info.compress_type = zipfile.ZIP_DEFLATED
            opened.writestr(info, content)
    return packed.getvalue()
