"""What a proposed price list would have cost over closed weeks. Reads records, writes nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import QuerySet

from jobs.refusals import Mistake, invalid, raise_mistakes
from payroll.law import WorkerWeek
from payroll.law.what_if import ProposedPrice, WhatIf, what_if
from payroll.models import PayWeek, Statement
from payroll.selectors.gathered import names
from payroll.selectors.past_weeks import LeftOut, PastWeek, past_weeks
from payroll.selectors.proposed_prices import proposed_prices

# A page answers in seconds: so many weeks of people are priced twice.
MOST = 6_000


@dataclass(frozen=True, slots=True)
class WhatIfSheet:
    """The answer over `weeks` closed weeks, and sentences for weeks of people that could not be read."""

    answer: WhatIf
    prices: tuple[ProposedPrice, ...]
    weeks: int
    left_out: tuple[str, ...]


def closed_weeks() -> list[date]:
    """First days of closed weeks, newest first."""
    return list(_closed().order_by("-first_day").values_list("first_day", flat=True))


def _closed() -> QuerySet[PayWeek]:
    found: QuerySet[PayWeek] = PayWeek.objects.filter(state=PayWeek.State.CLOSED)
    return found


def weeks_between(first: date, last: date) -> list[PayWeek]:
    """Closed weeks that begin in a span, oldest first. Raises Invalid for none, or for more than a page can price."""
    weeks = list(_closed().filter(first_day__range=(first, last)).order_by("first_day"))
    if not weeks:
        raise invalid("first", f"no closed week begins from {first} to {last}. Choose weeks of the list.")
    count = Statement.objects.filter(pay_week__in=weeks, corrects=None).count()
    if count > MOST:
        raise invalid("first", f"these weeks hold {count} weeks of people; {MOST} can be priced at once. Choose fewer.")
    return weeks


def weeks_told_apart(weeks: Sequence[PayWeek], left_out: list[str]) -> Iterator[PastWeek]:
    """The weeks of people in closed weeks, each under a name of its own; those that cannot be read are said."""
    for pay_week in weeks:
        for one in past_weeks(pay_week):
            if isinstance(one, LeftOut):
                left_out += [f"{one.name}, week of {one.first_day}: {sentence}" for sentence in one.sentences]
            else:
                yield replace(one, week=replace(one.week, worker_name=f"{one.name} ({one.number})"))


def what_if_sheet(*, text: str, first: date, last: date) -> WhatIfSheet:
    """Price closed weeks with the list. Raises Invalid with every mistake of the list, and as `weeks_between`."""
    prices, mistakes = proposed_prices(text, names([]))
    raise_mistakes([Mistake("text", sentence) for sentence in mistakes])
    weeks = weeks_between(first, last)
    left_out: list[str] = []
    typed: Iterator[WorkerWeek] = (one.week for one in weeks_told_apart(weeks, left_out))
    answer = what_if(typed, prices)
    return WhatIfSheet(answer, tuple(prices), len(weeks), tuple(left_out))
