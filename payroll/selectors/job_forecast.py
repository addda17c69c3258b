"""A job's labour against its bid while it can still be changed: closed weeks, open weeks, and where it is going.

Labour of the job is shared among operations in proportion to their piece pay, as in the weekly report. What is left of
an operation is taken at its cost a unit so far, and one not begun at its bid; what is neither begun nor bid has no
figure and is said. Money overpaid and not taken back is spent, and bears on no cost a unit.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum

from jobs.models import BudgetLine, Entry, Hours, Job, Operation, Organisation, Person, WorkUnit
from payroll.law import cents
from payroll.models import JobShare, LineAllotment, PayWeek
from payroll.selectors.gathered import DAYS, gather
from payroll.selectors.late import Corrected, corrections_priced, late_find
from payroll.selectors.overpaid import overpaid_by_week
from payroll.selectors.pricing import Stopped, drafted

PREFIX = "pay_forecast"
NONE = Fraction(0)


@dataclass(slots=True)
class Spent:
    """Labour money that the job bears, and piece work by operation: quantity and pay."""

    labour: Fraction = NONE
    quantity: defaultdict[int, Fraction] = field(default_factory=lambda: defaultdict(Fraction))
    pay: defaultdict[int, Fraction] = field(default_factory=lambda: defaultdict(Fraction))

    def add(self, other: Spent) -> None:
        self.labour += other.labour
        for operation, quantity in other.quantity.items():
            self.quantity[operation] += quantity
            self.pay[operation] += other.pay[operation]


@dataclass(frozen=True, slots=True)
class OpenWeek:
    """A week that is not closed, priced as it stands now; people who cannot be priced are left out and said."""

    first_day: date
    labour: Decimal
    stopped: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LateWeek:
    """A closed week that changed since: what its corrections add to the job, and who is not in it and why."""

    first_day: date
    labour: Decimal
    stopped: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ForecastRow:
    """One operation. Money a unit as bid and as spent so far; `forecast` for all that is measured, None where nothing
    is known of it; `bid` what was bid for that much."""

    name: str
    unit: str
    measured: Fraction
    done: Fraction
    left: Fraction
    bid_each: Fraction | None
    spent_each: Fraction | None
    spent: Decimal
    forecast: Decimal | None
    bid: Decimal | None

    @property
    def over(self) -> Decimal | None:
        """By how much the forecast is above what was bid for that much; negative below."""
        return None if self.forecast is None or self.bid is None else self.forecast - self.bid


@dataclass(frozen=True, slots=True)
class JobForecast:
    """A job to date and at completion. Each sum stands beside its square foot of floor, None without a floor area.

    `earned` is the bid for the work done, `forecast` the labour at completion, `bid` what was bid for all that is
    measured of the operations that were bid, `bid_forecast` the forecast of those same operations. `closed` is what
    statements in force made it bear, `overpaid` what was paid above them and not taken back; both are in `spent`.
    """

    floor_sqft: Decimal | None
    closed: Decimal
    overpaid: Decimal
    late_weeks: tuple[LateWeek, ...]
    open_weeks: tuple[OpenWeek, ...]
    spent: Decimal
    earned: Decimal
    forecast: Decimal
    bid: Decimal
    bid_forecast: Decimal
    rows: tuple[ForecastRow, ...]
    unknown: tuple[str, ...]

    @property
    def has_bid(self) -> bool:
        return any(row.bid is not None for row in self.rows)

    @property
    def not_bid(self) -> Decimal:
        """The forecast beside `bid_forecast`: operations nobody bid, hours that no operation bears."""
        return self.forecast - self.overpaid - self.bid_forecast

    @property
    def over(self) -> Decimal:
        """By how much the forecast of what was bid is above its bid; negative below."""
        return self.bid_forecast - self.bid

    def a_sqft(self, money: Decimal) -> Fraction | None:
        return Fraction(money) / Fraction(self.floor_sqft) if self.floor_sqft else None

    @property
    def spent_sqft(self) -> Fraction | None:
        return self.a_sqft(self.spent)

    @property
    def forecast_sqft(self) -> Fraction | None:
        return self.a_sqft(self.forecast)

    @property
    def bid_forecast_sqft(self) -> Fraction | None:
        return self.a_sqft(self.bid_forecast)

    @property
    def not_bid_sqft(self) -> Fraction | None:
        return self.a_sqft(self.not_bid)

    @property
    def overpaid_sqft(self) -> Fraction | None:
        return self.a_sqft(self.overpaid)

    @property
    def bid_sqft(self) -> Fraction | None:
        return self.a_sqft(self.bid)


def job_forecast(*, job: int) -> JobForecast:
    """Price what is open and add it to what was paid. Writes nothing. Needs a transaction. Raises Job.DoesNotExist."""
    site = Job.objects.get(pk=job)
    closed = _closed(job)
    spent = Spent()
    spent.add(closed)
    overpaid = sum(overpaid_by_week(job=job, last=date.max).values(), Decimal("0.00"))
    late_weeks = []
    for late_week, of_late in _late(job):
        late_weeks.append(late_week)
        spent.add(of_late)
    weeks = []
    for first_day in _open_weeks(job):
        week, of_week = _open(job, first_day)
        weeks.append(week)
        spent.add(of_week)
    rows, unknown = _rows(job, spent)
    bid_rows = [row for row in rows if row.bid is not None and row.forecast is not None]
    return JobForecast(
        floor_sqft=site.floor_area_sqft,
        closed=cents(closed.labour),
        overpaid=overpaid,
        late_weeks=tuple(late_weeks),
        open_weeks=tuple(weeks),
        spent=cents(spent.labour) + overpaid,
        earned=cents(sum((row.done * row.bid_each for row in rows if row.bid_each is not None), NONE)),
        forecast=overpaid
        + cents(_not_shared(spent) + sum((Fraction(row.forecast) for row in rows if row.forecast), NONE)),
        bid=sum((row.bid for row in bid_rows if row.bid is not None), Decimal("0.00")),
        bid_forecast=sum((row.forecast for row in bid_rows if row.forecast is not None), Decimal("0.00")),
        rows=tuple(rows),
        unknown=tuple(unknown),
    )


def _not_shared(spent: Spent) -> Fraction:
    """Labour of a job without any piece work: hours alone, which no operation bears."""
    return NONE if sum(spent.pay.values(), NONE) else spent.labour


def _closed(job: int) -> Spent:
    """What the statements in force made the job bear."""
    found = Spent()
    in_force = {"line__statement__corrected_by__isnull": True}
    borne = JobShare.objects.filter(job=job, **in_force).aggregate(sum=Sum("amount"))["sum"]
    found.labour = Fraction(borne or 0)
    done = LineAllotment.objects.filter(line__job=job, line__code="piece", **in_force).values_list("line__operation")
    for operation, quantity, pay in done.annotate(quantity_sum=Sum("quantity"), pay_sum=Sum("amount")):
        found.quantity[operation] = Fraction(quantity)
        found.pay[operation] = Fraction(pay)
    return found


def _late(job: int) -> list[tuple[LateWeek, Spent]]:
    """What the corrections of closed weeks add to the job; a change that overpaid is said and moves no sum."""
    found = []
    for pay_week, corrected, stopped in corrections_priced(late_find(None)):
        spent = Spent()
        said = [f"{one.name}: {sentence}" for one in stopped for sentence in one.sentences]
        for one in corrected:
            change = _change(job, one)
            if one.overpaid or (one.before and one.before.overpaid):
                name = Person.objects.values_list("name", flat=True).get(pk=one.late.person)
                if change.labour or any(change.quantity.values()):
                    said.append(f"{name}: what was paid is above what the week comes to now, so no sum moves yet.")
                continue
            spent.add(change)
        if spent.labour or said or any(spent.quantity.values()):
            found.append((LateWeek(pay_week.first_day, cents(spent.labour), tuple(said)), spent))
    return found


def _change(job: int, one: Corrected) -> Spent:
    """The week as it is priced now, less the statement before it: what of both the job bears."""
    found = Spent()
    for line in one.draft.lines:
        found.labour += sum((Fraction(share) for on, share in line.shares if on == job), NONE)
        if line.code == "piece" and line.job == job and line.operation is not None:
            found.quantity[line.operation] += Fraction(line.quantity)
            found.pay[line.operation] += Fraction(line.amount)
    if one.before is not None:
        borne = JobShare.objects.filter(job=job, line__statement=one.before).aggregate(sum=Sum("amount"))["sum"]
        found.labour -= Fraction(borne or 0)
        for line in one.before.lines.filter(code="piece", job=job):
            found.quantity[line.operation_id] -= Fraction(line.quantity)
            found.pay[line.operation_id] -= Fraction(line.amount)
    return found


def _open_weeks(job: int) -> list[date]:
    """First days of workweeks with work on the job that were not closed, oldest first."""
    closed = set(PayWeek.objects.filter(state=PayWeek.State.CLOSED).values_list("first_day", flat=True))
    start = Organisation.objects.values_list("workweek_start", flat=True).get()
    newest = max(closed, default=None)
    found: set[date] = set()
    for model in (Entry, Hours):
        days = model.objects.filter(job=job)
        if newest is not None:
            # Before the first closed week lie weeks that were settled elsewhere; late work is paid by a closing.
            days = days.filter(worked_on__gte=newest + timedelta(days=DAYS))
        for day in days.order_by().values_list("worked_on", flat=True).distinct():
            found.add(day - timedelta(days=(day.weekday() - start) % DAYS))
    return sorted(found - closed)


def _open(job: int, first_day: date) -> tuple[OpenWeek, Spent]:
    spent, stopped = Spent(), []
    gathered = gather(PREFIX, first_day)
    for batch in gathered.person_weeks():
        for week in batch:
            pieces = [piece for piece in week.pieces if piece.job == job]
            if not pieces and not any(time.job == job for time in week.times):
                continue
            draft = drafted(week, first_day, gathered.names)
            if isinstance(draft, Stopped):
                stopped += [f"{draft.name}: {sentence}" for sentence in draft.sentences]
                continue
            spent.labour += sum(
                (Fraction(share) for line in draft.lines for on, share in line.shares if on == job), NONE
            )
            for piece in pieces:
                spent.quantity[piece.operation] += Fraction(piece.quantity)
                spent.pay[piece.operation] += Fraction(piece.quantity) * Fraction(piece.rate or 0)
    return OpenWeek(first_day, cents(spent.labour), tuple(stopped)), spent


def _rows(job: int, spent: Spent) -> tuple[list[ForecastRow], list[str]]:
    """A row for each operation that is measured, done or bid on the job."""
    budget = {line.operation_id: line for line in BudgetLine.objects.filter(job=job)}
    measured = {
        operation: (Fraction(all_of_it), Fraction(done))
        for operation, all_of_it, done in WorkUnit.objects.filter(job=job)
        .order_by()
        .values_list("operation")
        .annotate(measured_sum=Sum("measured"), done_sum=Sum("done"))
    }
    pieces = sum(spent.pay.values(), NONE)
    rows, unknown = [], []
    for operation in Operation.objects.order_by("position", "pk"):
        if operation.pk not in measured and operation.pk not in budget and operation.pk not in spent.quantity:
            continue
        whole, done = measured.get(operation.pk, (NONE, NONE))
        paid_for = spent.quantity.get(operation.pk, NONE)
        borne = spent.labour * spent.pay.get(operation.pk, NONE) / pieces if pieces else NONE
        line = budget.get(operation.pk)
        bid_each = Fraction(line.labour_money) / Fraction(line.quantity) if line else None
        spent_each = borne / paid_for if paid_for else None
        each = spent_each if spent_each is not None else bid_each
        left = max(whole - done, NONE)
        if left and each is None:
            unknown.append(f"{operation.name}: not begun and not bid, so what is left of it is in no figure.")
        forecast = None if left and each is None else cents(borne + left * (each or NONE))
        rows.append(
            ForecastRow(
                name=operation.name,
                unit=operation.unit,
                measured=whole,
                done=done,
                left=left,
                bid_each=bid_each,
                spent_each=spent_each,
                spent=cents(borne),
                forecast=forecast,
                bid=None if bid_each is None else cents(bid_each * max(whole, done)),
            )
        )
    return rows, unknown
