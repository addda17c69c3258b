"""Dated parameters and cited rules, read from parameters/<jurisdiction>/<topic>.yaml.

A number never travels without its ground: unit, first date, status, citation, and when and how the citation was
checked. A file that leaves one out is refused. Before the first date there is an error, never a default. Only enacted
values are ever used; proposed and contested ones stand in the files to be seen. `yearly: "MM-DD"` beside a unit says
that the law sets the value anew on that day of each year: the last one known ends there, not carried on in silence.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml

FOLDER = Path(__file__).parent / "parameters"
RULES_FILE = "rules.yaml"
STATUSES = ("enacted", "proposed", "contested")
HOW_CHECKED = {
    "official": "read in the official text",
    "secondary": "read in a secondary source",
    "derived": "derived",
    "memory": "from memory",
}


class _Plain(yaml.SafeLoader):
    """YAML in which `on` is a word, as in `checked: {on: ...}`, and not a yes."""


_Plain.yaml_implicit_resolvers = {
    letter: [(tag, pattern) for tag, pattern in resolvers if tag != "tag:yaml.org,2002:bool"]
    for letter, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


class ParameterMistakes(ValueError):
    """A parameter file that cannot be trusted; `mistakes` names file, entry, reason and next step."""

    def __init__(self, mistakes: list[str]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(mistakes))


class ParameterMissing(LookupError):
    """No enacted value is known for that day, or the name is unknown."""


@dataclass(frozen=True, slots=True)
class ParameterValue:
    """One number of the law: `value` exact, in `unit`, from `starts` on; `text` as it stands in the file; `rule` in our
    own words what it is (empty in values that a closed week had stored); `yearly` the month and day on which the
    law sets it anew each year, if it does."""

    jurisdiction: str
    name: str
    unit: str
    value: Fraction
    text: str
    starts: date
    status: str
    cite: str
    checked_on: date
    checked_how: str
    rule: str = ""
    yearly: tuple[int, int] | None = None

    @property
    def checked(self) -> str:
        return HOW_CHECKED[self.checked_how]

    @property
    def renewed_on(self) -> date | None:
        """The first day after its own on which the law sets the value anew."""
        if self.yearly is None:
            return None
        same_year = self.starts.replace(month=self.yearly[0], day=self.yearly[1])
        return same_year if same_year > self.starts else same_year.replace(year=same_year.year + 1)


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule in our own words, with the place where the law says it and how that place was checked."""

    jurisdiction: str
    code: str
    text: str
    cite: str
    checked_on: date
    checked_how: str

    @property
    def checked(self) -> str:
        return HOW_CHECKED[self.checked_how]


class ParameterBook:
    """All values and rules of some jurisdictions; asked by name and day."""

    def __init__(self, values: tuple[ParameterValue, ...], rules: tuple[Rule, ...]) -> None:
        self.values = values
        self.rules = rules
        self._rules = {(rule.jurisdiction, rule.code): rule for rule in rules}
        self._enacted: dict[tuple[str, str], list[ParameterValue]] = {}
        for value in sorted(values, key=lambda value: value.starts):
            if value.status == "enacted":
                self._enacted.setdefault((value.jurisdiction, value.name), []).append(value)
        self._starts = {key: [value.starts for value in series] for key, series in self._enacted.items()}

    def at(self, jurisdiction: str, name: str, day: date, *, newer: date | None = None) -> ParameterValue:
        """The enacted value in force on a day.

        Raises ParameterMissing for an unknown name, too early a day, or one on which the law has set the value anew
        since the last one known here. Whoever has a newer one otherwise says from when it holds (`newer`), and gets the
        last one known here beside it.
        """
        key = (jurisdiction, name)
        series = self._enacted.get(key)
        words, where = name.replace("_", " "), f"payroll/law/parameters/{jurisdiction}/"
        if series is None:
            raise ParameterMissing(f"no {words} is known for {jurisdiction}; add it to a file in {where}.")
        place = bisect_right(self._starts[key], day)
        if place == 0:
            first = series[0].starts
            raise ParameterMissing(
                f"no {words} is known for {jurisdiction} before {first} (asked for {day}); add it to a file in {where}."
            )
        value = series[place - 1]
        due = value.renewed_on if place == len(series) else None
        if due is not None and due <= day and (newer is None or newer < due):
            raise ParameterMissing(
                f"the {words} of {jurisdiction} is set anew on {due:%-d %B} each year, and that of {due} is not known "
                f"here (asked for {day}; the last is {value.text} from {value.starts}). Add it to a file in {where}, "
                "or record it as a local minimum wage of the job from that day on."
            )
        return value

    def rule(self, jurisdiction: str, code: str) -> Rule:
        """A rule by its code. Raises ParameterMissing for a code that no file of the jurisdiction has."""
        try:
            return self._rules[(jurisdiction, code)]
        except KeyError:
            raise ParameterMissing(
                f"no rule {code!r} stands in payroll/law/parameters/{jurisdiction}/{RULES_FILE}; add it there."
            ) from None


