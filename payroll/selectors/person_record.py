"""Everything kept of one person over a span of days: work, hours, rates, pay and what was corrected, as rows of tables.

Replaced entries and hours stand beside those in force, each naming what it replaces and what replaced it: the record as
it grew, not as it is now.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Q, QuerySet

from jobs.actors import Actor
from jobs.models import Entry, EntryShare, Hours, Membership, Person, Word, WordNote
from jobs.refusals import invalid, not_found
from jobs.selectors.unit_states import part_words
from payroll.models import LineAllotment, PrevailingRate, Rate, Statement
from payroll.selectors.gathered import DAYS
from payroll.selectors.office_tables import agreement_table, break_table
from payroll.selectors.rates import scope_words, tidy
from payroll.selectors.statements import statement_detail

Table = tuple[tuple[str, ...], list[tuple[Any, ...]]]


@dataclass(frozen=True, slots=True)
class PersonRecord:
    """Tables by file name, each as (columns, rows); statements of weeks that touch the span as (pk, number, week)."""

    person: int
    number: str
    name: str
    worker_class: str
    first: date
    last: date
    tables: dict[str, Table]
    statements: tuple[tuple[int, int, date], ...]


def person_record(*, actor: Actor, person: int, first: date, last: date) -> PersonRecord:
    """Raises NotFound, and Invalid for a span that ends before it begins. Needs a transaction."""
    if last < first:
        raise invalid("last", f"the span ends on {last}, before it begins on {first}. Give the later day last.")
    found = Person.objects.filter(pk=person).first()
    if found is None:
        raise not_found("person", "person", person)
    statements = list(
        Statement.objects.filter(
            person=found, pay_week__first_day__gt=first - timedelta(days=DAYS), pay_week__first_day__lte=last
        )
        .select_related("pay_week", "paid_in", "corrects")
        .order_by("number")
    )
    says = _who()
    shares = list(_shares(found, first, last))
    hours = list(_hours(found, first, last))
    about = [share.entry.uuid for share in shares] + [row.uuid for row in hours]
    tables: dict[str, Table] = {
        "entries.csv": _entries(shares, says),
        "hours.csv": _hours_table(hours, says),
        "words.csv": _words(found, about, says),
        "rates.csv": _rates(statements),
        "prevailing-rates.csv": _prevailing(found, shares, hours),
        "agreements.csv": agreement_table(found, first, last),
        "missed-breaks.csv": break_table(found, first, last),
        "statements.csv": _statements(statements, actor),
        "corrections.csv": _corrections(statements, shares, hours),
    }
    return PersonRecord(
        found.pk,
        found.number,
        found.name,
        found.worker_class,
        first,
        last,
        tables,
        tuple((one.pk, one.number, one.pay_week.first_day) for one in statements),
    )


def _who() -> dict[int, str]:
    """Members by id: the name of the person, or the address of the user."""
    rows = Membership.objects.values_list("pk", "person__name", "user__email")
    return {pk: name or email for pk, name, email in rows}


def _shares(person: Person, first: date, last: date) -> QuerySet[EntryShare]:
    return (
        EntryShare.objects.filter(person=person, entry__worked_on__range=(first, last))
        .select_related(
            "entry__job", "entry__work_unit__wall", "entry__work_unit__level", "entry__work_unit__operation",
            "entry__replaces",
        )
        .order_by("entry__worked_on", "entry_id")
    )  # fmt: skip


def _hours(person: Person, first: date, last: date) -> QuerySet[Hours]:
    return (
        Hours.objects.filter(person=person, worked_on__range=(first, last))
        .select_related("job", "replaces")
        .prefetch_related("replaced_by")
        .order_by("worked_on", "pk")
    )


def _entries(shares: Sequence[EntryShare], says: dict[int, str]) -> Table:
    columns = (
        "entry", "worked_on", "job", "level", "wall", "part", "operation", "unit", "entry_quantity", "share",
        "logged_by", "received_at", "replaces", "replaced_by",
    )  # fmt: skip
    newer = dict(
        Entry.objects.filter(replaces__in=[share.entry_id for share in shares]).values_list("replaces", "uuid")
    )
    rows = []
    for share in shares:
        entry, unit = share.entry, share.entry.work_unit
        rows.append(
            (
                entry.uuid, entry.worked_on, entry.job.name, unit.level.name, unit.wall.mark if unit.wall else "",
                part_words(unit.face, unit.layer, unit.opening), unit.operation.name, unit.operation.unit,
                entry.quantity, share.quantity, says.get(entry.logged_by_id, ""), entry.received_at.isoformat(),
                entry.replaces.uuid if entry.replaces else None, newer.get(entry.pk),
            )
        )  # fmt: skip
    return columns, rows


def _hours_table(hours: Sequence[Hours], says: dict[int, str]) -> Table:
    columns = (
        "hours", "worked_on", "job", "kind", "minutes", "started_at", "finished_at", "logged_by", "received_at",
        "replaces", "replaced_by",
    )  # fmt: skip
    rows = [
        (
            row.uuid, row.worked_on, row.job.name, row.kind, row.minutes, _moment(row.started_at),
            _moment(row.finished_at), says.get(row.logged_by_id, ""), row.received_at.isoformat(),
            row.replaces.uuid if row.replaces else None, next((one.uuid for one in row.replaced_by.all()), None),
        )
        for row in hours
    ]  # fmt: skip
    return columns, rows


def _moment(at: Any) -> str | None:
    return None if at is None else str(at.isoformat())


def _words(person: Person, about: Sequence[Any], says: dict[int, str]) -> Table:
    """What the person said of entries and hours, and how the office settled it."""
    words = list(Word.objects.filter(person=person, about__in=about).order_by("pk"))
    texts = dict(WordNote.objects.filter(word__in=words).values_list("word", "text"))
    rows: list[tuple[Any, ...]] = [
        (word.about, word.says, texts.get(word.pk, ""), says.get(word.said_by_id, ""), word.received_at.isoformat())
        for word in words
    ]
    return ("about", "says", "reason", "said_by", "received_at"), rows


def _rates(statements: Sequence[Statement]) -> Table:
    """Every rate of the price list that paid an entry in these statements."""
    used = LineAllotment.objects.filter(line__statement__in=statements).values("rate_used")
    rates = Rate.objects.filter(pk__in=used).select_related("operation", "job").order_by("pk")
    rows: list[tuple[Any, ...]] = [
        (
            rate.pk, rate.operation.name if rate.operation else rate.time_kind,
            rate.operation.unit if rate.operation else "h", tidy(rate.amount), rate.starts_on,
            scope_words(rate, rate.job.name if rate.job else ""), rate.set_at.isoformat(), rate.replaces_id,
        )
        for rate in rates
    ]  # fmt: skip
    return ("rate", "paid_for", "unit", "amount", "starts_on", "holds_for", "set_at", "replaces"), rows


def _prevailing(person: Person, shares: Sequence[EntryShare], hours: Sequence[Hours]) -> Table:
    """Prevailing rates of the person's class on the jobs of the span, replaced ones among them."""
    jobs = {share.entry.job_id for share in shares} | {row.job_id for row in hours}
    found = PrevailingRate.objects.filter(Q(worker_class=person.worker_class), job__in=jobs).select_related("job")
    rows: list[tuple[Any, ...]] = [
        (
            rate.pk, rate.job.name, rate.worker_class, rate.class_named, tidy(rate.basic), tidy(rate.fringe),
            tidy(rate.fringe_to_plan), rate.starts_on, rate.citation, rate.set_at.isoformat(), rate.replaces_id,
        )
        for rate in found.order_by("pk")
    ]  # fmt: skip
    columns = (
        "rate", "job", "class", "class_named", "basic", "fringe", "fringe_to_plan", "starts_on", "citation", "set_at",
        "replaces",
    )  # fmt: skip
    return columns, rows


