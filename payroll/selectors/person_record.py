"""Everything kept of one person over a span of days: work, hours, rates, pay and what was corrected, as rows of tables.

Replaced entries and hours stand beside those in force, each naming what it replaces and what replaced it: the record as
it grew, not as it is now. Rows of work are read as they are taken, so that years of it are not held at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import OuterRef, Q, QuerySet, Subquery

from jobs.models import Entry, EntryShare, Hours, Membership, Person, Word, WordNote
from jobs.refusals import invalid, not_found
from jobs.selectors.unit_states import part_words
from payroll.models import LineAllotment, PrevailingRate, Rate, Statement
from payroll.reports.figures import StatementFigures
from payroll.selectors.gathered import DAYS
from payroll.selectors.office_tables import agreement_table, break_table
from payroll.selectors.rates import scope_words, tidy

Columns = tuple[str, ...]
Rows = Iterable[tuple[Any, ...]]
# Four years, which is longer than any of the rule sets asks a record of pay to be kept; more is taken in parts.
LONGEST = timedelta(days=4 * 366)
AT_ONCE = 1000
STATEMENT_LINES: Columns = (
    "statement", "week", "paid_in", "corrects", "gross", "paid_here", "line", "code", "text", "quantity", "unit",
    "rate", "amount", "currency", "because",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PersonRecord:
    """A person, a span, and the statements of weeks that touch it, in the order of the chain."""

    person: Person
    first: date
    last: date
    statements: tuple[Statement, ...]


def person_record(*, person: int, first: date, last: date) -> PersonRecord:
    """Raises NotFound, and Invalid for a span that ends before it begins or is too long. Needs a transaction."""
    if last < first:
        raise invalid("last", f"the span ends on {last}, before it begins on {first}. Give the later day last.")
    if last - first >= LONGEST:
        raise invalid(
            "last",
            f"the span from {first} to {last} has {(last - first).days + 1} days, and one record holds {LONGEST.days}. "
            "Take it in parts.",
        )
    found = Person.objects.filter(pk=person).first()
    if found is None:
        raise not_found("person", "person", person)
    statements = (
        Statement.objects.filter(
            person=found, pay_week__first_day__gt=first - timedelta(days=DAYS), pay_week__first_day__lte=last
        )
        .select_related("pay_week", "paid_in__closed_by__person", "person", "corrects")
        .order_by("number")
    )
    return PersonRecord(found, first, last, tuple(statements))


def record_tables(record: PersonRecord) -> Iterator[tuple[str, Columns, Rows]]:
    """Tables by file name with columns and rows, all but the lines of statements. Read one out before the next."""
    person, first, last, statements = record.person, record.first, record.last, record.statements
    says = _who()
    shares, hours = _shares(person, first, last), _hours(person, first, last)
    yield "entries.csv", *_entries(shares, says)
    yield "hours.csv", *_hours_table(hours, says)
    yield "words.csv", *_words(person, shares, hours, says)
    yield "rates.csv", *_rates(statements)
    yield "prevailing-rates.csv", *_prevailing(person, shares, hours)
    yield "agreements.csv", *agreement_table(person, first, last)
    yield "missed-breaks.csv", *break_table(person, first, last)
    yield "corrections.csv", *_corrections(statements, shares, hours)


def _who() -> dict[int, str]:
    """Members by id: the name of the person, or the address of the user."""
    rows = Membership.objects.values_list("pk", "person__name", "user__email")
    return {pk: name or email for pk, name, email in rows}


def _shares(person: Person, first: date, last: date) -> QuerySet[EntryShare]:
    """Shares with their entries; `newer` is the UUID of the entry that replaced it."""
    newer = Entry.objects.filter(replaces=OuterRef("entry")).values("uuid")[:1]
    return (
        EntryShare.objects.filter(person=person, entry__worked_on__range=(first, last))
        .select_related(
            "entry__job", "entry__work_unit__wall", "entry__work_unit__level", "entry__work_unit__operation",
            "entry__replaces",
        )
        .annotate(newer=Subquery(newer))
        .order_by("entry__worked_on", "entry_id")
    )  # fmt: skip


def _hours(person: Person, first: date, last: date) -> QuerySet[Hours]:
    """Hours; `newer` is the UUID of those that replaced them."""
    newer = Hours.objects.filter(replaces=OuterRef("pk")).values("uuid")[:1]
    return (
        Hours.objects.filter(person=person, worked_on__range=(first, last))
        .select_related("job", "replaces")
        .annotate(newer=Subquery(newer))
        .order_by("worked_on", "pk")
    )


def _entries(shares: QuerySet[EntryShare], says: dict[int, str]) -> tuple[Columns, Rows]:
    columns = (
        "entry", "worked_on", "job", "level", "wall", "part", "operation", "unit", "entry_quantity", "share",
        "started_at", "finished_at", "logged_by", "received_at", "replaces", "replaced_by",
    )  # fmt: skip

    def row(share: EntryShare) -> tuple[Any, ...]:
        entry, unit = share.entry, share.entry.work_unit
        return (
            entry.uuid, entry.worked_on, entry.job.name, unit.level.name, unit.wall.mark if unit.wall else "",
            part_words(unit.face, unit.layer, unit.opening), unit.operation.name, unit.operation.unit,
            entry.quantity, share.quantity, _moment(entry.started_at), _moment(entry.finished_at),
            says.get(entry.logged_by_id, ""), entry.received_at.isoformat(),
            entry.replaces.uuid if entry.replaces else None, share.newer,
        )  # fmt: skip

    return columns, map(row, shares.iterator(AT_ONCE))


def _hours_table(hours: QuerySet[Hours], says: dict[int, str]) -> tuple[Columns, Rows]:
    columns = (
        "hours", "worked_on", "job", "kind", "minutes", "started_at", "finished_at", "logged_by", "received_at",
        "replaces", "replaced_by",
    )  # fmt: skip
    rows = (
        (
            row.uuid, row.worked_on, row.job.name, row.kind, row.minutes, _moment(row.started_at),
            _moment(row.finished_at), says.get(row.logged_by_id, ""), row.received_at.isoformat(),
            row.replaces.uuid if row.replaces else None, row.newer,
        )
        for row in hours.iterator(AT_ONCE)
    )  # fmt: skip
    return columns, rows


def _moment(at: Any) -> str | None:
    return None if at is None else str(at.isoformat())


def _words(
    person: Person, shares: QuerySet[EntryShare], hours: QuerySet[Hours], says: dict[int, str]
) -> tuple[Columns, Rows]:
    """What the person said of entries and hours, and how the office settled it."""
    of_work = Q(about__in=_only(shares, "entry__uuid")) | Q(about__in=_only(hours, "uuid"))
    words = list(Word.objects.filter(of_work, person=person).order_by("pk"))
    texts = dict(WordNote.objects.filter(word__in=words).values_list("word", "text"))
    rows: list[tuple[Any, ...]] = [
        (word.about, word.says, texts.get(word.pk, ""), says.get(word.said_by_id, ""), word.received_at.isoformat())
        for word in words
    ]
    return ("about", "says", "reason", "said_by", "received_at"), rows


def _only(rows: QuerySet[Any], column: str) -> QuerySet[Any]:
    """One column of a query, to ask with."""
    return rows.order_by().values(column)


def _rates(statements: Sequence[Statement]) -> tuple[Columns, Rows]:
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


def _prevailing(person: Person, shares: QuerySet[EntryShare], hours: QuerySet[Hours]) -> tuple[Columns, Rows]:
    """Prevailing rates of the person's class on the jobs of the span, replaced ones among them."""
    on_jobs = Q(job__in=_only(shares, "entry__job")) | Q(job__in=_only(hours, "job"))
    found = PrevailingRate.objects.filter(on_jobs, worker_class=person.worker_class).select_related("job")
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


