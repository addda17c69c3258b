"""Template filters over `jobs.pages.printed`, and the two marks by which a state is seen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from django import template
from django.utils.html import format_html

from jobs.pages import printed
from jobs.selectors.entry_sheet import EntryRow
from jobs.wording import LANGUAGES, WorkWords, work_words
from jobs.wording.speech import operation_said

register = template.Library()
register.filter("quantity", printed.tidy)
register.filter("hundredths", printed.to_hundredths)
register.filter("fractions", printed.set_fractions)
register.filter("money", printed.money)
register.filter("clock", printed.clock)
register.filter("day", printed.day)


@register.filter
def measure(inches: str | Decimal | None, unit_system: str = "imperial") -> str:
    """Decimal inches in the job's own way of writing lengths."""
    return printed.feet_inches(inches, metric=unit_system == "metric")


@register.filter
def week_span(first_day: date) -> str:
    """The seven days that begin on `first_day`."""
    return printed.span(first_day, first_day + timedelta(days=6))


@register.filter
def at_place(moment: datetime, time_zone: str) -> str:
    """A moment by the clock of a place: Mon 23 Nov 2026, 16:05."""
    there = moment.astimezone(ZoneInfo(time_zone))
    return f"{printed.day(there.date())}, {there:%H:%M}"


@register.simple_tag
def say(words: WorkWords, key: str, **values: object) -> str:
    """A label of a page's language with its places filled in."""
    return words.label(key, **values)


@register.filter
def refusal_in(sentence: str, words: WorkWords) -> str:
    """A refusal in a language, beginning as a sentence does; one that had to stay English is marked as such."""
    said = words.refusal(sentence)
    text = said.text[:1].upper() + said.text[1:]
    return text if said.own else format_html('<span lang="en">{} [{}]</span>', text, words.labels["in_english"])


@register.simple_tag
def languages() -> list[tuple[str, str]]:
    """The codes of the languages that pages speak, with the name that each has for itself."""
    return [(code, work_words(code).labels["language"]) for code in LANGUAGES]


@register.filter
def day_in(day: date, words: WorkWords) -> str:
    return words.day(day)


@register.simple_tag
def moment_in(words: WorkWords, moment: datetime, time_zone: str = "UTC") -> str:
    """A moment by the clock of a place: Mon 23 November 2026, 16:05."""
    there = moment.astimezone(ZoneInfo(time_zone))
    return f"{words.day(there.date())}, {there:%H:%M}"


@register.filter
def kind_in(kind: str, words: WorkWords) -> str:
    return words.kind(kind)


@register.filter
def says_in(says: str, words: WorkWords) -> str:
    return words.labels[f"says.{says}"]


@register.filter
def task_in(entry: EntryRow, words: WorkWords) -> str:
    """An entry's operation and place in a language."""
    return words.task(entry.operation, entry.mark, entry.level, entry.part)


@register.filter
def operation_in(name: str, words: WorkWords) -> str:
    return operation_said(name, words.language)


@register.filter
def part_in(part: str, words: WorkWords) -> str:
    return words.part(part)


@register.filter
def unit_in(unit: str, words: WorkWords) -> str:
    return words.unit(unit)


@register.simple_tag
def quantity_in(words: WorkWords, value: Decimal, unit: str) -> str:
    return words.quantity(value, unit)


@register.filter
def key(mapping: dict[str, Any], name: str) -> Any:
    return mapping.get(name)


@register.filter
def word_number(page: UUID, about: UUID) -> UUID:
    """The UUID of one form of a page that has many: its own for each, the same however often it is sent."""
    return uuid5(page, str(about))


@register.inclusion_tag("jobs/parts/bar.html")
def bar(done: Decimal, measured: Decimal) -> dict[str, Any]:
    """A bar filled as far as the work is done; always beside its figures."""
    return {"filled": printed.hundredths(done, measured)}


@register.inclusion_tag("jobs/parts/state.html")
def state(word: str, words: WorkWords | None = None) -> dict[str, Any]:
    """The word of a state, in a language where one is given, with its pattern."""
    return {"word": word, "said": words.labels[f"unit_state.{word}"] if words else word}


@register.inclusion_tag("jobs/parts/because.html")
def because(reasons: Sequence[Mapping[str, str]] | None) -> dict[str, Any]:
    """Reasons by rule: each rule once, with its source and the terms that it gave."""
    terms: dict[tuple[str, str], list[str]] = {}
    for reason in reasons or ():
        terms.setdefault((reason["rule"], reason.get("source", "")), []).append(reason.get("term", ""))
    grouped = [
        {"rule": rule, "source": source, "terms": [printed.set_fractions(term) for term in of if term]}
        for (rule, source), of in terms.items()
    ]
    return {"reasons": grouped}
