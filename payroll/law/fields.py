"""Reading typed values out of a JSON table, noting every mistake and going on.

Numbers are read exactly: as decimals in quotes or as JSON numbers, never through a binary float. A field that cannot be
read notes one sentence and gives back a harmless value, so that the rest of the file can still be checked.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from payroll.law.workweek import FIRST_YEAR, LAST_YEAR

_DECIMAL = re.compile(r"-?\d{1,12}(?:\.\d{1,12})?", re.ASCII)
_CLOCK = re.compile(r"(-?\d{1,3}):([0-5]\d)", re.ASCII)
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
MISSING = object()


class JsonMistake(ValueError):
    """The text is no JSON, or holds something that JSON readers disagree about."""


def parse_json(text: str) -> Any:
    """Parse JSON with exact decimals. Raises JsonMistake for bad JSON, a key given twice, or a number like NaN."""
    try:
        return json.loads(
            text, parse_float=Decimal, parse_int=Decimal, parse_constant=_constant, object_pairs_hook=_table
        )
    except json.JSONDecodeError as bad:
        raise JsonMistake(f"line {bad.lineno}, column {bad.colno}: {bad.msg}. Correct the JSON there.") from None
    except RecursionError:
        raise JsonMistake("tables or lists are nested too deep. A week file has three levels.") from None


def _constant(word: str) -> None:
    raise JsonMistake(f"{word} is no number. Give a decimal.")


def _table(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table: dict[str, Any] = {}
    for key, value in pairs:
        if key in table:
            raise JsonMistake(f"the key {key!r} is given twice in one table. Keep one.")
        table[key] = value
    return table


@dataclass
class Notes:
    """What was wrong in a file, and the places whose values could not be read and stand for nothing."""

    sentences: list[str] = field(default_factory=list)
    unread: set[str] = field(default_factory=set)


class Table:
    """One JSON object being read: where it stands, its content, and where its mistakes are noted."""

    def __init__(self, content: Any, where: str, notes: Notes, known: tuple[str, ...]) -> None:
        self.where = where
        self.notes = notes
        self.content: dict[str, Any] = content if isinstance(content, dict) else {}
        if not isinstance(content, dict):
            self.note(f"is {shown(content)}, not a table. Write it as {{...}} with the keys {', '.join(known)}.")
        if unknown := [repr(key) for key in self.content if key not in known]:
            keys = "key" if len(unknown) == 1 else "keys"
            self.say(f"unknown {keys} {', '.join(unknown)}. Known keys: {', '.join(known)}.")

    def say(self, sentence: str) -> None:
        """Note a mistake that leaves every value readable."""
        self.notes.sentences.append(f"{self.where}: {sentence}" if self.where else sentence)

    def note(self, sentence: str) -> None:
        """Note a value that could not be read."""
        self.say(sentence)
        self.notes.unread.add(self.where)

    def has(self, key: str) -> bool:
        return self.content.get(key) is not None

    def text(self, key: str, default: str | None = None, blank: bool = False) -> str:
        """A text of printable letters; `default` None makes it required, `blank` lets it be empty."""
        value = self.content.get(key, MISSING)
        if value is MISSING or (value is None and default is not None):
            if default is None:
                self.note(f"{key!r} is missing. Add it as a text.")
            return default or ""
        if not isinstance(value, str):
            self.note(f"{key} is {shown(value)}, not a text. Put it into quotes.")
            return default or ""
        if hidden := next((letter for letter in value if not letter.isprintable()), ""):
            self.note(f"{key} holds a character that cannot be shown, U+{ord(hidden):04X}. Take it out.")
            return default or ""
        if not value.strip() and not blank and default is None:
            self.note(f"{key} is empty. Fill it in.")
        return value

    def day(self, key: str) -> date:
        """A date as YYYY-MM-DD."""
        value = self.content.get(key)
        if isinstance(value, str) and _DAY.fullmatch(value):
            try:
                day = date.fromisoformat(value)
            except ValueError:
                day = date.min
            if FIRST_YEAR <= day.year <= LAST_YEAR:
                return day
        if key in self.content:
            self.note(
                f"{key} {shown(value)} is not a date of the calendar from {FIRST_YEAR} to {LAST_YEAR}. Write it as "
                "YYYY-MM-DD."
            )
        else:
            self.note(f"{key!r} is missing. Add it as YYYY-MM-DD.")
        return date.min

    def decimal(self, key: str, otherwise: str) -> Decimal:
        """A decimal; `otherwise` stands in for one that cannot be read, after its mistake was noted."""
        value = self.content.get(key)
        text = str(value) if isinstance(value, Decimal) else value
        if isinstance(text, str) and _DECIMAL.fullmatch(text):
            return Decimal(text)
        if key not in self.content:
            self.note(f"{key!r} is missing. Add it as a decimal such as {otherwise}.")
        else:
            self.note(
                f"{key} {shown(value)} is not a decimal of at most 12 digits and 12 decimals. Write it like "
                f"{otherwise}."
            )
        return Decimal(otherwise)

    def hours(self, key: str) -> Fraction:
        """Hours as a decimal (7.5) or as hours and minutes (7:30)."""
        value = self.content.get(key)
        clock = _CLOCK.fullmatch(value) if isinstance(value, str) else None
        if clock:
            sign = -1 if clock[1].startswith("-") else 1
            return Fraction(int(clock[1])) + sign * Fraction(int(clock[2]), 60)
        text = str(value) if isinstance(value, Decimal) else value
        if isinstance(text, str) and _DECIMAL.fullmatch(text):
            return Fraction(text)
        if key not in self.content:
            self.note(f"{key!r} is missing. Add it as a decimal or as h:mm.")
        else:
            self.note(f"{key} {shown(value)} is neither a decimal nor h:mm. Write 7.5 or 7:30.")
        return Fraction(0)

    def flag(self, key: str) -> bool:
        """true or false; absent is false."""
        value = self.content.get(key, False)
        if not isinstance(value, bool):
            self.note(f"{key} is {shown(value)}, neither true nor false. Use one of them, without quotes.")
            return False
        return value

    def words(self, key: str) -> tuple[str, ...]:
        """A list of texts; absent is empty."""
        value = self.content.get(key, [])
        if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
            self.note(f'{key} is {shown(value)}, not a list of texts. Write it as ["..."].')
            return ()
        return tuple(value)

    def rows(self, key: str, known: tuple[str, ...], required: bool = False) -> list[Table]:
        """The tables of a list, each named `key n` counting from 1; absent is an empty list unless required."""
        value = self.content.get(key, MISSING)
        if value is MISSING:
            if required:
                self.note(f"{key!r} is missing. Add it as a list, [] if there is nothing in it.")
            return []
        if not isinstance(value, list):
            self.note(f"{key} is {shown(value)}, not a list. Write it as [...].")
            return []
        return [Table(row, f"{key} {number}", self.notes, known) for number, row in enumerate(value, 1)]


def shown(value: Any) -> str:
    """A value as the reader of the file sees it, cut short."""
    if isinstance(value, Decimal):
        text = str(value)
    elif value is None or isinstance(value, (bool, str)):
        text = json.dumps(value, ensure_ascii=isinstance(value, str) and not value.isprintable())
    else:
        text = "a list" if isinstance(value, list) else "a table"
    return text if len(text) <= 60 else text[:57] + "..."