def statement_lines(one: Statement, figures: StatementFigures) -> Iterator[tuple[Any, ...]]:
    """Every line of a statement with its reasons, under STATEMENT_LINES."""
    for place, line in enumerate(figures.lines, start=1):
        yield (
            one.number, one.pay_week.first_day, one.paid_in.first_day, one.corrects.number if one.corrects else None,
            one.gross, one.difference, place, line.code, line.text, line.quantity, line.unit, tidy(line.rate),
            line.amount, one.currency, " ".join(reason.sentence for reason in line.because),
        )  # fmt: skip


def _corrections(
    statements: Sequence[Statement], shares: QuerySet[EntryShare], hours: QuerySet[Hours]
) -> tuple[Columns, Rows]:
    """What took the place of what: entries, hours and statements, with the difference a statement paid."""
    return ("kind", "new", "replaces", "at", "paid_difference", "overpaid"), _replacing(statements, shares, hours)


def _replacing(
    statements: Sequence[Statement], shares: QuerySet[EntryShare], hours: QuerySet[Hours]
) -> Iterator[tuple[Any, ...]]:
    for share in shares.exclude(entry__replaces=None).iterator(AT_ONCE):
        entry = share.entry
        yield "entry", entry.uuid, entry.replaces.uuid, entry.received_at.isoformat(), None, None
    for row in hours.exclude(replaces=None).iterator(AT_ONCE):
        yield "hours", row.uuid, row.replaces.uuid, row.received_at.isoformat(), None, None
    for one in statements:
        if one.corrects:
            at = _moment(one.paid_in.closed_at)
            yield "statement", one.number, one.corrects.number, at, one.difference, one.overpaid
