"""The weekly certified payroll of a prevailing-rate job: the facts that 29 CFR 5.5(a)(3) asks for, assembled from
priced weeks, and the statement of compliance for the office to complete and sign.

Own layout and own words: the regulation lets a contractor use any form. The official text governs; whoever signs should
read it. What this engine does not know (deductions, wages paid out, who signs) is left for the office and named.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from payroll.law import explain
from payroll.law import week as w
from payroll.law.certified_days import DayHours, DaysUnknown, job_days
from payroll.law.earnings import NONE, hours_of
from payroll.law.money import ZERO, cents
from payroll.law.parameter_book import ParameterBook, the_book
from payroll.law.rules.us_prevailing import FEDERAL
from payroll.law.workweek import last_day

_SOCIAL_SECURITY = re.compile(r"\D*(?:\d\D*){9}")
_OF_THE_JOB = (*w.OTHER_TIME, "prevailing", "fringe", "overtime", "double", "missed-break")
BLANK = "____________"


class CertifiedMistakes(ValueError):
    """A payroll that cannot be certified yet. `mistakes` holds one sentence each: who, what is missing, next step."""

    def __init__(self, mistakes: Sequence[str]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(self.mistakes))


@dataclass(frozen=True, slots=True)
class PayDeduction:
    """A deduction that the firm's payroll made: its kind in words, and the amount."""

    kind: str
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Covered:
    """One person's week on the job. `identifying_number` is the firm's own or a part of a longer one; `deductions` and
    `net` come from the firm's payroll, None where they are still to be completed."""

    identifying_number: str
    week: w.WorkerWeek
    priced: w.PricedWeek
    deductions: tuple[PayDeduction, ...] | None = None
    net: Decimal | None = None


@dataclass(frozen=True, slots=True)
class CertifiedRow:
    """One person in one class on the job. Rates an hour; `paid_an_hour` is what the job's straight pay came to without
    cash in lieu of fringe; `earned_on_job` with its overtime, `earned_in_all` everything of the week. `days_in_all` are
    the hours of the seven days on all work, beside `days` on this job."""

    name: str
    identifying_number: str
    worker_class: str
    days: tuple[DayHours, ...]
    days_in_all: tuple[Fraction, ...]
    basic: Decimal
    fringe: Decimal
    fringe_to_plan: Decimal
    fringe_in_cash: Decimal
    paid_an_hour: Fraction
    earned_on_job: Decimal
    earned_in_all: Decimal
    deductions: tuple[PayDeduction, ...] | None
    net: Decimal | None

    @property
    def hours(self) -> Fraction:
        return sum((day.total for day in self.days), NONE)

    @property
    def hours_in_all(self) -> Fraction:
        return sum(self.days_in_all, NONE)


@dataclass(frozen=True, slots=True)
class CertifiedPayroll:
    """The week of one job: its rows, what the office still has to complete, the statement to sign, and the rules."""

    job: str
    week_start: date
    rows: tuple[CertifiedRow, ...]
    to_complete: tuple[str, ...]
    statement: tuple[str, ...]
    because: tuple[w.Because, ...]


def certified_payroll(
    contractor: str, job: str, people: Sequence[Covered], book: ParameterBook | None = None
) -> CertifiedPayroll:
    """Assemble one job's week from priced weeks.

    Raises CertifiedMistakes with every sentence: a missing class, number or hours by day, a full social security
    number, weeks that do not belong together, a net pay that does not follow from gross and deductions.
    """
    book = book or the_book()
    mistakes = list(_mistakes(contractor, job, people))
    rows: list[CertifiedRow] = []
    for person in people:
        for part in person.week.prevailing:
            if part.job != job or not part.worker_class.strip():
                continue
            try:
                rows.append(_row(person, part, job_days(person.week, part, book)))
            except DaysUnknown as unknown:
                mistakes.append(str(unknown))
    if mistakes:
        raise CertifiedMistakes(mistakes)
    rows.sort(key=lambda row: (row.name, row.identifying_number))
    start = people[0].week.week_start
    codes = ("certified-fields", "certified-statement", "certified-false")
    return CertifiedPayroll(
        job,
        start,
        tuple(rows),
        tuple(_to_complete(rows)),
        _statement(contractor, job, start, rows),
        tuple(explain.because(book, FEDERAL, code) for code in codes),
    )


def _mistakes(contractor: str, job: str, people: Sequence[Covered]) -> Iterator[str]:
    if not contractor.strip():
        yield "contractor: has no name. Give the firm that pays the workers."
    if not people:
        yield f"{job}: nobody worked on it that week. A payroll is owed only for weeks with covered work."
    if len({person.week.week_start for person in people}) > 1:
        yield f"{job}: the weeks begin on different days. Certify each week by itself."
    numbers = [person.identifying_number.strip() for person in people]
    for person in people:
        name = person.week.worker_name
        number = person.identifying_number.strip()
        if not number:
            yield f"{name}: has no identifying number. Give the firm's own number, or the last four of a longer one."
        elif _SOCIAL_SECURITY.fullmatch(number):
            yield (
                f"{name}: the identifying number has nine digits like a full social security number, which must not "
                "stand on a weekly payroll (29 CFR 5.5(a)(3)(ii)(B)). Give its last four digits, or the firm's own."
            )
        elif numbers.count(number) > 1:
            yield f"{name}: the identifying number {number} is given to more than one person. Give each their own."
        yield from _of_person(person, job)


