"""The weekly figures of a job: entries, hours, units an hour, and labour cost per square foot against budget.

Definitions. They are printed on the report; all sums are over closed weeks and the statements in force in them.

- Labour of a week: what this job bears of the lines of that week's statements. Piece lines and hours logged on the job
  are borne whole; overtime premiums, floors and bonuses of a person's week are shared among his jobs by paid hours, to
  the cent by largest remainder (`selectors.pricing`). A difference paid later for a closed week belongs to the week in
  which the work was done.
- Budget for the work done ("earned"): for each operation the budget's labour money divided by its quantity, times the
  quantity done. Work without a budget line is spent but has no budget, and the report says so.
- Per square foot of board: the part of a week's labour that fell to board, over the board hung. Hours, premiums and
  floors name no operation, so they fall to operations in proportion to piece pay. Its budget is the budget for that
  board; as bid, the budget's money for board over its quantity. To date: the sums of the weeks.
- Per square foot of floor: labour to date over the job's floor area, against the budget for the work done to date. As
  bid: all labour money of the budget over the floor area.
- Units an hour: a person's piece hours of a day on the job are shared among the operations he did there that day in
  proportion to what they earned; quantity over those hours. Piece hours of a day without paid entries are in none.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db import connection

from jobs.models import BudgetLine, Job, Operation, Organisation
from jobs.tenancy import organisation_in_scope
from payroll.law import cents
from payroll.law.week import PIECE_TIME, TIME_KINDS, UNPAID_TIME
from payroll.reports.numbers import SYMBOLS
from payroll.selectors.overpaid import overpaid_by_week
from payroll.selectors.pricing import QUANTITY, rounded

BOARD = "board"
AREA_UNIT = "sq ft"
HOUR_PLACES = Decimal("0.01")
NONE = Fraction(0)
CODES = {
    "piece": "piece earnings",
    "bonus": "bonuses",
    "guarantee": "hourly guarantee",
    "minimum-wage": "minimum-wage top-up",
    "overtime": "overtime premium",
    "double": "double-time premium",
    "overpaid": "overpaid, not taken back",
}
DEFINITIONS = (
    "All sums are over closed weeks and the statements in force in them; a difference paid later belongs to the "
    "week in which the work was done.",
    "Labour is what this job bears: its piece lines and the hours logged on it; premiums, floors and bonuses of "
    "a person's week are shared among the jobs of that week by paid hours, to the cent by largest remainder.",
    "Budget for the work done: each operation's labour money in the budget over its quantity there, times the "
    "quantity done.",
    "Per sq ft of board: piece pay of board, with its part of other time and premiums in proportion to piece pay, over "
    "the board hung. Per sq ft of floor: all labour to date over the floor area of the job.",
    "Pay that a later correction showed to be too much, and that is not taken back, is spent: it is a line of its own "
    "in the labour of the week that was worked.",
    "Units an hour: a person's piece hours of a day are shared among that day's operations in proportion to "
    "their earnings.",
)


@dataclass(frozen=True, slots=True)
class Done:
    """Paid work of one operation: entries, quantity and piece pay."""

    entries: int = 0
    quantity: Fraction = NONE
    pay: Fraction = NONE


@dataclass(frozen=True, slots=True)
class Budget:
    """What was bid for an operation: its quantity and labour money."""

    quantity: Fraction
    money: Fraction

    def earned(self, quantity: Fraction) -> Fraction:
        """The budget for a quantity done."""
        return self.money / self.quantity * quantity


# A statement is in force until another corrects it.
_IN_FORCE = """
  FROM payroll_payweek w
  JOIN payroll_statement s ON s.organisation_id = w.organisation_id AND s.pay_week_id = w.id
   AND NOT EXISTS (
     SELECT 1 FROM payroll_statement c WHERE c.organisation_id = s.organisation_id AND c.corrects_id = s.id)
"""
_DONE = f"""
SELECT w.first_day, u.operation_id, count(DISTINCT a.entry_id), sum(a.quantity), sum(a.amount) {_IN_FORCE}
  JOIN payroll_statementline l ON l.organisation_id = s.organisation_id AND l.statement_id = s.id AND l.code = 'piece'
  JOIN payroll_lineallotment a ON a.organisation_id = l.organisation_id AND a.line_id = l.id
  JOIN jobs_entry e ON e.organisation_id = a.organisation_id AND e.id = a.entry_id
  JOIN jobs_workunit u ON u.organisation_id = e.organisation_id AND u.id = e.work_unit_id
 WHERE w.organisation_id = %(organisation)s AND w.state = 'closed' AND w.first_day <= %(first)s AND l.job_id = %(job)s
 GROUP BY w.first_day, u.operation_id
