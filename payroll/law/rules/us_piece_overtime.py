"""Overtime on the piece rate by agreement: 29 CFR 778.418, with the general requirements of 778.417.

Pieces made in overtime hours are paid at one and a half times their rate, and the half of the regular rate falls away.
It holds only where this week itself shows all of these; otherwise the caller pays by 778.111, which is always lawful:

1. The piece rate is bona fide: the same operation was paid at the same rate in this week's straight hours, and the
   pieces of those hours yield at least the minimum wage.
2. The overtime hours are the hours past the weekly limit, in the order of the days. On the day that crosses the limit,
   pieces need `hours` and `first_hour`, so that it is known on which side they were made.
3. At least as many hours are paid so as were worked past the limit.
4. Pay for the overtime hours is at least one and a half times the minimum wage for each.
5. Pay of the straight hours alone averages at least the minimum wage (778.417(a)); bonuses are left out of the test.

Other time in overtime hours is paid at one and a half times its agreed rate (778.420); overtime on bonuses is paid as
half their hourly worth (778.417(b)).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from payroll.law import week as w
from payroll.law.earnings import NONE, hours_spent, pieces_by_key
from payroll.law.explain import clock, money, said
from payroll.law.money import cents
from payroll.law.rules.working import Working


@dataclass(frozen=True, slots=True)
class Agreed:
    """The overtime lines, or the reason why the agreement could not be used."""

    lines: tuple[w.Line, ...] = ()
    refused: str = ""


@dataclass(slots=True)
class Sides:
    """A week cut at the weekly limit: pieces and other time on either side, and overtime hours with their own pay."""

    straight: list[w.PieceWork] = field(default_factory=list)
    overtime: list[w.PieceWork] = field(default_factory=list)
    overtime_time: list[w.TimeWorked] = field(default_factory=list)
    hours_paid: Fraction = NONE
    piece_hours: Fraction = NONE


class _Refused(Exception):
    """A condition that does not hold; its text is the sentence."""


def piece_overtime(working: Working, over: Fraction) -> Agreed:
    """The overtime of a week by agreement on the piece rate, if every condition holds."""
    try:
        if working.week.prevailing:
            raise _Refused("the week has prevailing-rate work, whose overtime has a base of its own.")
        if working.added:
            raise _Refused(
                "a guarantee or the minimum wage had to be topped up, so the piece rate did not carry the week."
            )
        sides = _cut(working)
        _bona_fide(sides)
        lines = _lines(working, sides, over)
        _enough(working, sides, over)
    except _Refused as refused:
        return Agreed(refused=str(refused))
    return Agreed(lines=tuple(lines))


def _cut(working: Working) -> Sides:
    """Cut the week at the limit, in the order of the days."""
    sides, limit, before = Sides(), working.law["weekly_overtime_hours"].value, NONE
    pieces: dict[date, list[w.PieceWork]] = {}
    for piece in working.week.pieces:
        pieces.setdefault(piece.date, []).append(piece)
    for day in sorted(pieces.keys() | working.hours.by_day.keys()):
        worked = working.hours.by_day.get(day, NONE)
        mine = pieces.get(day, [])
        if not mine and not worked:
            continue
        if before + worked <= limit and before != limit:
            sides.straight.extend(mine)
        elif before >= limit:
            _whole_day(working, sides, day, mine)
        else:
            _crossing_day(sides, day, mine, limit - before, worked)
        before += worked
    return sides


def _whole_day(working: Working, sides: Sides, day: date, pieces: list[w.PieceWork]) -> None:
    """A day that lies past the limit altogether."""
    if not pieces:
        raise _Refused(f"{day} lies past the weekly limit but shows no pieces to be paid at one and a half.")
    sides.overtime.extend(pieces)
    for entry in working.week.hours:
        if entry.date != day or entry.kind == w.UNPAID_TIME:
            continue
        if entry.kind != w.PIECE_TIME and entry.rate is None and not working.week.terms.pieces_cover_all_hours:
            raise _Refused(
                f"{clock(entry.hours)} of {entry.kind} on {day} fall into overtime without an agreed rate of their own."
            )
        sides.hours_paid += entry.hours
        if entry.kind == w.PIECE_TIME:
            sides.piece_hours += entry.hours
        if entry.rate is not None:
            sides.overtime_time.append(entry)


def _crossing_day(sides: Sides, day: date, pieces: list[w.PieceWork], boundary: Fraction, worked: Fraction) -> None:
    """The day on which the limit is crossed, `boundary` hours into it."""
    for piece in pieces:
        if piece.hours is None or piece.first_hour is None:
            raise _Refused(
                f"{day} crosses the weekly limit {clock(boundary)} into the day, and it is not known when the pieces "
                f"of {piece.operation} were made; give their hours and first_hour, or in records the start and finish "
                "of each entry and of that day's hours."
            )
        if piece.first_hour + piece.hours <= boundary:
            sides.straight.append(piece)
        elif piece.first_hour >= boundary:
            sides.overtime.append(piece)
        else:
            raise _Refused(
                f"the pieces of {piece.operation} on {day} lie on both sides of the weekly limit, {clock(boundary)} "
                "into the day; enter what was finished before and after as two."
            )
    over_paid = hours_spent(sides.overtime)
    sides.hours_paid, sides.piece_hours = over_paid, over_paid
    if over_paid < worked - boundary:
        raise _Refused(
            f"on {day} only {clock(over_paid)} of {clock(worked - boundary)} past the weekly limit have pieces to be "
            "paid at one and a half."
        )


def _bona_fide(sides: Sides) -> None:
    """Condition 1, first half: an overtime piece must have the rate that its operation earned in straight hours."""
    usual: dict[tuple[str, str, str], set[Decimal]] = {}
    for piece in sides.straight:
        usual.setdefault((piece.job, piece.operation, piece.unit), set()).add(piece.rate)
    for piece in sides.overtime:
        rates = usual.get((piece.job, piece.operation, piece.unit))
        if rates is None:
            raise _Refused(
                f"{piece.operation} was made in overtime hours only, so this week does not show its usual rate."
            )
        if rates != {piece.rate}:
            raise _Refused(
                f"{piece.operation} was paid at {', '.join(str(one) for one in sorted(rates))} in straight hours but "
                f"counts {piece.rate} in overtime, which is no bona fide rate."
            )


def _lines(working: Working, sides: Sides, over: Fraction) -> list[w.Line]:
    """The half on top of what pieces, other time and bonuses have been paid already."""
    share = working.law["overtime_multiplier"].value - 1
    parameters = tuple(working.law.values())
    lines = []
    for (job, operation, unit, agreed), quantity in pieces_by_key(sides.overtime).items():
        half = Fraction(agreed) * share
        amount = cents(quantity * half)
        sum_ = f"{said(quantity)} {unit} x half of {agreed} = {said(quantity)} x {money(half)} = {amount}"
        reason = working.because("overtime-on-piece-rate", sum_, *parameters)
        lines.append(
            w.Line("overtime", f"overtime on {operation}", quantity, unit, half, amount, (reason,), job, operation)
        )
    for entry in sides.overtime_time:
        half = Fraction(entry.rate or 0) * share
        amount = cents(entry.hours * half)
        reason = working.because(
            "overtime-on-hourly-rate", f"{clock(entry.hours)} x {money(half)} = {amount}", *parameters
        )
        lines.append(
            w.Line("overtime", f"overtime on {entry.kind}", entry.hours, "h", half, amount, (reason,), entry.job)
        )
    bonuses = working.bonuses + working.flat
    if bonuses:
        half = bonuses / working.hours.total * share
        amount = cents(over * half)
        sum_ = (
            f"{money(bonuses)} / {clock(working.hours.total)}, half of it = {money(half)}; {clock(over)} x "
            f"{money(half)} = {amount}"
        )
        reason = working.because("overtime-on-bonus", sum_, *parameters)
        lines.append(w.Line("overtime", "overtime on bonuses", over, "h", half, amount, (reason,)))
    return lines


def _enough(working: Working, sides: Sides, over: Fraction) -> None:
    """Conditions 1 (second half), 4 and 5: the minimum wage on both sides of the limit. Condition 3 was met in cutting:
    every hour past the limit is paid so, or the week was refused."""
    times = working.law["overtime_multiplier"].value
    least = max(minimum.rate for minimum in working.minimums.values())
    straight_pieces = sum((piece.quantity * Fraction(piece.rate) for piece in sides.straight), NONE)
    overtime_pay = times * (
        working.pieces
        - straight_pieces
        + sum((entry.hours * Fraction(entry.rate or 0) for entry in sides.overtime_time), NONE)
    )
    if overtime_pay < times * least * over:
        raise _Refused(
            f"overtime pay of {money(overtime_pay)} is less than one and a half times the minimum wage for "
            f"{clock(over)}, {money(times * least * over)}."
        )
    producing = working.hours.producing - sides.piece_hours
    if straight_pieces < least * producing:
        raise _Refused(
            f"pieces of the straight hours yield {money(straight_pieces / producing)} an hour, less than the minimum "
            f"wage of {money(least)}, so the piece rate is not bona fide."
        )
    straight_hours = working.hours.total - over
    straight_pay = working.pieces + working.other - overtime_pay / times
    if straight_pay < least * straight_hours:
        raise _Refused(
            f"the straight hours alone average {money(straight_pay / straight_hours)} an hour, less than the minimum "
            f"wage of {money(least)}."
        )
