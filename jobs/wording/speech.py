"""The words of the work in one language, read once from `words/*.yaml`."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

import yaml

from jobs.wording.locales import places_of

FOLDER = Path(__file__).parent / "words"
LANGUAGES = ("en", "es", "fr")
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
# Marks of figures alone are taken from it: quantities bear no currency.
_MONEY = "USD"


def language_of(code: str) -> str:
    """The language of a person's code: es-MX is Spanish; one that is not spoken here is English."""
    short = code.strip().lower().replace("_", "-").partition("-")[0]
    return short if short in LANGUAGES else "en"


def words_file(path: Path) -> Any:
    """One file of words as plain values."""
    with path.open(encoding="utf-8") as file:
        return yaml.load(file, Loader=_LOADER)  # noqa: S506 - both loaders are safe ones


def whole(name: str, key: str, words: Mapping[str, str]) -> Mapping[str, str]:
    """An entry in every language. Raises ValueError naming the file `name` and the entry where one is missing."""
    missing = [language for language in LANGUAGES if not words.get(language)]
    if missing:
        raise ValueError(f"words/{name}.yaml, {key!r}: no words in {', '.join(missing)}. Add them.")
    return MappingProxyType(dict(words))


@lru_cache(maxsize=1)
def work_labels() -> Mapping[str, Mapping[str, str]]:
    """Labels by key, then language."""
    found = words_file(FOLDER / "labels.yaml")
    return MappingProxyType({key: whole("labels", key, words) for key, words in found.items()})


@lru_cache(maxsize=1)
def operations() -> Mapping[str, Mapping[str, str]]:
    """Common operations of the trade by their English."""
    found = words_file(FOLDER / "operations.yaml")
    return MappingProxyType({entry["en"]: whole("operations", entry["en"], entry) for entry in found})


def operation_said(name: str, language: str) -> str:
    """An operation's name: a common one of the trade in the language with the office's own beside it."""
    words = operations().get(name)
    return name if words is None or language == "en" else f"{words[language]} ({name})"


class WorkWords:
    """What is said of work in one language. `labels` by key, for pages."""

    def __init__(self, language: str) -> None:
        self.language = language
        self.labels = {key: words[language] for key, words in work_labels().items()}
        self._places = places_of(language, _MONEY)

    def day(self, day: date) -> str:
        return f"{self._places.weekday(day)} {self._places.day(day)}"

    def quantity(self, value: Decimal, unit: str) -> str:
        return f"{self._places.quantity(value)} {self.labels.get(f'unit.{unit}', unit)}"

    def kind(self, kind: str) -> str:
        """A kind of time by its code."""
        return self.labels[f"kind.{kind}"]

    def task(self, operation: str, mark: str, level: str, part: str) -> str:
        """An entry's work and where it is: 'tape, wall A, left face, layer 2'. `part` as `part_words` writes it."""
        place = self.labels["wall_marked"].format(mark=mark) if mark else level
        pieces = [self._piece(piece) for piece in part.split(", ")] if part else []
        return ", ".join([operation_said(operation, self.language), place, *pieces])

    def _piece(self, piece: str) -> str:
        kind, _, name = piece.partition(" ")
        if name == "face":
            return self.labels["face.side"].format(side=self.labels[f"face.{kind}"])
        if kind == "layer":
            return self.labels["layer"].format(number=name)
        if kind == "opening":
            return self.labels["opening"].format(mark=name)
        return self.labels.get(f"face.{piece}", piece)


@lru_cache(maxsize=len(LANGUAGES))
def work_words(language: str) -> WorkWords:
    """The words for a person's code of language."""
    return WorkWords(language_of(language))