"""
_DAYS = f"""
SELECT s.person_id, e.worked_on, u.operation_id, sum(a.quantity), sum(a.amount) {_IN_FORCE}
  JOIN payroll_statementline l ON l.organisation_id = s.organisation_id AND l.statement_id = s.id AND l.code = 'piece'
  JOIN payroll_lineallotment a ON a.organisation_id = l.organisation_id AND a.line_id = l.id
  JOIN jobs_entry e ON e.organisation_id = a.organisation_id AND e.id = a.entry_id
  JOIN jobs_workunit u ON u.organisation_id = e.organisation_id AND u.id = e.work_unit_id
 WHERE w.organisation_id = %(organisation)s AND w.first_day = %(first)s AND l.job_id = %(job)s
 GROUP BY s.person_id, e.worked_on, u.operation_id
"""
_LABOUR = f"""
SELECT w.first_day, l.code, sum(j.amount) {_IN_FORCE}
  JOIN payroll_statementline l ON l.organisation_id = s.organisation_id AND l.statement_id = s.id
  JOIN payroll_jobshare j ON j.organisation_id = l.organisation_id AND j.line_id = l.id
 WHERE w.organisation_id = %(organisation)s AND w.state = 'closed' AND w.first_day <= %(first)s AND j.job_id = %(job)s
 GROUP BY w.first_day, l.code
"""
_HOURS = f"""
SELECT s.person_id, h.worked_on, h.kind, sum(h.minutes) {_IN_FORCE}
  JOIN payroll_statementhours c ON c.organisation_id = s.organisation_id AND c.statement_id = s.id
  JOIN jobs_hours h ON h.organisation_id = c.organisation_id AND h.id = c.hours_id
 WHERE w.organisation_id = %(organisation)s AND w.first_day = %(first)s AND h.job_id = %(job)s
 GROUP BY s.person_id, h.worked_on, h.kind