def _statements(statements: Sequence[Statement], actor: Actor) -> Table:
    """Every line of every statement with its reasons."""
    columns = (
        "statement", "week", "paid_in", "corrects", "gross", "paid_here", "line", "code", "text", "quantity", "unit",
        "rate", "amount", "currency", "because",
    )  # fmt: skip
    return columns, [row for one in statements for row in _lines(one, actor)]


def _lines(one: Statement, actor: Actor) -> Iterator[tuple[Any, ...]]:
    figures = statement_detail(actor=actor, statement=one.pk).figures
    for place, line in enumerate(figures.lines, start=1):
        yield (
            one.number, one.pay_week.first_day, one.paid_in.first_day, one.corrects.number if one.corrects else None,
            one.gross, one.difference, place, line.code, line.text, line.quantity, line.unit, tidy(line.rate),
            line.amount, one.currency, " ".join(reason.sentence for reason in line.because),
        )  # fmt: skip


def _corrections(statements: Sequence[Statement], shares: Sequence[EntryShare], hours: Sequence[Hours]) -> Table:
    """What took the place of what: entries, hours and statements, with the difference a statement paid."""
    rows: list[tuple[Any, ...]] = [
        ("entry", share.entry.uuid, share.entry.replaces.uuid, share.entry.received_at.isoformat(), None, None)
        for share in shares
        if share.entry.replaces
    ]
    rows += [
        ("hours", row.uuid, row.replaces.uuid, row.received_at.isoformat(), None, None) for row in hours if row.replaces
    ]
    rows += [
        ("statement", one.number, one.corrects.number, _moment(one.paid_in.closed_at), one.difference, one.overpaid)
        for one in statements
        if one.corrects
    ]
    return ("kind", "new", "replaces", "at", "paid_difference", "overpaid"), rows
