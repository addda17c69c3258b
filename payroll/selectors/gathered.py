"""The work of a week, added up by PostgreSQL: pieces by person, day, job, operation and rate; hours by kind.

It is laid into temporary tables that end with the transaction, so that a million entries never pass through Python, and
so that a preview and a closing read the very same rows. Entries and hours count while nothing replaces them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db import connection

from jobs.models import Job, Operation, Person
from jobs.tenancy import organisation_in_scope
from payroll.law import Agreement, MissedBreak
from payroll.law.pay_days import by_pay_period
from payroll.models import HeightBand, Rate
from payroll.selectors.made_when import SPANS, Made, made_when
from payroll.selectors.office_facts import Minimum, agreements_of, breaks_of, minimums_by_job
from payroll.selectors.periods import DAYS, Period, period_of
from payroll.selectors.prevailing_rates import PrevailingRates, prevailing_in_force
from payroll.selectors.rates import PIECE_RATE, TIME_RATE
from payroll.selectors.week_before import Before, weeks_before


@dataclass(frozen=True, slots=True)
class DayPieces:
    """What a person did of one operation on one job and day at one rate (None where no rate holds).

    `hours` went into it and `first_hour` were worked that day before, where the time it was made is known.
    """

    worked_on: date
    job: int
    operation: int
    rate_used: int | None
    rate: Decimal | None
    quantity: Decimal
    hours: Fraction | None = None
    first_hour: Fraction | None = None


@dataclass(frozen=True, slots=True)
class DayTime:
    """Hours of one kind on one job and day, with the agreed rate if there is one."""

    worked_on: date
    job: int
    kind: str
    hours: Fraction
    rate: Decimal | None


@dataclass(frozen=True, slots=True)
class PersonWeek:
    """One person's week as it was logged, and what the office recorded of it: agreements that hold in it and breaks
    that were missed. `work` is the SHA-256 over the entry ids and quantities that count in it; `before` the week before
    in the same pay period, where it was worked and a rule set reckons over both."""

    person: int
    name: str
    number: str
    worker_class: str
    pieces: tuple[DayPieces, ...]
    times: tuple[DayTime, ...]
    work: str
    agreements: tuple[Agreement, ...] = ()
    missed: tuple[MissedBreak, ...] = ()
    before: Before | None = None


@dataclass(frozen=True, slots=True)
class Names:
    """What jobs, operations and rates are called in sentences and lines. Labels are unique in the organisation.

    `minimums` are the local minimum wages of jobs that have some, `period` is the pay period of the week.
    """

    jobs: dict[int, Job]
    operations: dict[int, Operation]
    rates: dict[int, Rate]
    job_labels: dict[int, str]
    operation_labels: dict[int, str]
    prevailing: PrevailingRates = field(default_factory=dict)
    minimums: dict[int, tuple[Minimum, ...]] = field(default_factory=dict)
    period: Period | None = None


_WALLS = """
CREATE TEMPORARY TABLE {p}_wall ON COMMIT DROP AS
SELECT DISTINCT ON (v.wall_id) v.wall_id, v.type_name, {band} AS band
  FROM jobs_wall w
  JOIN jobs_wallversion v ON v.organisation_id = w.organisation_id AND v.wall_id = w.id
  JOIN jobs_planrevision r ON r.organisation_id = v.organisation_id AND r.id = v.revision_id
 WHERE w.organisation_id = %(organisation)s
   AND EXISTS (SELECT 1 FROM jobs_entry e WHERE e.organisation_id = w.organisation_id AND e.job_id = w.job_id
                  AND e.worked_on BETWEEN %(first)s AND %(last)s)
 ORDER BY v.wall_id, r.number DESC
"""
_BAND = """
COALESCE((SELECT b.name FROM payroll_heightband b
           WHERE b.organisation_id = v.organisation_id AND b.from_inches <= (v.geometry ->> 'height_in')::numeric
           ORDER BY b.from_inches DESC LIMIT 1), '')
