"""Lists of what the office recorded, for its pages: agreements, local minimum wages, missed breaks; people and jobs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.models import Job, Person
from payroll.models import Agreement, FinalPay
from payroll.selectors.office_facts import breaks_in_force, minimums_in_force
from payroll.selectors.rates import tidy

MOST_BREAKS = 200


@dataclass(frozen=True, slots=True)
class Choice:
    """Something to choose from: its id and what it is called."""

    id: int
    name: str


@dataclass(frozen=True, slots=True)
class AgreementRow:
    """An agreement in the list. `state` is in force, begins later, ended, replaced or withdrawn; `open` while it can
    still be ended."""

    agreement: int
    person: str
    kind: str
    figures: str
    signed_on: date
    starts_on: date
    ends_on: date | None
    said: str
    state: str
    open: bool


@dataclass(frozen=True, slots=True)
class MinimumRow:
    """A local minimum wage in the list."""

    minimum: int
    job: str
    amount: Decimal
    starts_on: date
    cite: str
    read_on: date


@dataclass(frozen=True, slots=True)
class BreakRow:
    """A missed break in the list."""

    missed: int
    person: str
    missed_on: date
    kind: str
    why: str


@dataclass(frozen=True, slots=True)
class FinalRow:
    """A final pay in the list."""

    statement: int
    number: int
    person: str
    first_day: date
    last_day: date
    leaving: str
    gross: Decimal


def people_choices() -> list[Choice]:
    """Everybody on the organisation's list, by name; numbers tell apart who bears the same."""
    rows = Person.objects.order_by("name", "number").values_list("pk", "name", "number")
    return [Choice(pk, f"{name}, {number}") for pk, name, number in rows]


def job_choices() -> list[Choice]:
    return [Choice(pk, name) for pk, name in Job.objects.order_by("name").values_list("pk", "name")]


def agreement_rows(*, on: date) -> list[AgreementRow]:
    """Every agreement ever recorded, by person, newest first."""
    rows = list(Agreement.objects.select_related("person").order_by("person__name", "-pk"))
    replaced = {row.replaces_id for row in rows if row.replaces_id}
    return [_agreement(row, row.pk in replaced, on) for row in rows]


def _agreement(row: Agreement, replaced: bool, on: date) -> AgreementRow:
    state = "in force"
    if row.withdrawn:
        state = "withdrawn"
    elif replaced:
        state = "replaced"
    elif row.ends_on is not None and row.ends_on < on:
        state = "ended"
    elif row.starts_on > on:
        state = "begins later"
    return AgreementRow(
        agreement=row.pk,
        person=row.person.name,
        kind=row.kind,
        figures="" if row.rate is None else f"{tidy(row.rate)} an hour on {row.guarantee_hours} hours",
        signed_on=row.signed_on,
        starts_on=row.starts_on,
        ends_on=row.ends_on,
        said=" ".join(part for part in (row.words, f"({row.reference})" if row.reference else "") if part),
        state=state,
        open=state in ("in force", "begins later"),
    )


def minimum_rows() -> list[MinimumRow]:
    """Local minimum wages that count, by job, newest start first."""
    rows = minimums_in_force().select_related("job").order_by("job__name", "-starts_on")
    return [MinimumRow(row.pk, row.job.name, tidy(row.amount), row.starts_on, row.cite, row.read_on) for row in rows]


def break_rows() -> list[BreakRow]:
    """The newest missed breaks that count."""
    rows = breaks_in_force().select_related("person").order_by("-missed_on", "person__name", "kind")[:MOST_BREAKS]
    return [BreakRow(row.pk, row.person.name, row.missed_on, row.kind, row.why) for row in rows]


def final_rows() -> list[FinalRow]:
    """Final pay ever written, newest first."""
    rows = FinalPay.objects.select_related("person", "pay_week", "statement").order_by("-pk")
    return [
        FinalRow(
            row.statement_id,
            row.statement.number,
            row.person.name,
            row.pay_week.first_day,
            row.last_day,
            row.leaving,
            row.statement.gross,
        )
        for row in rows
    ]
