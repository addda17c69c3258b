"""Weeks of people as the law's engine takes them: for the certified payroll, what-ifs and bids. Nothing is written."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Exists, OuterRef, Sum

from payroll.law import ParameterBook, WeekMistakes, WorkerWeek
from payroll.models import PayWeek, Statement, StatementLine
from payroll.selectors.gathered import Gathered, Names, PersonWeek, gather
from payroll.selectors.law_values import book_of
from payroll.selectors.pricing import missing_rate_sentences
from payroll.selectors.typed_week import jobs_of, typed_parts

PREFIX = "pay_past"


@dataclass(frozen=True, slots=True)
class PastWeek:
    """A person's closed week: the typed week, the book of the law that its statement used, and what that statement
    came to without differences of other weeks. `paid` is None where no statement was written."""

    person: int
    name: str
    number: str
    week: WorkerWeek
    book: ParameterBook
    paid: Decimal | None


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A person's week that cannot be typed, and why."""

    person: int
    name: str
    first_day: date
    sentences: tuple[str, ...]


def past_weeks(pay_week: PayWeek, *, job: int | None = None) -> Iterator[PastWeek | LeftOut]:
    """The closed week of everybody in it, or of everybody who was on a job, by id. What was paid keeps its rate.

    Needs a transaction, for its temporary tables.
    """
    gathered = gather(PREFIX, pay_week.first_day, kept_from=pay_week.pk)
    yield from _weeks_of(gathered, pay_week, job)


def _weeks_of(gathered: Gathered, pay_week: PayWeek, job: int | None) -> Iterator[PastWeek | LeftOut]:
    for batch in gathered.person_weeks():
        chosen = [week for week in batch if job is None or job in jobs_of(week)]
        statements = _statements(pay_week, [week.person for week in chosen])
        for week in chosen:
            statement, paid = statements.get(week.person, (None, None))
            try:
                typed = typed_one(week, pay_week.first_day, gathered.names)
            except WeekMistakes as refused:
                yield LeftOut(week.person, week.name, pay_week.first_day, refused.mistakes)
                continue
            book = book_of(statement.parameters if statement else [])
            yield PastWeek(week.person, week.name, week.number, typed, book, paid)


def typed_one(week: PersonWeek, first_day: date, names: Names) -> WorkerWeek:
    """A week of one rule set. Raises WeekMistakes for a missing rate, a missing class, or several rule sets."""
    sentences = missing_rate_sentences(week, names)
    sets = sorted({names.jobs[job].rule_set for job in jobs_of(week)})
    if len(sets) > 1:
        sentences.append(f"worked under {' and '.join(sets)} in one week; look at that week by hand.")
    if sentences:
        raise WeekMistakes(sentences)
    (part,) = typed_parts(week, first_day, names)
    return part.week


def _statements(pay_week: PayWeek, people: list[int]) -> dict[int, tuple[Statement, Decimal]]:
    """The statement in force of each person, and the sum of its lines that pay this week's work."""
    corrected = Statement.objects.filter(corrects=OuterRef("pk"))
    found = list(Statement.objects.filter(~Exists(corrected), pay_week=pay_week, person__in=people))
    sums = dict(
        StatementLine.objects.filter(statement__in=[one.pk for one in found])
        .exclude(code="correction")
        .values_list("statement")
        .annotate(sum=Sum("amount"))
    )
    return {one.person_id: (one, sums.get(one.pk, Decimal("0.00"))) for one in found}