"""
# The rate that already paid an entry in this week, or the entry that it replaces: what was paid keeps its rate.
_KEPT = """
CREATE TEMPORARY TABLE {p}_kept ON COMMIT DROP AS
WITH RECURSIVE paid AS (
  SELECT DISTINCT ON (a.entry_id, s.person_id) a.entry_id, s.person_id, a.rate_used_id
    FROM payroll_statement s
    JOIN payroll_statementline l ON l.organisation_id = s.organisation_id AND l.statement_id = s.id
    JOIN payroll_lineallotment a ON a.organisation_id = l.organisation_id AND a.line_id = l.id
   WHERE s.organisation_id = %(organisation)s AND s.pay_week_id = %(kept_from)s AND s.person_id = ANY(%(people)s)
   ORDER BY a.entry_id, s.person_id, s.number DESC
), kept AS (
  SELECT entry_id, person_id, rate_used_id FROM paid
  UNION
  SELECT e.id, k.person_id, k.rate_used_id
    FROM kept k JOIN jobs_entry e ON e.organisation_id = %(organisation)s AND e.replaces_id = k.entry_id
)
SELECT DISTINCT ON (k.entry_id, k.person_id) k.entry_id, k.person_id, r.id AS rate_id, r.amount
  FROM kept k JOIN payroll_rate r ON r.organisation_id = %(organisation)s AND r.id = k.rate_used_id
 ORDER BY k.entry_id, k.person_id, r.id DESC
"""
_SHARES = """
CREATE TEMPORARY TABLE {p}_share ON COMMIT DROP AS
WITH raw AS MATERIALIZED (
  SELECT s.person_id, s.entry_id, e.worked_on, e.job_id, u.operation_id, s.quantity,
         COALESCE(w.type_name, '') AS wall_type, COALESCE(w.band, '') AS band, p.worker_class
    FROM jobs_job j -- leads to the index by job and day, whatever the planner knows
    JOIN jobs_entry e ON e.organisation_id = j.organisation_id AND e.job_id = j.id
    JOIN jobs_entryshare s ON s.organisation_id = e.organisation_id AND s.entry_id = e.id
    JOIN jobs_workunit u ON u.organisation_id = e.organisation_id AND u.id = e.work_unit_id
    JOIN jobs_person p ON p.organisation_id = s.organisation_id AND p.id = s.person_id
    LEFT JOIN {p}_wall w ON w.wall_id = u.wall_id
   WHERE j.organisation_id = %(organisation)s AND e.worked_on BETWEEN %(first)s AND %(last)s AND s.quantity > 0
     AND NOT EXISTS (SELECT 1 FROM jobs_entry n WHERE n.organisation_id = e.organisation_id AND n.replaces_id = e.id)
     {only_shares}
), kinds AS MATERIALIZED (
  SELECT DISTINCT operation_id, job_id, wall_type, band, worker_class, worked_on FROM raw
), rated AS MATERIALIZED (
  SELECT k.*, chosen.id AS rate_id, chosen.amount AS rate FROM kinds k {piece_rate}
)
SELECT raw.person_id, raw.entry_id, raw.worked_on, raw.job_id, raw.operation_id, raw.quantity,
       {rate_id} AS rate_id, {rate} AS rate
  FROM raw JOIN rated USING (operation_id, job_id, wall_type, band, worker_class, worked_on) {kept}
"""
_DAYS = """
CREATE TEMPORARY TABLE {p}_day ON COMMIT DROP AS
SELECT person_id, worked_on, job_id, operation_id, rate_id, rate, sum(quantity) AS quantity
  FROM {p}_share GROUP BY person_id, worked_on, job_id, operation_id, rate_id, rate
"""
_WORK = """
CREATE TEMPORARY TABLE {p}_work ON COMMIT DROP AS
SELECT person_id,
       encode(sha256(convert_to(string_agg(entry_id || ' ' || quantity, ',' ORDER BY entry_id), 'UTF8')), 'hex') AS work
  FROM {p}_share GROUP BY person_id
"""
_HOURS = """
CREATE TEMPORARY TABLE {p}_hours ON COMMIT DROP AS
SELECT h.id AS hours_id, h.person_id, h.worked_on, h.job_id, h.kind, h.minutes
  FROM jobs_job j
  JOIN jobs_hours h ON h.organisation_id = j.organisation_id AND h.job_id = j.id
 WHERE j.organisation_id = %(organisation)s AND h.worked_on BETWEEN %(first)s AND %(last)s AND h.minutes > 0
   AND NOT EXISTS (SELECT 1 FROM jobs_hours n WHERE n.organisation_id = h.organisation_id AND n.replaces_id = h.id)
   {only_hours}
