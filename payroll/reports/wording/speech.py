"""The words of one language: labels, and sentences of the record said again.

A sentence without words in a language comes back in English with `own` false, so that whoever prints it can mark it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from functools import lru_cache

from jobs.wording.forms import UnknownWords
from jobs.wording.locales import Places, places_of
from jobs.wording.speech import Said, operation_said
from payroll.reports.wording.catalogue import the_catalogue

_NUMBER = re.compile(r"\d+(?:\.\d+)?(?!:)")
_HOW_CHECKED = {
    "read in the official text": "official",
    "read in a secondary source": "secondary",
    "derived": "derived",
    "from memory": "memory",
}
# Two grounds that are no citations but words of ours.
_OWN_GROUNDS = {"the agreement with the worker": "cite.agreement", "the ground given for it": "cite.ground"}


class Words:
    """Everything a statement says in one language and currency. `places` sets figures and days."""

    def __init__(self, language: str, currency: str) -> None:
        self.language = language
        self.currency = currency
        self.places: Places = places_of(language, currency)
        self.labels = {key: words[language] for key, words in the_catalogue().labels.items()}
        self._types: dict[str, Callable[[str], str]] = {
            "sum": self._sum,
            "hours": self._sum,
            "money": self._sum,
            "number": self._sum,
            "rates": self._sum,
            "day": self._day,
            "days": lambda days: ", ".join(self._day(day) for day in days.split(", ")),
            "kind": self.kind,
            "bonus": lambda kind: self.label(f"bonus.{kind}"),
            "unit": self.unit,
            "per": self._per,
            "operation": self.operation,
            "text": lambda text: text,
        }

    def label(self, key: str, **values: object) -> str:
        """A label, its places filled in. Raises KeyError for a key that no language has."""
        return self.labels[key].format(**values) if values else self.labels[key]

    def figure(self, digits: str) -> str:
        """Plain digits of a record with the language's marks: 7.25, 7,25."""
        return self._sum(digits)

    def known(self, key: str) -> str | None:
        return self.labels.get(key)

    def kind(self, kind: str) -> str:
        return self.labels.get(f"kind.{kind}", kind)

    def unit(self, unit: str) -> str:
        return self.labels.get(f"unit.{unit}", unit)

    def operation(self, name: str) -> str:
        """An operation's name: a common one of the trade in the language with the office's own beside it."""
        return operation_said(name, self.language)

    def day(self, day: date) -> str:
        return self.places.day(day)

    def span(self, first: date, last: date) -> str:
        return self.label("span", first=self.day(first), last=self.day(last))

    def amount(self, value: Decimal) -> str:
        return self.places.amount(value)

    def line(self, code: str, text: str) -> Said:
        """A line's or a floor's text. A piece line bears the name of its operation."""
        return Said(self.operation(text)) if code == "piece" else self._said("lines", text)

    def sum(self, working: str) -> Said:
        """A sum worked out: whole if a form reads it so, else part by part between its semicolons."""
        if not working or self.language == "en":
            return Said(working)
        whole = self._said("sums", working)
        if whole.own:
            return whole
        parts = [self._said("sums", part) for part in working.split("; ")]
        return Said("; ".join(part.text for part in parts)) if all(part.own for part in parts) else whole

    def rule(self, text: str) -> Said:
        """A rule of the law in our own words, or a reason of the organisation's own."""
        if self.language == "en":
            return Said(text)
        known = the_catalogue().rules.get(text)
        return Said(known[self.language]) if known else self._said("own-rules", text)

    def caution(self, text: str) -> Said:
        """A caution; one that is a rule of the law with its citation, `RULE (CITE.)`, is said as that rule."""
        said = self._said("cautions", text)
        return said if said.own or not text.endswith(".)") else self._cited_rule(text) or said

    def _cited_rule(self, text: str) -> Said | None:
        place = text.find(" (")
        while place >= 0:
            if known := the_catalogue().rules.get(text[:place]):
                return Said(known[self.language] + text[place:])
            place = text.find(" (", place + 1)
        return None

    def cite(self, cite: str) -> str:
        """A citation stays as it is; words of ours in its place are said."""
        key = _OWN_GROUNDS.get(cite)
        return self.label(key) if key else cite

    def checked(self, how: str) -> str:
        key = _HOW_CHECKED.get(how)
        return self.label(f"checked.{key}") if key else how

    def parameter(self, name: str) -> str:
        return self.labels.get(f"parameter.{name}", name.replace("_", " "))

    def marked(self, said: Said) -> str:
        """A sentence to print: one that stayed in English says so."""
        return said.text if said.own else f"{said.text} [{self.label('in_english')}]"

    def _said(self, group: str, english: str) -> Said:
        if self.language == "en":
            return Said(english)
        return _said_again(self.language, self.currency, group, english)

    def _slot(self, kind: str, english: str) -> str:
        known = self._types.get(kind)
        if known is not None:
            return known(english)
        part = the_catalogue().parts[kind]
        pieces = english.split(part.between) if part.between else [english]
        words = [part.forms.say(piece, self.language, self._slot) for piece in pieces]
        if any(word is None for word in words):
            raise UnknownWords(english)
        return part.between.join(word for word in words if word is not None)

    def _sum(self, english: str) -> str:
        """Figures of a sum with the language's marks; a sum is never grouped by thousands, as in the record."""
        marks = self.places.marks
        set_ = _NUMBER.sub(lambda found: found[0].replace(".", marks.decimals), english)
        return set_.replace(" x ", " \u00d7 ").replace("about ", f"{self.label('about')} ")

    def _day(self, english: str) -> str:
        return self.day(date.fromisoformat(english))

    def _per(self, english: str) -> str:
        if english == "each":
            return self.label("per_each")
        return self.label("per", unit=self.unit(english.removeprefix("a ")))


@lru_cache(maxsize=32)
def words_of(language: str, currency: str = "USD") -> Words:
    """The words of a language (one of `LANGUAGES`) for a statement in a currency."""
    return Words(language, currency)


@lru_cache(maxsize=65536)
def _said_again(language: str, currency: str, group: str, english: str) -> Said:
    words = words_of(language, currency)
    said = the_catalogue().groups[group].say(english, language, words._slot)
    return Said(english, own=False) if said is None else Said(said)


ENGLISH = words_of("en")