"""


def weekly_figures(*, job: int, first_day: date) -> dict[str, Any]:
    """The figures of one job and closed week, as JSON holds them: exact decimals as text, None where there is nothing.

    The same statements, entries, hours and budget give the same dict. The keys are those that `reports.weekly_pdf` and
    `reports.charts` draw. Raises Job.DoesNotExist.
    """
    of = Job.objects.get(pk=job)
    organisation = Organisation.objects.get(pk=of.organisation_id)
    operations = list(Operation.objects.order_by("position", "pk"))
    budget = {
        line.operation_id: Budget(Fraction(line.quantity), Fraction(line.labour_money))
        for line in BudgetLine.objects.filter(job=of)
    }
    given = {"organisation": organisation_in_scope(), "first": first_day, "job": job}
    done = _done(_rows(_DONE, given))
    labour = _labour(_rows(_LABOUR, given), overpaid_by_week(job=job, last=first_day))
    hours, days = _rows(_HOURS, given), _rows(_DAYS, given)
    people = {row[0] for row in hours} | {row[0] for row in days}
    history = _history(done, labour, budget, operations, of, first_day)
    week = done.get(first_day, {})
    return {
        "organisation": organisation.legal_name or organisation.name,
        "accent": organisation.accent_colour,
        "job": {"name": of.name, "code": of.code, "address": " ".join(of.address.split())},
        "first_day": first_day.isoformat(),
        "last_day": (first_day + timedelta(days=6)).isoformat(),
        "currency": of.currency,
        "currency_symbol": SYMBOLS.get(of.currency, of.currency),
        "area_unit": AREA_UNIT,
        "week": {
            "entries": sum(each.entries for each in week.values()),
            "people": len(people),
            "hours_total": _hours_text(_sum_hours(hours, lambda kind: kind != UNPAID_TIME)),
            "labour": _money(sum(labour.get(first_day, {}).values(), NONE)),
        },
        "per_area": _per_area(history, budget, operations),
        "operations": _operations(done, days, hours, budget, operations, first_day),
        "labour": _labour_rows(labour.get(first_day, {}), hours),
        "weeks": [_week_row(each) for each in history],
        "definitions": [*DEFINITIONS, *_without_budget(done, budget, operations, first_day)],
    }


def _rows(sql: str, given: dict[str, Any]) -> list[Any]:
    # A firm whose first weeks were just filled in is in no statistics yet: taken for a handful of rows, it would be
    # read row by row against row. Joined by hashing, its figures take one pass whatever the planner believes.
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL enable_nestloop = off")
        cursor.execute(sql, given)
        found = cursor.fetchall()
        cursor.execute("SET LOCAL enable_nestloop = DEFAULT")
        return found


def _done(rows: Sequence[Any]) -> dict[date, dict[int, Done]]:
    found: defaultdict[date, dict[int, Done]] = defaultdict(dict)
    for first, operation, entries, quantity, pay in rows:
        found[first][operation] = Done(entries, Fraction(quantity), Fraction(pay))
    return dict(found)


def _labour(rows: Sequence[Any], overpaid: dict[date, Decimal]) -> dict[date, dict[str, Fraction]]:
    found: defaultdict[date, dict[str, Fraction]] = defaultdict(dict)
    for first, code, amount in rows:
        found[first][code] = Fraction(amount)
    for first, amount in overpaid.items():
        found[first]["overpaid"] = Fraction(amount)
    return dict(found)


@dataclass(frozen=True, slots=True)
class _Week:
    """One week of the history, with sums to date; None for budget where the job has none."""

    first_day: date
    labour: Fraction
    earned: Fraction | None
    board: Fraction
    board_labour: Fraction
    board_earned: Fraction | None
    labour_to_date: Fraction
    earned_to_date: Fraction | None
    floor: Fraction | None


def _history(
    done: dict[date, dict[int, Done]],
    labour: dict[date, dict[str, Fraction]],
    budget: dict[int, Budget],
    operations: Sequence[Operation],
    job: Job,
    first_day: date,
) -> list[_Week]:
    boards = {operation.pk for operation in operations if operation.measure == BOARD}
    floor = Fraction(job.floor_area_sqft) if job.floor_area_sqft is not None else None
    history: list[_Week] = []
    spent, earned = NONE, NONE
    for first in sorted(set(done) | set(labour) | {first_day}):
        week = done.get(first, {})
        board = {pk: each for pk, each in week.items() if pk in boards}
        of_week = sum(labour.get(first, {}).values(), NONE)
        budgeted = _earned(week, budget)
        spent, earned = spent + of_week, earned + budgeted
        pieces, board_pieces = (sum((each.pay for each in part.values()), NONE) for part in (week, board))
        history.append(
            _Week(
                first_day=first,
                labour=of_week,
                earned=budgeted if budget else None,
                board=sum((each.quantity for each in board.values()), NONE),
                board_labour=of_week * board_pieces / pieces if pieces else NONE,
                board_earned=_earned(board, budget) if budget.keys() & boards else None,
                labour_to_date=spent,
                earned_to_date=earned if budget else None,
                floor=floor,
            )
        )
    return history


def _earned(week: dict[int, Done], budget: dict[int, Budget]) -> Fraction:
    """The budget for the work done in a week, of the operations that have one."""
    return sum((budget[pk].earned(each.quantity) for pk, each in week.items() if pk in budget), NONE)


def _week_row(week: _Week) -> dict[str, Any]:
    return {
        "first_day": week.first_day.isoformat(),
        "labour": _money(week.labour),
        "earned": None if week.earned is None else _money(week.earned),
        "board": _quantity(week.board),
        "board_spent": _per(week.board_labour, week.board),
        "board_budget": _per(week.board_earned, week.board),
        "floor_spent": _per(week.labour_to_date, week.floor),
        "floor_budget": _per(week.earned_to_date, week.floor),
    }


def _per_area(history: list[_Week], budget: dict[int, Budget], operations: Sequence[Operation]) -> list[dict[str, Any]]:
    now = history[-1]
    money = sum((each.money for each in budget.values()), NONE)
    bids = [budget[each.pk] for each in operations if each.measure == BOARD and each.pk in budget]
    bid = _per(sum((each.money for each in bids), NONE), sum((each.quantity for each in bids), NONE))
    earned = None if now.board_earned is None else sum((week.board_earned or NONE for week in history), NONE)
    labour, hung = sum((week.board_labour for week in history), NONE), sum((week.board for week in history), NONE)
    return [
        _board_row("of board hung, in the week", now.board_labour, now.board_earned, now.board, bid),
        _board_row("of board hung, to date", labour, earned, hung, bid),
        {
            "text": "of floor, all labour to date",
            "quantity": None if now.floor is None else _quantity(now.floor),
            "labour": _money(now.labour_to_date),
            "spent": _per(now.labour_to_date, now.floor),
            "budget": _per(now.earned_to_date, now.floor),
            "bid": _per(money if budget else None, now.floor),
        },
    ]


def _board_row(
    text: str, labour: Fraction, earned: Fraction | None, board: Fraction, bid: str | None
) -> dict[str, Any]:
    return {
        "text": text,
        "quantity": _quantity(board),
        "labour": _money(labour),
        "spent": _per(labour, board),
        "budget": _per(earned, board),
        "bid": bid,
    }


def _operations(
    done: dict[date, dict[int, Done]],
    days: Sequence[Any],
    hours: Sequence[Any],
    budget: dict[int, Budget],
    operations: Sequence[Operation],
    first_day: date,
) -> list[dict[str, Any]]:
    spent = _hours_by_operation(days, hours)
    rows = []
    for operation in operations:
        week = done.get(first_day, {}).get(operation.pk, Done())
        to_date = sum((each[operation.pk].quantity for each in done.values() if operation.pk in each), NONE)
        bid = budget.get(operation.pk)
        if not to_date and bid is None:
            continue
        took = spent.get(operation.pk, NONE)
        rows.append(
            {
                "code": operation.code,
                "name": operation.name,
                "unit": operation.unit,
                "entries": week.entries,
                "quantity": _quantity(week.quantity),
                "hours": _hours_text(took) if took else None,
                "units_per_hour": str(rounded(week.quantity / took, HOUR_PLACES)) if took else None,
                "pay": _money(week.pay),
                "budget": None if bid is None else _money(bid.earned(week.quantity)),
                "quantity_to_date": _quantity(to_date),
                "budget_quantity": None if bid is None else _quantity(bid.quantity),
            }
        )
    return rows


def _hours_by_operation(days: Sequence[Any], hours: Sequence[Any]) -> dict[int, Fraction]:
    """Piece hours of each person-day, shared among its operations in proportion to what they earned."""
    earned: defaultdict[tuple[int, date], dict[int, Fraction]] = defaultdict(dict)
    for person, day, operation, _, pay in days:
        earned[(person, day)][operation] = Fraction(pay)
    took: defaultdict[int, Fraction] = defaultdict(Fraction)
    for person, day, kind, minutes in hours:
        shares = earned.get((person, day), {})
        whole = sum(shares.values(), NONE)
        if kind != PIECE_TIME or not whole:
            continue
        for operation, pay in shares.items():
            took[operation] += Fraction(int(minutes), 60) * pay / whole
    return dict(took)


def _labour_rows(labour: dict[str, Fraction], hours: Sequence[Any]) -> list[dict[str, Any]]:
    order = ["piece", *TIME_KINDS[1:], *(code for code in CODES if code != "piece")]
    codes = sorted(labour, key=lambda code: (order.index(code) if code in order else len(order), code))
    return [
        {
            "code": code,
            "text": CODES.get(code, code.replace("-", " ")),
            "hours": _hours_text(_sum_hours(hours, lambda kind, code=code: kind == code))
            if code in TIME_KINDS
            else None,
            "amount": _money(labour[code]),
        }
        for code in codes
    ]


def _sum_hours(hours: Sequence[Any], wanted: Any) -> Fraction:
    return Fraction(int(sum(minutes for _, _, kind, minutes in hours if wanted(kind))), 60)


def _without_budget(
    done: dict[date, dict[int, Done]], budget: dict[int, Budget], operations: Sequence[Operation], first_day: date
) -> list[str]:
    if not budget:
        return ["This job has no budget, so nothing can be compared with it."]
    bare = [each.name for each in operations if each.pk in done.get(first_day, {}) and each.pk not in budget]
    return [f"No budget line, so spent without a budget: {', '.join(bare)}."] if bare else []


def _per(money: Fraction | None, area: Fraction | None) -> str | None:
    return str(rounded(money / area, QUANTITY)) if money is not None and area else None


def _money(amount: Fraction) -> str:
    return str(cents(amount))


def _quantity(quantity: Fraction) -> str:
    return f"{rounded(quantity, QUANTITY).normalize():f}"


def _hours_text(hours: Fraction) -> str:
    return str(rounded(hours, HOUR_PLACES))
