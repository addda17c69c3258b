"""First sums of a week, the same in every rule set: hours by day and kind, and pieces by job, operation and rate."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from payroll.law import week as w
from payroll.law.explain import said
from payroll.law.money import ZERO, cents

NONE = Fraction(0)
PieceKey = tuple[str, str, str, Decimal]  # job, operation, unit, rate
TimeKey = tuple[str, str, Decimal | None]  # kind, job, agreed rate


@dataclass(frozen=True, slots=True)
class Hours:
    """Hours worked (meals are not): in all, on pieces, on each day, and other time by kind, job and agreed rate."""

    total: Fraction
    producing: Fraction
    by_day: dict[date, Fraction]
    other: dict[TimeKey, Fraction]


def hours_of(week: w.WorkerWeek) -> Hours:
    """Add up a week's hours. Days come out in order."""
    by_day: defaultdict[date, Fraction] = defaultdict(Fraction)
    other: defaultdict[TimeKey, Fraction] = defaultdict(Fraction)
    producing = NONE
    for entry in week.hours:
        if entry.kind == w.UNPAID_TIME:
            continue
        by_day[entry.date] += entry.hours
        if entry.kind == w.PIECE_TIME:
            producing += entry.hours
        else:
            other[(entry.kind, entry.job, entry.rate)] += entry.hours
    return Hours(sum(by_day.values(), NONE), producing, dict(sorted(by_day.items())), dict(other))


def hours_spent(pieces: Iterable[w.PieceWork]) -> Fraction:
    """Hours of one day that went into pieces; those made at the same time, by their first hours, count once."""
    spent, reached = NONE, NONE
    for piece in sorted(pieces, key=lambda piece: piece.first_hour or NONE):
        if piece.hours is None or piece.first_hour is None:
            spent += piece.hours or NONE
            continue
        end = piece.first_hour + piece.hours
        spent += max(end - max(piece.first_hour, reached), NONE)
        reached = max(reached, end)
    return spent


def pieces_by_key(pieces: Iterable[w.PieceWork]) -> dict[PieceKey, Fraction]:
    """Quantities added up per job, operation, unit and rate, in order of first appearance."""
    found: dict[PieceKey, Fraction] = {}
    for piece in pieces:
        key = (piece.job, piece.operation, piece.unit, piece.rate)
        before = found.get(key)
        found[key] = piece.quantity if before is None else before + piece.quantity
    return found


def paid_by_job(pieces: Iterable[w.PieceWork]) -> dict[str, Decimal]:
    """What the piece lines of each job come to, each line rounded once as it is paid."""
    found: dict[str, Decimal] = {}
    for (job, _, _, agreed), quantity in pieces_by_key(pieces).items():
        found[job] = found.get(job, ZERO) + cents(quantity * Fraction(agreed))
    return found


def piece_lines(week: w.WorkerWeek, reason: Callable[[str], w.Because]) -> tuple[list[w.Line], Fraction]:
    """One line for each job, operation and rate, and their exact sum. `reason` takes the sum in figures."""
    lines, earned = [], NONE
    for (job, operation, unit, agreed), quantity in pieces_by_key(week.pieces).items():
        exact_rate = Fraction(agreed)
        exact = quantity * exact_rate
        earned += exact
        amount = cents(exact)
        working = f"{said(quantity)} {unit} x {agreed} = {amount}"
        lines.append(w.Line("piece", operation, quantity, unit, exact_rate, amount, (reason(working),), job, operation))
    return lines, earned


def whole_line(code: str, text: str, amount: Decimal, because: tuple[w.Because, ...]) -> w.Line:
    """A line for one sum for the week."""
    return w.Line(code, text, Fraction(1), "week", Fraction(amount), amount, because)


def paid(lines: Iterable[w.Line]) -> Decimal:
    """What lines come to, in cents."""
    return sum((line.amount for line in lines), ZERO)