@lru_cache(maxsize=1)
def the_book() -> ParameterBook:
    """The book of the files shipped with the program, read once."""
    return read_book(FOLDER)


def read_book(folder: Path) -> ParameterBook:
    """Read every jurisdiction's folder. Raises ParameterMistakes with all that is wrong in all files."""
    values: list[ParameterValue] = []
    rules: list[Rule] = []
    mistakes: list[str] = []
    for path in sorted(folder.glob("*/*.yaml")):
        where = f"{path.parent.name}/{path.name}"
        content = yaml.load(path.read_text(encoding="utf-8"), Loader=_Plain)  # noqa: S506 (a safe loader)
        if not isinstance(content, dict):
            mistakes.append(f"{where}: holds no table of names. Write `name:` with `unit` and `values` below it.")
        elif path.name == RULES_FILE:
            rules.extend(_rules(content, path.parent.name, where, mistakes))
        else:
            values.extend(_values(content, path.parent.name, where, mistakes))
    mistakes.extend(_twice(values))
    if mistakes:
        raise ParameterMistakes(mistakes)
    return ParameterBook(tuple(values), tuple(rules))


def _rules(content: dict[str, Any], jurisdiction: str, where: str, mistakes: list[str]) -> list[Rule]:
    found = []
    for code, entry in content.items():
        place = f"{where}, {code}"
        if _complete(entry, {"rule": str, "cite": str, "checked": dict}, place, mistakes):
            checked = _checked(entry["checked"], place, mistakes)
            if checked:
                found.append(Rule(jurisdiction, code, entry["rule"], entry["cite"], *checked))
    return found


def _values(content: dict[str, Any], jurisdiction: str, where: str, mistakes: list[str]) -> list[ParameterValue]:
    found = []
    for name, entry in content.items():
        yearly = entry.pop("yearly", None) if isinstance(entry, dict) else None
        if not _complete(entry, {"rule": str, "unit": str, "values": list}, f"{where}, {name}", mistakes):
            continue
        renewed = _month_and_day(yearly, f"{where}, {name}", mistakes)
        for number, row in enumerate(entry["values"], 1):
            place = f"{where}, {name}, value {number}"
            kinds = {"from": date, "value": str, "status": str, "cite": str, "checked": dict}
            if not _complete(row, kinds, place, mistakes):
                continue
            checked = _checked(row["checked"], place, mistakes)
            if row["status"] not in STATUSES:
                mistakes.append(f"{place}: status {row['status']!r} is not one of {', '.join(STATUSES)}.")
            elif checked:
                value = _exact(row["value"], place, mistakes)
                found.append(
                    ParameterValue(
                        jurisdiction,
                        name,
                        entry["unit"],
                        value,
                        row["value"],
                        row["from"],
                        row["status"],
                        row["cite"],
                        *checked,
                        entry["rule"],
                        renewed,
                    )
                )
    return found


def _complete(entry: Any, kinds: dict[str, type], place: str, mistakes: list[str]) -> bool:
    if not isinstance(entry, dict):
        mistakes.append(f"{place}: is no table. Give it {', '.join(kinds)}.")
        return False
    before = len(mistakes)
    for key, kind in kinds.items():
        content = entry.get(key)
        if not isinstance(content, kind) or not content:
            mistakes.append(f"{place}: {key!r} is {content!r}. Every entry needs it, as {kind.__name__}.")
    mistakes.extend(f"{place}: {key!r} is not a key. Known: {', '.join(kinds)}." for key in entry if key not in kinds)
    return len(mistakes) == before


def _checked(checked: dict[str, Any], place: str, mistakes: list[str]) -> tuple[date, str] | None:
    if not _complete(checked, {"on": date, "how": str}, f"{place}, checked", mistakes):
        return None
    if checked["how"] not in HOW_CHECKED:
        mistakes.append(f"{place}: checked how {checked['how']!r} is not one of {', '.join(HOW_CHECKED)}.")
        return None
    return checked["on"], checked["how"]


def _month_and_day(text: Any, place: str, mistakes: list[str]) -> tuple[int, int] | None:
    if text is None:
        return None
    try:
        day = date.fromisoformat(f"2001-{text}")
    except ValueError:
        mistakes.append(f"{place}: yearly {text!r} is no day of every year. Write month and day in quotes, as 10-01.")
        return None
    return day.month, day.day


def _exact(text: str, place: str, mistakes: list[str]) -> Fraction:
    try:
        return Fraction(text)
    except (ValueError, ZeroDivisionError):
        mistakes.append(f"{place}: value {text!r} is no number. Write it as a decimal in quotes.")
        return Fraction(0)


def _twice(values: list[ParameterValue]) -> list[str]:
    seen: set[tuple[str, str, date]] = set()
    found = []
    for value in values:
        if value.status != "enacted":
            continue
        key = (value.jurisdiction, value.name, value.starts)
        if key in seen:
            found.append(f"{value.jurisdiction}: {value.name} has two enacted values from {value.starts}. Keep one.")
        seen.add(key)
    return found
