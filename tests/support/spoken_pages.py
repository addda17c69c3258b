"""What a page says to who reads it, and what of it is English by the catalogue."""

from __future__ import annotations

import re
from functools import lru_cache
from html.parser import HTMLParser

from payroll.reports.wording.catalogue import the_catalogue

# Attributes that are read out or shown.
SAID = {"alt", "aria-label", "data-name", "placeholder", "title"}
VOID = {"input", "img", "br", "meta", "link", "hr"}
UNSAID = {"script", "style", "svg", "code"}


class _Reader(HTMLParser):
    """Collects texts, but for those that a page itself marks as English, and what nobody reads."""

    def __init__(self) -> None:
        super().__init__()
        self.language = ""
        self.texts: list[str] = []
        self._open: list[bool] = []

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        given = dict(attributes)
        if tag == "html":
            self.language = given.get("lang") or ""
        hidden = tag in UNSAID or (tag != "html" and given.get("lang") == "en")
        if tag not in VOID:
            self._open.append(hidden)
        if not hidden and not any(self._open):
            self.texts += [text for name, text in attributes if name in SAID and text]

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID and self._open:
            self._open.pop()

    def handle_data(self, data: str) -> None:
        if data.strip() and not any(self._open):
            self.texts.append(" ".join(data.split()))


def read(page: str) -> tuple[str, list[str]]:
    """A page's language and its texts."""
    reader = _Reader()
    reader.feed(page)
    return reader.language, reader.texts


@lru_cache(maxsize=4)
def english(language: str) -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Every label of the catalogue that is another one in the language, with what reads it."""
    labels = the_catalogue().labels.values()
    own = {words[language] for words in labels}
    found = {words["en"] for words in labels} - own
    found = {text for text in found if len(re.sub(r"\{\w+\}|[^A-Za-z]", "", text)) > 3}
    return tuple((text, re.compile(re.sub(r"\\\{\w+\\\}", ".+", re.escape(text)))) for text in sorted(found))


def left_in_english(page: str, language: str) -> list[str]:
    """Labels that stand in English on a page of another language: alone as a text, or as a whole sentence in one."""
    _, texts = read(page)
    found = []
    for text, pattern in english(language):
        sentence = len(text.split()) > 3 and "{" not in text
        found += [text for said in texts if pattern.fullmatch(said) or (sentence and text in said)]
    return found
