"""Pay weeks: the list of them, and what closing an open one would pay, to be looked at before anybody closes it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Count, Sum

from jobs.models import Person
from jobs.refusals import not_found
from jobs.selectors.words import disputes_by_person
from payroll.models import FinalPay, PayWeek
from payroll.selectors.gathered import DAYS, gather
from payroll.selectors.late import Corrected, corrections_priced, late_find, told_by
from payroll.selectors.missing_rates import MissingRate, missing_rates
from payroll.selectors.periods import Period, period_in, settings
from payroll.selectors.prevailing import MissingClass, missing_classes
from payroll.selectors.pricing import QUANTITY, Draft, LineDraft, Stopped, drafted, rounded
from payroll.selectors.warnings import alone_warning, reckoned_alone, split_warnings, warnings_of

PREFIX = "pay_preview"


@dataclass(frozen=True, slots=True)
class WeekRow:
    """A pay week in the list; once closed, with the statements it pays and the money it pays for them. `period` is the
    pay period it belongs to, where the organisation has set one."""

    pay_week: int
    first_day: date
    last_day: date
    state: str
    closed_at: datetime | None
    statements: int
    gross: Decimal
    stopped: int
    period: Period | None = None


@dataclass(frozen=True, slots=True)
class PreviewPerson:
    """What a person would be paid, and what deserves a second look. With `stopped`, why he would get no statement;
    with `final`, the statement that was his final pay for this week."""

    person: int
    name: str
    number: str
    gross: Decimal
    hours: Decimal
    overtime: Decimal
    regular_rate: Decimal | None
    lines: tuple[LineDraft, ...]
    warnings: tuple[str, ...]
    stopped: tuple[str, ...]
    missing: tuple[MissingRate, ...] = ()
    missing_classes: tuple[MissingClass, ...] = ()
    final: int | None = None


@dataclass(frozen=True, slots=True)
class PreviewLate:
    """A closed week that changed since: what closing would pay for it now, or what it overpaid."""

    person: int
    name: str
    first_day: date
    gross: Decimal
    difference: Decimal
    overpaid: Decimal
    stopped: tuple[str, ...]
    nothing_taken_back: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WeekPreview:
    """An open week as it stands: everybody in it, and the late weeks that its closing would settle. With `also_open`,
    the first day of another open week, whose closing would settle the same ones. `disputed` counts the disputes open
    about its days, `uneven` says whether a group's unequal shares are among the warnings."""

    pay_week: int
    first_day: date
    last_day: date
    people: tuple[PreviewPerson, ...]
    late: tuple[PreviewLate, ...]
    also_open: date | None = None
    disputed: int = 0
    uneven: bool = False

    @property
    def not_paid(self) -> tuple[PreviewPerson, ...]:
        """Who would not be paid in this week, and must be named by whoever closes it."""
        return tuple(each for each in self.people if each.stopped and each.final is None)

    @property
    def gross(self) -> Decimal:
        """All statements and differences together; final pay written before is not among them."""
        return sum((each.gross for each in self.people if each.final is None), Decimal("0.00")) + sum(
            (each.difference for each in self.late), Decimal("0.00")
        )


def week_list() -> list[WeekRow]:
    """Every pay week of the organisation, newest first."""
    known = settings()
    weeks = PayWeek.objects.annotate(count=Count("paying"), sum=Sum("paying__difference")).order_by("-first_day")
    return [
        WeekRow(
            week.pk,
            week.first_day,
            week.first_day + timedelta(days=DAYS - 1),
            week.state,
            week.closed_at,
            week.count,
            week.sum or Decimal("0.00"),
            len(week.stopped),
            period_in(known, week.first_day),
        )
        for week in weeks
    ]


