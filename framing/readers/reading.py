"""Reading plain values while collecting what is wrong: each getter notes a mistake and gives a harmless stand-in."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from decimal import Decimal
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from framing.length import Length, LengthMistake, parse_length
from framing.limits import MOST_MISTAKES
from framing.plan import Mistake, PlanMistakes, place

LONGEST_MARK = 40
_SHOWN = 60
_LONGEST_NUMBER = 200


class Unread(Exception):
    """A value that could not be read; its mistake is noted already."""


class Reading:
    """One file being read. `mistakes` grows; `unit` is the file's length unit."""

    def __init__(self) -> None:
        self.mistakes: list[Mistake] = []
        self.unit = "in"

    def note(self, where: str, field: str, value: object, reason: str, next_step: str) -> None:
        """One more mistake of the file."""
        if not self.is_full:
            self.add(Mistake(where, field, shown(value), reason, next_step))

    def add(self, mistake: Mistake) -> None:
        """Keep a mistake; the last that is kept says that there are more."""
        if self.is_full:
            return
        self.mistakes.append(mistake)
        if self.is_full:
            told = f"There are more mistakes than these {MOST_MISTAKES}"
            self.mistakes[-1] = Mistake("", "", "", told, "Correct them; the others are told then.")

    @property
    def is_full(self) -> bool:
        """Whether so much is wrong that nobody would read on."""
        return len(self.mistakes) > MOST_MISTAKES

    def object(self, value: Any, where: str, field: str, keys: Iterable[str], needed: Iterable[str]) -> dict[str, Any]:
        """An object with known keys only. Raises Unread if it is no object."""
        if not isinstance(value, dict):
            self.note(where, field, value, "is not an object", "Write { } with the keys that the format names.")
            raise Unread
        known = list(keys)
        for key in value:
            if key not in known and not self.is_full:
                close = get_close_matches(key, known, 1)
                hint = f"Did you mean {close[0]}? " if close else ""
                self.note(
                    where,
                    join(field, key),
                    value[key],
                    "is not a key of the format",
                    f"{hint}Known here: {', '.join(known)}.",
                )
        for key in needed:
            if key not in value:
                self.note(where, join(field, key), "", "is missing", "Add it.")
        return value

    def items(self, value: Any, where: str, field: str) -> list[Any]:
        if not isinstance(value, list):
            self.note(where, field, value, "is not a list", "Write [ ] around it.")
            return []
        return value

    def length(self, value: Any, where: str, field: str, *, least: Length | None = 0, above: bool = False) -> Length:
        """A length, at least `least` (above it if `above`). Raises Unread."""
        try:
            if isinstance(value, float):
                raise LengthMistake("is not exact")
            found = parse_length(value, self.unit)
        except LengthMistake as mistake:
            self.note(where, field, value, *_reason_and_cure(str(mistake)))
            raise Unread from None
        if least is not None and (found < least or (above and found == least)):
            reason = "must be more than zero" if above else "must not be less than zero"
            self.note(where, field, value, reason, "Correct it.")
            raise Unread
        return found

    def word(self, value: Any, where: str, field: str, allowed: Iterable[str]) -> str:
        """One of the allowed words. Raises Unread."""
        words = list(allowed)
        if not isinstance(value, str) or value not in words:
            self.note(where, field, value, "is not known", f"Use one of: {', '.join(words)}.")
            raise Unread
        return value

    def mark(self, value: Any, where: str, field: str) -> str:
        """A short text that names something. Raises Unread."""
        if not isinstance(value, str) or not value.strip() or len(value) > LONGEST_MARK or not value.isprintable():
            self.note(
                where, field, value, "is not a name", f"Write a text of 1 to {LONGEST_MARK} printable characters."
            )
            raise Unread
        return value.strip()

    def yes_or_no(self, value: Any, where: str, field: str) -> bool:
        if not isinstance(value, bool):
            self.note(where, field, value, "is neither true nor false", "Write true or false.")
            raise Unread
        return value

    def whole(self, value: Any, where: str, field: str, least: int = 0, most: int = 1_000_000) -> int:
        """A whole number. Raises Unread."""
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            self.note(where, field, value, "is not a whole number in range", f"Write one from {least} to {most}.")
            raise Unread
        return value


