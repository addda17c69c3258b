"""The words of the work and of its pages in one language, read once from `words/*.yaml`."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

import yaml

from jobs.wording.forms import Form, Forms, UnknownWords
from jobs.wording.locales import places_of

FOLDER = Path(__file__).parent / "words"
LANGUAGES = ("en", "es", "fr")
LABELS = ("labels", "pages", "log")
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
# Marks of figures alone are taken from it: quantities bear no currency.
_MONEY = "USD"
# Slots of a refusal whose value is a word of ours: their labels begin with the slot's type.
_NAMED = frozenset({"role", "thing", "counted", "said", "told_in"})


class Said(NamedTuple):
    """Words in a language; `own` is false where they had to stay in English."""

    text: str
    own: bool = True


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
    """Labels by key, then language. Raises ValueError for one that two files have."""
    found: dict[str, Mapping[str, str]] = {}
    for name in LABELS:
        own = words_file(FOLDER / f"{name}.yaml")
        if twice := own.keys() & found.keys():
            raise ValueError(f"words/{name}.yaml: {', '.join(sorted(twice))} are in another file already.")
        found |= {key: whole(name, key, words) for key, words in own.items()}
    return MappingProxyType(found)


@lru_cache(maxsize=1)
def refusals() -> Forms:
    """Sentences of refusals, read back from their English."""
    found = words_file(FOLDER / "refusals.yaml")
    return Forms([Form(entry["en"], whole("refusals", entry["en"], entry)) for entry in found])


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

    def label(self, key: str, **values: object) -> str:
        """A label, its places filled in. Raises KeyError for a key that no language has."""
        return self.labels[key].format(**values) if values else self.labels[key]

    def refusal(self, english: str) -> Said:
        """A refusal's sentence said again; one without words stays English, and `own` is false."""
        if self.language == "en":
            return Said(english)
        said = refusals().say(english, self.language, self._slot)
        return Said(english, own=False) if said is None else Said(said)

    def wait(self, seconds: int) -> str:
        """A wait as people say it, never too short: 45 seconds, 2 minutes, 4 hours."""
        size, unit = (3600, "hour") if seconds > 3600 else (60, "minute") if seconds > 60 else (1, "second")
        count = -(-seconds // size)
        return self.label(f"wait.{unit}{'' if count == 1 else 's'}", count=count)

    def day(self, day: date) -> str:
        return f"{self._places.weekday(day)} {self._places.day(day)}"

    def quantity(self, value: Decimal, unit: str) -> str:
        return f"{self._places.quantity(value)} {self.unit(unit)}"

    def unit(self, unit: str) -> str:
        return self.labels.get(f"unit.{unit}", unit)

    def part(self, part: str) -> str:
        """The part of a wall, from its English as `part_words` writes it."""
        return ", ".join(self._piece(piece) for piece in part.split(", ")) if part else ""

    def kind(self, kind: str) -> str:
        """A kind of time by its code."""
        return self.labels[f"kind.{kind}"]

    def task(self, operation: str, mark: str, level: str, part: str) -> str:
        """An entry's work and where it is: 'tape, wall A, left face, layer 2'. `part` as `part_words` writes it."""
        place = self.labels["wall_marked"].format(mark=mark) if mark else level
        return ", ".join(filter(None, (operation_said(operation, self.language), place, self.part(part))))

    def _slot(self, kind: str, english: str) -> str:
        if kind == "unit":
            return self.unit(english)
        if kind not in _NAMED:
            return english
        said = self.labels.get(f"{kind}.{english}")
        if said is None:
            raise UnknownWords(english)
        return said

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