def week_preview(*, pay_week: int) -> WeekPreview:
    """Price an open week and write nothing. Needs a transaction, for its temporary tables. Raises NotFound."""
    week = PayWeek.objects.filter(pk=pay_week).first()
    if week is None:
        raise not_found("pay_week", "pay week", pay_week)
    settled = list(corrections_priced(late_find(week))) if week.state == PayWeek.State.OPEN else []
    told = {pay_week.first_day + timedelta(days=DAYS): told_by(corrected) for pay_week, corrected, _ in settled}
    gathered = replace(gather(PREFIX, week.first_day), before=told.get(week.first_day, {}))
    disputes = disputes_by_person(week.first_day, week.first_day + timedelta(days=DAYS - 1))
    final = dict(FinalPay.objects.filter(pay_week=week).values_list("person_id", "statement"))
    split = split_warnings(gathered)
    people: list[PreviewPerson] = []
    alone: list[PreviewPerson] = []
    for one in (one for batch in gathered.person_weeks() for one in batch):
        warnings = warnings_of(one, disputes.get(one.person, ()))
        if one.person in split:
            warnings += (split[one.person],)
        person = _person(drafted(one, week.first_day, gathered.names), one.name, one.number, warnings)
        person = replace(
            person,
            missing=missing_rates(one, gathered.names),
            missing_classes=missing_classes(one, week.first_day, gathered.names),
            final=final.get(one.person),
        )
        (alone if reckoned_alone(one, gathered.names) and person.final is None else people).append(person)
    people += _told_together(alone)
    late = _late(settled)
    last = week.first_day + timedelta(days=DAYS - 1)
    others = PayWeek.objects.filter(state=PayWeek.State.OPEN).exclude(pk=week.pk).order_by("first_day")
    return WeekPreview(
        pay_week=week.pk,
        first_day=week.first_day,
        last_day=last,
        people=tuple(sorted(people, key=lambda each: each.name)),
        late=tuple(late),
        also_open=others.values_list("first_day", flat=True).first() if late else None,
        disputed=sum(len(each) for each in disputes.values()),
        uneven=bool(split),
    )


def _told_together(alone: list[PreviewPerson]) -> list[PreviewPerson]:
    """People reckoned without the week before of their pay period, with one warning at the first of them by name."""
    if not alone:
        return []
    first, *others = sorted(alone, key=lambda each: each.name)
    return [replace(first, warnings=(*first.warnings, alone_warning([one.name for one in (first, *others)]))), *others]


def _person(draft: Draft | Stopped, name: str, number: str, warnings: tuple[str, ...]) -> PreviewPerson:
    if isinstance(draft, Stopped):
        nothing = Decimal("0.00")
        return PreviewPerson(draft.person, name, number, nothing, nothing, nothing, None, (), warnings, draft.sentences)
    return PreviewPerson(
        person=draft.person,
        name=name,
        number=number,
        gross=draft.gross,
        hours=rounded(Fraction(draft.hours["total"]), QUANTITY),
        overtime=rounded(Fraction(draft.hours["overtime"]) + Fraction(draft.hours["double"]), QUANTITY),
        regular_rate=rounded(Fraction(draft.regular_rate), QUANTITY) if draft.regular_rate else None,
        lines=draft.lines,
        warnings=warnings,
        stopped=(),
    )


def _late(settled: list[tuple[PayWeek, list[Corrected], list[Stopped]]]) -> list[PreviewLate]:
    found: list[PreviewLate] = []
    for pay_week, corrected, stopped in settled:
        people = [one.late.person for one in corrected]
        names = dict(Person.objects.filter(pk__in=people).values_list("pk", "name"))
        found.extend(_late_row(one, names[one.late.person]) for one in corrected)
        nothing = Decimal("0.00")
        found.extend(
            PreviewLate(one.person, one.name, pay_week.first_day, nothing, nothing, nothing, one.sentences)
            for one in stopped
        )
    return found


def _late_row(one: Corrected, name: str) -> PreviewLate:
    first = one.late.pay_week.first_day
    return PreviewLate(
        one.late.person, name, first, one.draft.gross, one.difference, one.overpaid, (), one.nothing_taken_back
    )