def json_file(source: str | Path | bytes, what: str, largest: int, cure: str, *, name: str = "") -> Any:
    """The value of a JSON file, or of its bytes. Raises PlanMistakes with one sentence about `what`, under `name`."""
    if not isinstance(source, bytes):
        source = file_bytes(source, what, largest)
    try:
        if len(source) > largest:
            raise ValueError(f"is larger than {largest // 1024 // 1024} MiB")
        return load_json(source)
    except ValueError as error:
        raise PlanMistakes([Mistake(what, "", "", str(error), cure)], name) from None


def file_bytes(path: str | Path, what: str, largest: int) -> bytes:
    """What a file holds: no more than one byte past `largest` is ever read, whatever the path leads to. Raises
    PlanMistakes."""
    try:
        with Path(path).open("rb") as opened:
            return opened.read(largest + 1)
    except OSError as error:
        reason = f"cannot be read ({error.strerror or type(error).__name__})"
        raise PlanMistakes([Mistake(what, "", "", reason, "Check the path.")], str(path)) from None


def load_json(text: bytes) -> Any:
    """JSON with exact decimals, no repeated keys, no NaN. Raises ValueError with a sentence's middle."""
    try:
        return json.loads(
            text.decode("utf-8-sig"),
            parse_float=_decimal,
            parse_int=_whole,
            parse_constant=_no_constant,
            object_pairs_hook=_no_repeats,
        )
    except UnicodeDecodeError as error:
        raise ValueError(f"is not UTF-8 text (byte {error.start + 1})") from None
    except json.JSONDecodeError as error:
        raise ValueError(f"is not JSON: {error.msg} at line {error.lineno}, column {error.colno}") from None
    except RecursionError:
        raise ValueError("is nested too deeply to be a plan") from None


def _decimal(digits: str) -> Decimal:
    return Decimal(_short(digits))


def _whole(digits: str) -> int:
    return int(_short(digits))


def _short(digits: str) -> str:
    if len(digits) > _LONGEST_NUMBER:
        raise ValueError(f"holds a number of {len(digits)} characters, which nothing here can be")
    return digits


def _no_constant(name: str) -> Any:
    raise ValueError(f"holds {name}, which is no number")


def _no_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        seen: set[str] = set()
        twice = next(key for key, _ in pairs if key in seen or seen.add(key))  # type: ignore[func-returns-value]
        raise ValueError(f'has the key "{_short_word(twice)}" twice in one object')
    return found


def shown(value: object) -> str:
    """A value as a sentence shows it: short, on one line."""
    if value == "":
        return ""
    if isinstance(value, Mapping):
        return "{…}"
    text = (
        str(value)
        if isinstance(value, int | Decimal) and not isinstance(value, bool)
        else json.dumps(value, default=str, ensure_ascii=False)
    )
    return _short_word(text)


def _short_word(text: str) -> str:
    """A file's own text on one line: neither long, nor halves of characters, nor what turns the line around."""
    short = text if len(text) <= _SHOWN else text[: _SHOWN - 1] + "…"
    return "".join(letter if letter.isprintable() else "\ufffd" for letter in short)


_NAMED = 20


def some(names: Iterable[str], none: str) -> str:
    """Names for a sentence: the first twenty, and how many more there are."""
    known = list(names)
    more = f" and {len(known) - _NAMED} more" if len(known) > _NAMED else ""
    return ", ".join(known[:_NAMED]) + more or none


def join(field: str, key: str) -> str:
    key = _short_word(key)
    return f"{field}.{key}" if field else key


def _reason_and_cure(text: str) -> tuple[str, str]:
    reason, _, cure = text.partition(". ")
    return reason, (cure or "Correct it").rstrip(".") + "."


__all__ = ["LONGEST_MARK", "Reading", "Unread", "join", "json_file", "load_json", "place", "shown"]
