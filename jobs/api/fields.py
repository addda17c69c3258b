"""Reading JSON into exact values, every mistake noted with its path. Unknown keys are mistakes, never ignored."""

from __future__ import annotations

import re
from base64 import b64decode
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID

from jobs.days import NoDay, day_told
from jobs.measures import half_up
from jobs.refusals import Mistake
from jobs.spoken import number_said

_UUID = re.compile(r"[0-9a-fA-F]{8}(-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")
_DECIMAL = re.compile(r"\d{1,10}(\.\d{1,4})?")
_MIXED = re.compile(r"(\d{1,6} )?\d{1,4}/[1-9]\d{0,3}")
_CLOCK = re.compile(r"(\d{1,2}):([0-5]\d)")
_LARGEST_ID = 2**63 - 1
_NOTHING = object()


class Fields:
    """One JSON object under reading. Each getter notes a mistake and gives None where a value cannot be used."""

    def __init__(self, data: Any, mistakes: list[Mistake], path: str = "") -> None:
        self.mistakes = mistakes
        self.path = path
        self._read: set[str] = set()
        self._data: Mapping[str, Any] = data if isinstance(data, Mapping) else {}
        if not isinstance(data, Mapping):
            self._note("", "this must be a JSON object.")

    def at(self, name: str) -> str:
        return f"{self.path}.{name}" if self.path and name else self.path or name

    def _note(self, name: str, sentence: str) -> None:
        self.mistakes.append(Mistake(self.at(name), sentence))

    def raw(self, name: str) -> Any:
        """The value as it came; None where the key is missing or null."""
        self._read.add(name)
        return self._data.get(name)

    def _bad(self, name: str, sentence: str) -> Any:
        """Note a mistake; gives None, for getters to return."""
        self._note(name, sentence)
        return None

    def _needed(self, name: str, needed: bool) -> Any:
        value = self.raw(name)
        if value is None:
            if needed:
                self._note(name, f"{name} is missing. Give it.")
            return _NOTHING
        return value

    def uuid(self, name: str, *, needed: bool = True) -> UUID | None:
        value = self._needed(name, needed)
        if value is _NOTHING:
            return None
        if isinstance(value, str) and _UUID.fullmatch(value):
            return UUID(value)
        return self._bad(name, f"{_say(value)} is no UUID. Write it like 123e4567-e89b-42d3-a456-426614174000.")

    def id(self, name: str, *, needed: bool = True) -> int | None:
        value = self._needed(name, needed)
        if value is _NOTHING:
            return None
        if isinstance(value, int) and not isinstance(value, bool) and 0 < value <= _LARGEST_ID:
            return value
        return self._bad(name, f"{_say(value)} is no id. Ids are whole numbers from 1.")

    def day(self, name: str) -> date | None:
        value = self._needed(name, True)
        if value is _NOTHING:
            return None
        try:
            return day_told(value if isinstance(value, str) else "")
        except NoDay as wrong:
            return self._bad(name, f"{_say(value)} {wrong}")

    def moment(self, name: str, *, needed: bool = True) -> datetime | None:
        value = self._needed(name, needed)
        if value is _NOTHING:
            return None
        if isinstance(value, str) and "T" in value:
            try:
                found = datetime.fromisoformat(value)
            except ValueError:
                found = None
            if found is not None and found.utcoffset() is not None and 1900 <= found.year <= 9000:
                return found
        return self._bad(name, f"{_say(value)} is no moment with its offset. Write it like 2026-03-31T14:05:00-05:00.")

    def decimal(self, name: str, *, needed: bool = True) -> Decimal | None:
        """A decimal of at most four places, as a string so that no float stands between; whole numbers may be bare."""
        value = self._needed(name, needed)
        if value is _NOTHING:
            return None
        if isinstance(value, int) and not isinstance(value, bool):
            value = str(value)
        if isinstance(value, str) and _DECIMAL.fullmatch(value):
            return Decimal(value)
        return self._bad(
            name, f'{_say(value)} is no quantity. Write it as a string with at most four decimals, like "12.5".'
        )

    def number(self, name: str, *, needed: bool = True) -> Fraction | None:
        """A number above 0 as people say it: "3", "10 1/2" or "12'-6 1/2\"" (in feet)."""
        value = self._needed(name, needed)
        if value is _NOTHING:
            return None
        text = str(value) if isinstance(value, int) and not isinstance(value, bool) else value
        found = number_said(text) if isinstance(text, str) else None
        if found is not None and 0 < found.value < 10**6:
            return found.value
        return self._bad(name, f"{_say(value)} is no number above 0. Write it like 3, 10 1/2 or 12'-6\".")

    def quantity(self, name: str, *, needed: bool = True) -> Decimal | None:
        """As `decimal`, and also mixed numbers such as "10 1/2", rounded half up to four decimals."""
        value = self.raw(name)
        if isinstance(value, str) and _MIXED.fullmatch(value) and (found := number_said(value)):
            return half_up(found.value)
        return self.decimal(name, needed=needed)

    def minutes(self, name: str, *, needed: bool = True) -> int | None:
        """Hours as "7.25" or "7:15", to whole minutes."""
        value = self._needed(name, needed)
        if value is _NOTHING:
            return None
        text = str(value) if isinstance(value, int) and not isinstance(value, bool) else value
        if isinstance(text, str):
            clock = _CLOCK.fullmatch(text)
            if clock:
                return int(clock[1]) * 60 + int(clock[2])
            if _DECIMAL.fullmatch(text) and (exact := Decimal(text) * 60) <= 1500:
                if exact == int(exact):
                    return int(exact)
                return self._bad(name, f"{text} hours is no whole number of minutes. Write it like 7:20.")
        return self._bad(name, f'{_say(value)} is no time of one day. Write it as a string, like "7.25" or "7:15".')

    def text(self, name: str, *, longest: int, needed: bool = False) -> str:
        value = self._needed(name, needed)
        if value is _NOTHING:
            return ""
        if not isinstance(value, str) or len(value) > longest:
            self._note(name, f"{name} must be text of at most {longest} letters.")
            return ""
        if "\x00" in value or (not value.isascii() and any("\ud800" <= letter <= "\udfff" for letter in value)):
            self._note(name, f"{name} holds letters that cannot be kept. Type it again.")
            return ""
        return value.strip()

    def base64(self, name: str, *, most: int) -> bytes:
        """Bytes told in base64, `most` of them at most."""
        value = self._needed(name, True)
        if value is _NOTHING:
            return b""
        if isinstance(value, str) and value.isascii() and len(value) <= most * 4 // 3 + 4:
            try:
                return b64decode(value, validate=True)
            except ValueError:
                pass
        self._note(name, f"{name} must be base64 of at most {most:,} bytes.")
        return b""

    def one_of(self, name: str, values: tuple[str, ...], default: str = "") -> str:
        value = self._needed(name, not default)
        if value is _NOTHING:
            return default
        if value in values:
            return str(value)
        self._note(name, f"{_say(value)} is not known here. Use one of: {', '.join(values)}.")
        return default or values[0]

    def only(self) -> None:
        """Note every key that no getter asked for."""
        for name in self._data:
            if name not in self._read:
                self._note(str(name)[:80], "this key is not known. Leave it out, or mend its spelling.")


def _say(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."
