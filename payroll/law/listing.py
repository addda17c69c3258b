"""The parameters laid open: every number and rule of a rule set with its ground, and the gaps in it, told honestly.

A gap is what an auditor would ask about: a value or rule that stands from memory or was read only at second hand, one
that is proposed or contested, a question of the law that has more than one reading, the days before the first one, and
those from which the law will have set a value anew.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from payroll.law import readings
from payroll.law.parameter_book import ParameterBook, ParameterValue, Rule
from payroll.law.report import parameter_json

WIDTH = 110
_NOT_READ = {"memory": "from memory", "secondary": "secondary only"}
_STEPS = {
    "from memory": "Read the cited text and correct the file if it says otherwise.",
    "secondary only": "Read the cited text itself and correct the file if it says otherwise.",
    "missing before": "A week of earlier days is refused, never guessed.",
    "missing from": "The law sets it anew on that day. A week from then on is refused until the new one is added, or "
    "recorded as a local minimum wage of the job.",
}


@dataclass(frozen=True, slots=True)
class Gap:
    """What is not sure: its kind (from memory, secondary only, proposed, contested, missing before), what it is about,
    and a sentence with the next step."""

    kind: str
    about: str
    says: str


@dataclass(frozen=True, slots=True)
class Listed:
    """One jurisdiction's values by name and date, its rules, the readings it offers, and its gaps."""

    jurisdiction: str
    values: tuple[ParameterValue, ...]
    rules: tuple[Rule, ...]
    readings: tuple[readings.Reading, ...]
    gaps: tuple[Gap, ...]


def listing(book: ParameterBook, jurisdiction: str | None = None) -> tuple[Listed, ...]:
    """All jurisdictions of a book in the order of their names, or the one asked for, in capitals or not.

    Raises LookupError with a sentence for a jurisdiction that the book does not know.
    """
    known = sorted({value.jurisdiction for value in book.values})
    asked = None if jurisdiction is None else jurisdiction.casefold()
    if asked is not None and asked not in known:
        raise LookupError(f"{jurisdiction!r} is no jurisdiction with parameters. Known: {', '.join(known)}.")
    return tuple(_listed(book, name) for name in known if asked in (None, name))


def _listed(book: ParameterBook, name: str) -> Listed:
    values = sorted(
        (value for value in book.values if value.jurisdiction == name), key=lambda one: (one.name, one.starts)
    )
    rules = tuple(rule for rule in book.rules if rule.jurisdiction == name)
    offered = readings.offered(name)
    return Listed(name, tuple(values), rules, offered, tuple(_gaps(values, rules, offered)))


def _gaps(
    values: list[ParameterValue], rules: tuple[Rule, ...], offered: tuple[readings.Reading, ...]
) -> Iterator[Gap]:
    for value in values:
        what = f"{_words(value.name)} {value.text} from {value.starts}"
        if value.status == "enacted":
            yield from _unread(what, value.cite, value.checked_how)
        else:
            yield Gap(value.status, what, f"Stands to be seen and is never used ({value.cite}).")
    for rule in rules:
        yield from _unread(f"rule {rule.code}", rule.cite, rule.checked_how)
    for reading in offered:
        if reading.caution:
            yield Gap("contested", f"reading {reading.name}", reading.caution)
    enacted = [value for value in values if value.status == "enacted"]
    for name in dict.fromkeys(value.name for value in enacted):
        series = sorted((value for value in enacted if value.name == name), key=lambda value: value.starts)
        yield Gap("missing before", f"{_words(name)} before {series[0].starts}", _STEPS["missing before"])
        if series[-1].renewed_on is not None:
            yield Gap("missing from", f"{_words(name)} from {series[-1].renewed_on}", _STEPS["missing from"])


def _unread(about: str, cite: str, how: str) -> Iterator[Gap]:
    kind = _NOT_READ.get(how)
    if kind is not None:
        yield Gap(kind, about, f"{_STEPS[kind]} ({cite}.)")


def _words(name: str) -> str:
    return name.replace("_", " ")


def listing_json(listed: Iterable[Listed]) -> list[dict[str, Any]]:
    """The listing as JSON: every field of every value, rule, reading and gap."""
    return [
        {
            "jurisdiction": one.jurisdiction,
            "values": [{**parameter_json(value), "rule": value.rule} for value in one.values],
            "rules": [
                {
                    "code": rule.code,
                    "rule": rule.text,
                    "cite": rule.cite,
                    "checked": rule.checked,
                    "checked_on": rule.checked_on.isoformat(),
                }
                for rule in one.rules
            ],
            "readings": [
                {
                    "question": reading.question,
                    "name": reading.name,
                    "default": reading == readings.default(reading.rules, reading.question),
                    "says": reading.says,
                    "caution": reading.caution,
                }
                for reading in one.readings
            ],
            "gaps": [{"kind": gap.kind, "about": gap.about, "says": gap.says} for gap in one.gaps],
        }
        for one in listed
    ]


def listing_text(listed: Iterable[Listed]) -> str:
    """The listing to read: values, rules, readings, gaps of each jurisdiction, at most WIDTH wide."""
    out: list[str] = []
    for one in listed:
        out += [one.jurisdiction.upper(), "", "Values"]
        shown = ""
        for value in one.values:
            if value.name != shown:
                shown = value.name
                out += _wrapped(f"{_words(value.name)}, in {value.unit}. {value.rule}", "  ")
            ground = f"{value.status}; {value.cite}; {value.checked} on {value.checked_on}"
            out += _wrapped(f"from {value.starts}  {value.text:>6}  {ground}", "    ", " " * 26)
        out += ["", "Rules"]
        for rule in one.rules:
            out += _wrapped(f"{rule.code}: {rule.text} [{rule.cite}; {rule.checked} on {rule.checked_on}]", "  ")
        if one.readings:
            out += ["", "Readings of open questions"]
        for reading in one.readings:
            first = reading == readings.default(reading.rules, reading.question)
            name = f"{reading.name} ({'used unless another is named' if first else 'contested, off until named'})"
            out += _wrapped(f"{reading.question}: {name}. {reading.says}", "  ")
        out += ["", f"Gaps: {len(one.gaps)}", *_gap_lines(one.gaps), ""]
    return "\n".join(out).rstrip()


def _gap_lines(gaps: tuple[Gap, ...]) -> Iterator[str]:
    """The gaps by kind: what was not read is named in one paragraph each, the others with their sentence."""
    for kind, step in _STEPS.items():
        about = [gap.about for gap in gaps if gap.kind == kind]
        if about:
            yield from _wrapped(f"{kind} ({len(about)}): {'; '.join(about)}. {step}", "  ")
    for gap in gaps:
        if gap.kind not in _STEPS:
            yield from _wrapped(f"{gap.kind}: {gap.about}. {gap.says}", "  ")


def _wrapped(text: str, first: str, rest: str | None = None) -> list[str]:
    after = first + "    " if rest is None else rest
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=after, break_on_hyphens=False)