"""
_TIMES = """
CREATE TEMPORARY TABLE {p}_time ON COMMIT DROP AS
WITH summed AS (
  SELECT h.person_id, h.worked_on, h.job_id, h.kind, p.worker_class, sum(h.minutes) AS minutes
    FROM {p}_hours h JOIN jobs_person p ON p.organisation_id = %(organisation)s AND p.id = h.person_id
   GROUP BY h.person_id, h.worked_on, h.job_id, h.kind, p.worker_class
), kinds AS MATERIALIZED (
  SELECT DISTINCT job_id, kind, worker_class, worked_on FROM summed
), rated AS MATERIALIZED (
  SELECT k.*, chosen.amount AS rate FROM kinds k {time_rate}
)
SELECT s.person_id, s.worked_on, s.job_id, s.kind, s.minutes, r.rate
  FROM summed s JOIN rated r USING (job_id, kind, worker_class, worked_on)
"""
TABLES = ("wall", "kept", "share", "day", "work", "hours", "time", "span")


@dataclass(frozen=True, slots=True)
class Gathered:
    """A week's work, in temporary tables `prefix`_share, _day, _work, _hours, _time, _span until the transaction ends.

    `before` is what the week before comes to for people whose statement of it is not written, or not corrected, yet.
    """

    prefix: str
    first_day: date
    people: tuple[int, ...]
    names: Names
    before: Mapping[int, Before | None] = field(default_factory=dict)

    def person_weeks(self, size: int = 500) -> Iterator[list[PersonWeek]]:
        """The people's weeks in batches, in the order of their ids, so that memory does not grow with the firm."""
        for start in range(0, len(self.people), size):
            yield self.some(self.people[start : start + size])

    def some(self, people: Sequence[int]) -> list[PersonWeek]:
        """The weeks of these people, in the order of their ids. A person without work that week has an empty one."""
        pieces: dict[int, list[DayPieces]] = {person: [] for person in people}
        times: dict[int, list[DayTime]] = {person: [] for person in people}
        made = made_when(self.prefix, people, {pk: job.rule_set for pk, job in self.names.jobs.items()})
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT person_id, worked_on, job_id, operation_id, rate_id, rate, quantity "  # noqa: S608
                f"FROM {self.prefix}_day WHERE person_id = ANY(%s) "
                "ORDER BY person_id, job_id, operation_id, rate, worked_on, rate_id",
                [list(people)],
            )
            for person, worked_on, job, operation, rate_used, rate, quantity in cursor.fetchall():
                told = DayPieces(worked_on, job, operation, rate_used, rate, quantity)
                pieces[person] += _told_apart(told, made.get((person, worked_on, job, operation, rate_used), []))
            cursor.execute(
                f"SELECT person_id, worked_on, job_id, kind, minutes, rate FROM {self.prefix}_time "  # noqa: S608
                "WHERE person_id = ANY(%s) ORDER BY person_id, kind, job_id, worked_on",
                [list(people)],
            )
            for person, worked_on, job, kind, minutes, rate in cursor.fetchall():
                times[person].append(DayTime(worked_on, job, kind, Fraction(int(minutes), 60), rate))
            cursor.execute(
                f"SELECT person_id, work FROM {self.prefix}_work WHERE person_id = ANY(%s)",  # noqa: S608
                [list(people)],
            )
            work = dict(cursor.fetchall())
        rows = (
            Person.objects.filter(pk__in=list(people))
            .order_by("pk")
            .values_list("pk", "name", "number", "worker_class")
        )
        last = self.first_day + timedelta(days=DAYS - 1)
        agreements = agreements_of(people, self.first_day, last)
        missed = breaks_of(people, self.first_day, last)
        before: dict[int, Before | None] = {}
        if any(by_pay_period(job.rule_set) for job in self.names.jobs.values()):
            before = {**weeks_before(self.first_day, self.names.period, people), **self.before}
        return [
            PersonWeek(
                pk,
                name,
                number,
                worker_class,
                tuple(pieces[pk]),
                tuple(times[pk]),
                work.get(pk, ""),
                agreements.get(pk, ()),
                missed.get(pk, ()),
                before.get(pk),
            )
            for pk, name, number, worker_class in rows
        ]