def _of_person(person: Covered, job: str) -> Iterator[str]:
    name = person.week.worker_name
    parts = [part for part in person.week.prevailing if part.job == job]
    if person.priced.currency != "USD":
        yield f"{name}: was priced in {person.priced.currency}; only US weeks have prevailing rates. Leave it out."
    if not parts:
        yield f"{name}: has no prevailing work on {job}. Give the class, rates and hours, or leave the person out."
    for part in parts:
        if not part.worker_class.strip():
            yield f"{name}: has no class on {job}. Give the class of the work done, as the determination names it."
    if person.deductions is not None and person.net is not None:
        net = person.priced.gross - sum((one.amount for one in person.deductions), ZERO)
        if net != person.net:
            yield (
                f"{name}: gross {person.priced.gross} less the deductions is {net}, but {person.net} were paid. "
                "Correct one of them."
            )


def _row(person: Covered, part: w.PrevailingWork, days: tuple[DayHours, ...]) -> CertifiedRow:
    of_job = [line for line in person.priced.lines if line.job == part.job and line.code in _OF_THE_JOB]
    cash = sum((line.amount for line in of_job if line.code == "fringe"), ZERO)
    straight = part.pieces + sum((line.amount for line in of_job if line.code in (*w.OTHER_TIME, "prevailing")), ZERO)
    premiums = sum((line.amount for line in of_job if line.code in ("overtime", "double", "missed-break")), ZERO)
    premiums += _share_of_premiums(person.priced, days)
    by_day = hours_of(person.week).by_day
    return CertifiedRow(
        name=person.week.worker_name,
        identifying_number=person.identifying_number.strip(),
        worker_class=part.worker_class,
        days=days,
        days_in_all=tuple(by_day.get(day.day, NONE) for day in days),
        basic=part.basic,
        fringe=part.fringe,
        fringe_to_plan=part.fringe_to_plan,
        fringe_in_cash=cash,
        paid_an_hour=Fraction(straight) / part.hours,
        earned_on_job=straight + cash + premiums,
        earned_in_all=person.priced.gross,
        deductions=person.deductions,
        net=person.net,
    )


def _share_of_premiums(priced: w.PricedWeek, days: tuple[DayHours, ...]) -> Decimal:
    """The job's part of premiums that the week has as a whole, by its overtime and double hours; rounded once."""
    share = NONE
    for code, on_job, in_all in (
        ("overtime", sum((day.overtime for day in days), NONE), priced.hours.overtime),
        ("double", sum((day.double for day in days), NONE), priced.hours.double),
    ):
        whole = sum((line.amount for line in priced.lines if line.code == code and not line.job), ZERO)
        if in_all:
            share += Fraction(whole) * on_job / in_all
    return cents(share)


def _to_complete(rows: Sequence[CertifiedRow]) -> Iterator[str]:
    for names, what in (
        ([row.name for row in rows if row.deductions is None], "deductions made, each by its kind"),
        ([row.name for row in rows if row.net is None], "wages actually paid"),
    ):
        if names:
            yield f"{', '.join(dict.fromkeys(names))}: {what}, from the firm's payroll."
    if any(row.fringe_to_plan for row in rows):
        yield "The plans, funds or programs that the fringe contributions were paid to, for each class."
    yield "Who signs, in which function, and the date; the number of this payroll and of the contract."


def _statement(contractor: str, job: str, start: date, rows: Sequence[CertifiedRow]) -> tuple[str, ...]:
    """The statement in our own words, after 29 CFR 5.5(a)(3)(ii)(C)."""
    how = []
    if any(row.fringe_to_plan for row in rows):
        how.append(
            "contributions to the plans named in this payroll, at the hourly rates shown, are or will be paid in time"
        )
    if any(row.fringe_in_cash for row in rows):
        how.append("what no plan covers has been paid to the workers in cash, as shown")
    fringe = f" Fringe benefits: {'; '.join(how)}." if how else ""
    return (
        f"I, {BLANK} (name), {BLANK} (function), pay or oversee the payment of the people who worked for {contractor} "
        f"on {job} in the week from {start} to {last_day(start)}, and I certify:",
        "1. This payroll holds the information that 29 CFR 5.5(a)(3)(ii) asks for; the records that 29 CFR "
        "5.5(a)(3)(i) asks for are kept; and both are correct and complete.",
        "2. Everybody listed has been paid the whole wages earned that week. Nothing was or will be given back, "
        "directly or through others, and nothing was deducted but what 29 CFR part 3 permits, as shown.",
        "3. Everybody listed has been paid no less than the wage rates and fringe benefits, or their worth in cash, "
        f"that the contract's wage determination sets for the class of work actually done.{fringe}",
        "I know that a false certification may be prosecuted under 18 USC 1001 and 31 USC 3729.",
        f"Signed {BLANK}, on {BLANK}",
    )
