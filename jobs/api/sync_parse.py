"""Reading what a phone sends when it is back on line."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from jobs.api import parse
from jobs.api.fields import Fields
from jobs.refusals import Invalid, Mistake, Refusal, raise_mistakes
from jobs.services.sync import Operation

MOST = 500
_READERS: dict[str, Callable[[Any], Operation]] = {
    "entry": parse.entry_request,
    "hours": parse.hours_request,
    "inspection": parse.inspection_request,
}


def body(data: Any) -> tuple[list[Any], str | None, bool]:
    """The operations, unread; the cursor; and whether changes are asked for. Raises Invalid."""
    mistakes: list[Mistake] = []
    fields = Fields(data, mistakes)
    items = fields.raw("operations")
    since = fields.raw("since")
    fields.only()
    if not isinstance(items, list) or len(items) > MOST:
        mistakes.append(
            Mistake("operations", f"operations must be a list of {MOST} at most. Send longer ones in parts.")
        )
    if since is not None and not isinstance(since, str):
        mistakes.append(Mistake("since", "since must be the cursor of the last answer, or null."))
    raise_mistakes(mistakes)
    return list(items), since, "since" in data


def operation(item: Any) -> Operation | Refusal:
    """One operation of the list, or why it cannot be read. Its mistakes bear paths from inside of it."""
    try:
        if not isinstance(item, dict) or len(item) != 1 or not set(item) <= set(_READERS):
            keys = ", ".join(_READERS)
            raise Invalid(Mistake("", f"an operation is a JSON object with one key, one of: {keys}."))
        kind, content = next(iter(item.items()))
        return _READERS[kind](content)
    except Refusal as refusal:
        return refusal


def uuid_told(item: Any) -> str | None:
    """The UUID as the phone wrote it, to find the operation by; None where there is none."""
    content = next(iter(item.values()), None) if isinstance(item, dict) else None
    uuid = content.get("uuid") if isinstance(content, dict) else None
    return uuid if isinstance(uuid, str) and len(uuid) <= 100 else None
