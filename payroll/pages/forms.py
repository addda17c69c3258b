"""A form of the office: what was typed, and a sentence beside each field that could not be used."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import TypeVar

from django.http import QueryDict

from jobs.pages.typed import LONGEST, Unreadable, read_day
from jobs.refusals import Conflict, Invalid, NotFound, Refusal

T = TypeVar("T")
CANNOT_BE_KEPT = "It holds a character that cannot be kept. Type it again."
_MONEY = re.compile(r"[0-9]{1,8}(\.[0-9]{1,6})?", re.ASCII)
_ID = re.compile(r"[0-9]{1,18}", re.ASCII)


# Fields as the pages name them, for a sentence that stands away from its field.
LABELS: Mapping[str, str] = {
    "person": "Person", "job": "Job", "rate": "Guaranteed money an hour", "signed_on": "Signed on",
    "starts_on": "Holds from", "ends_on": "Holds to", "words": "Words of the agreement",
    "reference": "Where the signed paper lies", "amount": "Money an hour", "cite": "Ordinance",
    "read_on": "You read it on",
    "missed_on": "Day", "why": "What kept the person from it", "last_day": "Last day worked",
    "leaving": "How the work ended",
}  # fmt: skip
BAND_LABELS: Mapping[str, str] = {"name": "Name", "from_inches": "Walls from this height on"}
PERIOD_LABELS: Mapping[str, str] = {
    "starts_on": "From the workweek that begins on", "weeks": "Workweeks in a period",
    "pay_day_after": "Days from the period’s last day to the pay day",
}  # fmt: skip


def named(wrong: Mapping[str, Sequence[str]], labels: Mapping[str, str]) -> list[tuple[str, str]]:
    """(field, sentence) of everything that is wrong, each sentence with the field's label if it has one."""
    return [
        (name, f"{labels[name]}: {sentence}" if name in labels else sentence)
        for name, sentences in wrong.items()
        for sentence in sentences
    ]


@dataclass(slots=True)
class Typed:
    """Values as they were typed, by field; `wrong` has sentences by field, under "" those about the whole. `labels`
    are what the page calls its fields."""

    values: dict[str, str] = field(default_factory=dict)
    wrong: dict[str, list[str]] = field(default_factory=dict)
    labels: Mapping[str, str] = field(default_factory=lambda: LABELS)

    @classmethod
    def of(cls, sent: QueryDict, labels: Mapping[str, str] = LABELS) -> Typed:
        """What was sent; a value with a NUL, which no record can hold, is refused at once."""
        values = {name: value.strip() for name, value in sent.items() if name != "csrfmiddlewaretoken"}
        broken = {name: [CANNOT_BE_KEPT] for name, value in values.items() if "\0" in value}
        return cls({name: value.replace("\0", "") for name, value in values.items()}, broken, labels)

    def day(self, name: str) -> date:
        """A date; 1900-01-01, with a sentence noted, where none can be read."""
        return self._read(name, read_day, date(1900, 1, 1))

    def day_or_none(self, name: str) -> date | None:
        return self.day(name) if self.values.get(name) else None

    def money(self, name: str) -> Decimal:
        return self._read(name, _money, Decimal(1))

    def money_or_none(self, name: str) -> Decimal | None:
        return self.money(name) if self.values.get(name) else None

    def number(self, name: str) -> int:
        """A whole number or the id of something chosen."""
        return self._read(name, _number, 0)

    def text(self, name: str) -> str:
        return self.values.get(name, "")

    def refuse(self, refusal: Refusal) -> None:
        """Put a service's sentences beside their fields."""
        for mistake in refusal.mistakes:
            name = mistake.path if mistake.path in self.values else ""
            sentence = mistake.sentence[:1].upper() + mistake.sentence[1:]
            self.wrong.setdefault(name, []).append(sentence)

    @property
    def refused(self) -> bool:
        return bool(self.wrong)

    @property
    def sentences(self) -> list[tuple[str, str]]:
        """(field, sentence) of everything that is wrong, each with its field's name."""
        return named(self.wrong, self.labels)

    def done(self, step: Callable[[], object]) -> bool:
        """Run a service whose values could be read; its refusal goes beside the fields."""
        if self.refused:
            return False
        try:
            step()
        except (Invalid, Conflict, NotFound) as refusal:
            self.refuse(refusal)
            return False
        return True

    def _read(self, name: str, read: Callable[[str], T], instead: T) -> T:
        try:
            return read(self.values.get(name, ""))
        except Unreadable as wrong:
            self.wrong.setdefault(name, []).append(str(wrong))
            return instead


def _money(text: str) -> Decimal:
    if not text:
        raise Unreadable("No amount was given. Write it as 21.50.")
    if not _MONEY.fullmatch(text):
        raise Unreadable(f"“{text[:LONGEST]}” is no amount of money. Write it as 21.50.")
    return Decimal(text)


def _number(text: str) -> int:
    if not _ID.fullmatch(text):
        raise Unreadable("Nothing was chosen. Choose one of the list.")
    return int(text)
