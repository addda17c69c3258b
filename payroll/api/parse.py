"""From JSON to what the services of pay ask for. Raises Invalid with every mistake and its path."""

from __future__ import annotations

from typing import Any

from jobs.api.fields import Fields
from jobs.refusals import Mistake, raise_mistakes

MOST_PEOPLE = 10_000
LARGEST_ID = 2**63


def not_paid(data: Any) -> frozenset[int]:
    """The people named as not paid in a week that is closed; an empty body names nobody. Raises Invalid."""
    mistakes: list[Mistake] = []
    fields = Fields({} if data in (None, "") else data, mistakes)
    named = fields.raw("not_paid")
    fields.only()
    people = named if isinstance(named, list) else []
    if named is not None and (not isinstance(named, list) or len(named) > MOST_PEOPLE or not all(map(_is_id, people))):
        mistakes.append(Mistake("not_paid", f"not_paid must be a list of at most {MOST_PEOPLE} ids of people."))
    raise_mistakes(mistakes)
    return frozenset(people)


def _is_id(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 < value < LARGEST_ID
