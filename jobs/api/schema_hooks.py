"""Last touches to the OpenAPI schema."""

from __future__ import annotations

from typing import Any


def null_as_a_type(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Write `nullable` as OpenAPI 3.1 does, a type of its own: DRF describes its pages in the manner of 3.0."""

    def mend(part: Any) -> None:
        if isinstance(part, dict):
            if part.pop("nullable", False) and isinstance(part.get("type"), str):
                part["type"] = [part["type"], "null"]
            for inner in part.values():
                mend(inner)
        elif isinstance(part, list):
            for inner in part:
                mend(inner)

    mend(result)
    return result
