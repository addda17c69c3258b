"""Sentences read back: an English sentence of a record is found by its form, and said again in another language.

A closed statement is never changed, so its record is what was said when it was closed: English sentences. Each kind of
sentence has one form in the catalogue, English with named and typed slots: `{hours:hours} past {limit:number} in a
day`. Reading takes the values out of the slots; saying puts them, set as the language sets them, into the same form in
its words. Names that people gave (jobs, classes, reasons of bonuses) and citations pass through as they are.

A sentence that no form reads has no translation: the caller keeps the English and marks it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

_SLOT = re.compile(r"\{(\w+):([\w-]+)\}")
_PLAIN_SLOT = re.compile(r"\{(\w+)\}")
_NUMBER = r"-?\d+(?:\.\d+)?"
# What each type of slot may hold. A type that is not here is a part: sentences of its own with something between them.
TYPES: Mapping[str, str] = {
    "sum": r"(?:about |[-+/=()x:. ]|\d|\bh\b)*\d(?:about |[-+/=()x:. ]|\d|\bh\b)*",
    "hours": rf"(?:about )?{_NUMBER} h|-?\d+:\d\d h",
    "money": rf"(?:about )?{_NUMBER}",
    "number": rf"(?:about )?{_NUMBER}",
    "rates": rf"{_NUMBER}(?:, {_NUMBER})*",
    "day": r"\d{4}-\d\d-\d\d",
    "days": r"\d{4}-\d\d-\d\d(?:, \d{4}-\d\d-\d\d)*",
    "kind": r"piece|waiting|travel|meeting|rework|rest|meal",
    "bonus": r"production|flat|discretionary",
    "unit": r"[^\d=]+?",
    "per": r"each|a [^\d=]+?",
    "operation": r".+?",
    "text": r".+?",
}
Say = Callable[[str, str], str]  # type of slot and its English -> its words


@dataclass(frozen=True, slots=True)
class Form:
    """One form of sentence in every language; `en` has typed slots, the others the same names without types."""

    en: str
    others: Mapping[str, str]

    @property
    def slots(self) -> dict[str, str]:
        """Name of each slot -> its type."""
        return dict(_SLOT.findall(self.en))

    def named_in(self, language: str) -> set[str]:
        """Names of the slots as a language has them."""
        return set(_PLAIN_SLOT.findall(self.others[language]))


class Forms:
    """Forms of one group, tried from the one with the most words of its own."""

    def __init__(self, forms: Sequence[Form]) -> None:
        self.forms = tuple(sorted(forms, key=lambda form: len(_SLOT.sub("", form.en)), reverse=True))
        self._patterns = [(re.compile(_pattern(form.en)), form) for form in self.forms]

    def say(self, english: str, language: str, say: Say) -> str | None:
        """A sentence in another language, or None where no form reads it or a part of it has no words."""
        for pattern, form in self._patterns:
            found = pattern.fullmatch(english)
            if found is None:
                continue
            try:
                words = {name: say(kind, found[name]) for name, kind in form.slots.items()}
            except UnknownWords:
                continue
            return form.others[language].format_map(words)
        return None


class UnknownWords(LookupError):
    """A slot holds something that has no words in the language."""


def _pattern(english: str) -> str:
    """The form as a regular expression with a named group for each slot."""
    out, last = [], 0
    for slot in _SLOT.finditer(english):
        out.append(re.escape(english[last : slot.start()]))
        out.append(f"(?P<{slot[1]}>{TYPES.get(slot[2], '.+?')})")
        last = slot.end()
    return "".join((*out, re.escape(english[last:])))