def gather(prefix: str, first_day: date, people: Sequence[int] | None = None, kept_from: int | None = None) -> Gathered:
    """Lay a week's work into temporary tables. Needs a transaction with an organisation in scope.

    `people` limits it to some; `kept_from` names the closed pay week whose rates stay with what they paid.
    """
    last = first_day + timedelta(days=DAYS - 1)
    given = {
        "organisation": organisation_in_scope(),
        "first": first_day,
        "last": last,
        "people": None if people is None else list(people),
        "kept_from": kept_from,
    }
    kept = kept_from is not None
    words = {
        "p": prefix,
        "band": _BAND if HeightBand.objects.exists() else "''::text",
        "piece_rate": PIECE_RATE,
        "time_rate": TIME_RATE,
        "rate_id": "COALESCE(kept.rate_id, rated.rate_id)" if kept else "rated.rate_id",
        "rate": "COALESCE(kept.amount, rated.rate)" if kept else "rated.rate",
        "kept": f"LEFT JOIN {prefix}_kept kept ON kept.entry_id = raw.entry_id AND kept.person_id = raw.person_id"
        if kept
        else "",
        "only_shares": "AND s.person_id = ANY(%(people)s)" if people is not None else "",
        "only_hours": "AND h.person_id = ANY(%(people)s)" if people is not None else "",
    }
    with connection.cursor() as cursor:
        # Sorting and hashing a week fits better in memory; this holds for the transaction only.
        cursor.execute("SET LOCAL work_mem = '64MB'")
        for name in TABLES:
            cursor.execute(f"DROP TABLE IF EXISTS pg_temp.{prefix}_{name}")
        for sql in (_WALLS, *((_KEPT,) if kept else ()), _SHARES, _DAYS, _WORK, _HOURS, _TIMES):
            cursor.execute(sql.format(**words), given)
        for name in ("share", "day", "time", "hours", "work"):
            cursor.execute(f"CREATE INDEX ON {prefix}_{name} (person_id)")
            cursor.execute(f"ANALYZE {prefix}_{name}")
        cursor.execute(SPANS.format(**words), given)
        cursor.execute(
            f"SELECT DISTINCT person_id FROM {prefix}_day UNION SELECT DISTINCT person_id FROM {prefix}_time ORDER BY 1"  # noqa: S608
        )
        found = tuple(row[0] for row in cursor.fetchall())
        cursor.execute(f"SELECT DISTINCT rate_id FROM {prefix}_day WHERE rate_id IS NOT NULL")  # noqa: S608
        rates = [row[0] for row in cursor.fetchall()]
    return Gathered(prefix, first_day, found, names(rates, last))


def _told_apart(day: DayPieces, made: Sequence[Made]) -> list[DayPieces]:
    """Pieces whose time is known, each span by itself, then the rest of the day."""
    apart = [replace(day, quantity=one.quantity, hours=one.hours, first_hour=one.first_hour) for one in made]
    rest = day.quantity - sum(one.quantity for one in made)
    return [*apart, replace(day, quantity=rest)] if rest else apart


def names(rates: Sequence[int], last: date | None = None) -> Names:
    """The organisation's jobs and operations, the rates asked for and local minimums started by `last`, with a label of
    its own for each job and operation."""
    jobs, operations = {job.pk: job for job in Job.objects.all()}, {each.pk: each for each in Operation.objects.all()}
    return Names(
        jobs,
        operations,
        Rate.objects.in_bulk(list(rates)),
        _labels({pk: (job.name, job.code) for pk, job in jobs.items()}),
        _labels({pk: (each.name, each.code) for pk, each in operations.items()}),
        prevailing=prevailing_in_force(),
        minimums={} if last is None else minimums_by_job(last),
        period=None if last is None else period_of(last - timedelta(days=DAYS - 1)),
    )


def _labels(named: dict[int, tuple[str, str]]) -> dict[int, str]:
    """Names, with the code added where two bear the same name."""
    seen: dict[str, int] = {}
    for name, _ in named.values():
        seen[name] = seen.get(name, 0) + 1
    return {pk: name if seen[name] == 1 else f"{name} ({code})" for pk, (name, code) in named.items()}
