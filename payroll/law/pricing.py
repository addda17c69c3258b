"""The front door: one week in, one priced week out."""

from __future__ import annotations

from payroll.law import rules
from payroll.law.check import mistakes_in
from payroll.law.parameter_book import ParameterBook, the_book
from payroll.law.readings import reading_mistakes
from payroll.law.week import PricedWeek, WeekMistakes, WorkerWeek
from payroll.law.workweek import FIRST_YEAR, LAST_YEAR


def mistakes_of(week: WorkerWeek, book: ParameterBook | None = None) -> list[str]:
    """Everything that stands against pricing a week, one sentence each: its own figures, then its rule set."""
    if not FIRST_YEAR <= week.week_start.year <= LAST_YEAR:
        return [f"week_start {week.week_start} is not from {FIRST_YEAR} to {LAST_YEAR}. Correct the date."]
    found = mistakes_in(week)
    try:
        rule_set = rules.find(week.rules)
    except LookupError as unknown:
        return [str(unknown), *found]
    return [*found, *reading_mistakes(week), *rule_set.check(week, book or the_book())]


def price(week: WorkerWeek, book: ParameterBook | None = None) -> PricedWeek:
    """Price one worker's workweek under its rule set.

    `book` is the shipped parameters unless another is given, as for a correction under a closed week's own values.
    Raises WeekMistakes holding every mistake found, one sentence each; nothing is priced then.
    """
    book = book or the_book()
    mistakes = mistakes_of(week, book)
    if mistakes:
        raise WeekMistakes(mistakes)
    return rules.find(week.rules).price(week, book)
