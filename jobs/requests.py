"""What is asked of the field services, as frozen values, and the canonical form by which a UUID sent again is known.

The canonical form keeps what was asked, not what it came to: "all left" stays "all left". It leaves out the phone's
clock, which may be set right between two attempts, and keeps a note as a digest only, because notes may have to be
forgotten and receipts may not.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID

ALL_LEFT = "all left"
# Units that people speak, beside the operation's own.
SHEETS, FEET, STUDS = "sheets", "feet", "studs"
SPOKEN_UNITS = (SHEETS, FEET, STUDS)


def plain(value: Decimal) -> str:
    """A decimal without exponent or trailing zeros: 12.5000 -> 12.5, 1E+2 -> 100."""
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


@dataclass(frozen=True, slots=True)
class PersonAsked:
    """A person named for a share, with a weight or a quantity where the split asks for one."""

    person: int
    weight: Decimal | None = None
    quantity: Decimal | None = None


@dataclass(frozen=True, slots=True)
class SharesAsked:
    """How an entry is shared: `by` is equal, weight or quantity; among a crew or the people named."""

    by: str = "equal"
    crew: int | None = None
    people: tuple[PersonAsked, ...] = ()

    def canonical(self) -> dict[str, Any]:
        if self.crew is not None:
            return {"by": self.by, "crew": self.crew}
        people = [
            {"person": asked.person}
            | ({} if asked.weight is None else {"weight": plain(asked.weight)})
            | ({} if asked.quantity is None else {"quantity": plain(asked.quantity)})
            for asked in sorted(self.people, key=lambda asked: asked.person)
        ]
        return {"by": self.by, "people": people}


@dataclass(frozen=True, slots=True)
class PartAsked:
    """A part in a unit that people speak: sheets, feet or studs.

    Either an exact `count` of them; or sheets by their numbers in the hanging order, `steps`, and the plan revision
    that numbers them, if it was told.
    """

    unit: str
    count: Fraction | None = None
    steps: tuple[int, ...] = ()
    plan: int | None = None

    def canonical(self) -> dict[str, Any]:
        if self.steps:
            return {"unit": self.unit, "steps": list(self.steps), "plan": self.plan}
        return {"unit": self.unit, "count": str(self.count)}


@dataclass(frozen=True, slots=True)
class EntryRequest:
    """An entry to log, or to put in place of the one named by `replaces` (then on the same work unit).

    `quantity` is in the operation's unit, four decimals at most. Without it `part` tells how much in other words;
    without both, all that is left is asked for. `started_at` and `finished_at`, both or neither, say when in the day it
    was made.
    """

    uuid: UUID
    work_unit: int | None
    worked_on: date
    quantity: Decimal | None
    shares: SharesAsked
    made_at: datetime
    note: str = ""
    replaces: UUID | None = None
    part: PartAsked | None = None
    started_at: datetime | None = None
    finished_at: datetime | None = None

    @property
    def asks_all(self) -> bool:
        return self.quantity is None and self.part is None

    def span_told(self) -> dict[str, Any]:
        """Start and finish as records tell them; nothing where none were given."""
        if self.started_at is None or self.finished_at is None:
            return {}
        return {"started_at": _utc(self.started_at), "finished_at": _utc(self.finished_at)}

    def canonical(self) -> dict[str, Any]:
        return {
            "work_unit": self.work_unit,
            "worked_on": self.worked_on.isoformat(),
            "quantity": ALL_LEFT if self.asks_all else None if self.quantity is None else plain(self.quantity),
            "part": None if self.part is None else self.part.canonical(),
            "shares": self.shares.canonical(),
            "note": note_digest(self.uuid, self.note),
            "replaces": None if self.replaces is None else str(self.replaces),
            "started_at": _utc(self.started_at),
            "finished_at": _utc(self.finished_at),
        }


@dataclass(frozen=True, slots=True)
class HoursRequest:
    """Time of one person on one job and day, in whole minutes, or the time to put in place of `replaces`.

    `started_at` and `finished_at` are given both or neither; `minutes` is the time between them.
    """

    uuid: UUID
    job: int
    person: int
    worked_on: date
    kind: str
    minutes: int
    made_at: datetime
    replaces: UUID | None = None
    started_at: datetime | None = None
    finished_at: datetime | None = None

    def canonical(self) -> dict[str, Any]:
        return {
            "job": self.job,
            "person": self.person,
            "worked_on": self.worked_on.isoformat(),
            "kind": self.kind,
            "hours": f"{self.minutes // 60}:{self.minutes % 60:02d}",
            "replaces": None if self.replaces is None else str(self.replaces),
            "started_at": _utc(self.started_at),
            "finished_at": _utc(self.finished_at),
        }


@dataclass(frozen=True, slots=True)
class InspectionRequest:
    """A verdict on a work unit: accepted, or reopened with a reason."""

    uuid: UUID
    work_unit: int
    verdict: str
    reason: str
    inspected_on: date
    made_at: datetime

    def canonical(self) -> dict[str, Any]:
        return {
            "work_unit": self.work_unit,
            "verdict": self.verdict,
            "reason": note_digest(self.uuid, self.reason),
            "inspected_on": self.inspected_on.isoformat(),
        }


@dataclass(frozen=True, slots=True)
class WordRequest:
    """What is said of an entry or hours, `about` being their UUID, by or for one person.

    `says`: confirmed or disputed, by the person himself; settled, by the office.
    """

    uuid: UUID
    about: UUID
    person: int
    says: str
    reason: str
    made_at: datetime

    def canonical(self) -> dict[str, Any]:
        return {
            "about": str(self.about),
            "person": self.person,
            "says": self.says,
            "reason": note_digest(self.uuid, self.reason),
        }


@dataclass(frozen=True, slots=True)
class PhotoRequest:
    """A photo of an entry, named by its UUID; `source` is the file as the camera wrote it."""

    uuid: UUID
    entry: UUID
    source: bytes
    made_at: datetime

    def canonical(self) -> dict[str, Any]:
        return {"entry": str(self.entry), "photo": hashlib.sha256(self.uuid.bytes + self.source).hexdigest()}


def _utc(moment: datetime | None) -> str | None:
    return None if moment is None else moment.astimezone(UTC).isoformat(timespec="minutes")


def note_digest(uuid: UUID, note: str) -> str:
    """Salted with the UUID, so that equal notes do not show as equal."""
    return hashlib.sha256(uuid.bytes + note.encode()).hexdigest() if note else ""
