"""One way to print a record as bytes, so that its hash can be made again anywhere."""

from __future__ import annotations

import hashlib
import json
from typing import Any


def canonical(value: Any) -> bytes:
    """JSON with sorted keys and no spaces, UTF-8. Decimals and dates must be strings already; floats are refused."""
    return json.dumps(
        value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, default=_refuse, allow_nan=False
    ).encode()


def _refuse(value: Any) -> Any:
    raise TypeError(f"{value!r} ({type(value).__name__}) has no canonical form here. Print it as a string first.")


def digest(value: Any) -> str:
    """SHA-256 of the canonical form, in hexadecimal."""
    return hashlib.sha256(canonical(value)).hexdigest()
