"""A phone's place in the changes: what it has seen as a snapshot, and how far it is through the pages after it.

The cursor is opaque to phones and open to whoever cares to decode it. Nothing secret or trusted is in it: reach is
asked anew for every page, so a cursor of one's own making can at most leave out what one could have had.
"""

from __future__ import annotations

import binascii
import re
from base64 import urlsafe_b64decode, urlsafe_b64encode
from dataclasses import dataclass

from jobs.refusals import Invalid, Mistake

# A snapshot in which nothing is seen yet, in PostgreSQL's words: lowest running, next, and those running between.
NOTHING = "1:1:"
STAGES = ("walls", "work_units")
# A snapshot taken while so many transactions run is cut down to the lowest of them: more is told again, none left out.
MOST_RUNNING = 200
_LARGEST = 2**63 - 1
_CURSOR = re.compile(
    r"2\|(\d{1,20})\|(\d{1,19})\|([\d:,]{3,5000})\|([\d:,]{3,5000})\|(\w*)\|(\d{1,19})\|(\d{1,19})\|(\d{1,19})"
)


@dataclass(frozen=True, slots=True)
class Place:
    """Behind which row the next page starts: its stage, job, change and id."""

    stage: str = STAGES[0]
    job: int = 0
    changed: int = 0
    id: int = 0


@dataclass(frozen=True, slots=True)
class Cursor:
    """`seen` is the snapshot of the last whole round; between pages, `seeing` is the one its first page was read in.

    `cluster` and `membership` say whose it is: a cursor of another database or member starts from nothing.
    """

    cluster: int
    membership: int
    seen: str = NOTHING
    seeing: str = NOTHING
    place: Place | None = None


def cursor_text(cursor: Cursor) -> str:
    place = cursor.place or Place(stage="")
    parts = (
        2, cursor.cluster, cursor.membership, cursor.seen, cursor.seeing, place.stage, place.job, place.changed,
        place.id,
    )  # fmt: skip
    return urlsafe_b64encode("|".join(map(str, parts)).encode()).decode().rstrip("=")


def cursor_read(text: str, path: str = "since") -> Cursor:
    """Raises Invalid for a text that was never given out here."""
    try:
        found = _CURSOR.fullmatch(urlsafe_b64decode(text + "=" * (-len(text) % 4)).decode("ascii"))
    except (ValueError, binascii.Error):
        found = None
    if found is None or not (_is_snapshot(found[3]) and _is_snapshot(found[4])) or found[5] not in {"", *STAGES}:
        raise Invalid(Mistake(path, "this cursor was not given out here. Leave it out to start from the beginning."))
    job, changed, row = (min(int(number), _LARGEST) for number in found.groups()[5:])
    place = Place(found[5], job, changed, row) if found[5] else None
    return Cursor(int(found[1]), int(found[2]), found[3], found[4], place)


def snapshot_short(snapshot: str) -> str:
    """The snapshot, or where too many transactions ran, an older one that covers it."""
    lowest, _, running = snapshot.split(":")
    return snapshot if running.count(",") < MOST_RUNNING else f"{lowest}:{lowest}:"


def lowest_running(snapshot: str) -> int:
    return int(snapshot.partition(":")[0])


def _is_snapshot(text: str) -> bool:
    """What PostgreSQL takes for a pg_snapshot: lowest <= next, those between in order."""
    parts = text.split(":")
    if len(parts) != 3 or not parts[0] or not parts[1]:
        return False
    numbers = parts[2].split(",") if parts[2] else []
    if not all(numbers) and numbers:
        return False
    lowest, following, running = int(parts[0]), int(parts[1]), [int(number) for number in numbers]
    return (
        0 < lowest <= following <= _LARGEST
        and running == sorted(set(running))
        and all(lowest <= number < following for number in running)
    )
