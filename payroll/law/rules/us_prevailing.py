"""Prevailing-rate work on top of a US rule set: Davis-Bacon Act, 29 CFR part 5.

For each job the week's covered hours are owed the basic hourly rate and the fringe rate of the worker's class. Pay of
the job (its pieces, and other time with that job's name) is held against both:

- up to the basic rate, what is missing joins the regular rate;
- then fringe: a plan's contribution and pay above the basic rate count; the rest is cash in lieu and stays out of the
  regular rate (5.32(c)).

Overtime hours on the job are never paid on less than the basic rate (5.32(a)): where the regular rate is lower, half of
the difference is added. Contributions above the fringe rate are not credited towards the basic rate; bonuses and
guarantees are credited towards neither.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from payroll.law import explain
from payroll.law import week as w
from payroll.law.earnings import NONE, hours_of, paid, paid_by_job, whole_line
from payroll.law.explain import clock, money
from payroll.law.money import ZERO, cents, top_up
from payroll.law.rules.working import Working

FEDERAL = "us-federal"


def check_prevailing(week: w.WorkerWeek, past_limits: Fraction | None) -> list[str]:
    """Prevailing work that does not fit its week, one sentence each. `past_limits` are the week's overtime and double
    hours under its rule set, None if they are not known."""
    if not week.prevailing:
        return []
    return [
        *(sentence for part in week.prevailing for sentence in _part_mistakes(week, part)),
        *_whole_mistakes(week, past_limits),
    ]


def _part_mistakes(week: w.WorkerWeek, part: w.PrevailingWork) -> Iterator[str]:
    name = f"prevailing ({part.job or 'no job'})"
    if not part.job.strip():
        yield f"{name}: has no job. Name the job as its pieces and hours do."
    if not part.worker_class.strip():
        yield f"{name}: has no class. Give the worker's class on that job, as its wage determination names it."
    if not part.basic.is_finite() or part.basic <= 0:
        yield f"{name}: basic {part.basic} is not above zero. Give the basic hourly rate of the class."
    for key, value in (("fringe", part.fringe), ("fringe_to_plan", part.fringe_to_plan), ("pieces", part.pieces)):
        if not value.is_finite() or value < 0:
            yield f"{name}: {key} {value} is below zero. Give 0 or more."
    if part.hours <= 0:
        yield f"{name}: {clock(part.hours)} are covered. Give the hours on that job, or leave the job out."
    if not 0 <= part.overtime_hours <= part.hours:
        yield (
            f"{name}: overtime_hours {clock(part.overtime_hours)} do not lie within the job's {clock(part.hours)}. "
            "Correct one of them."
        )
    if sum(other.job == part.job for other in week.prevailing) > 1:
        yield f"{name}: the job is given twice. Give each job once, or price each class's hours as a job of its own."


def _whole_mistakes(week: w.WorkerWeek, past_limits: Fraction | None) -> Iterator[str]:
    hours = hours_of(week).total
    covered = sum((part.hours for part in week.prevailing), NONE)
    if covered > hours:
        yield f"prevailing: {clock(covered)} are covered, but only {clock(hours)} were worked. Correct one of them."
        return
    pieces = sum((part.pieces for part in week.prevailing if part.pieces.is_finite()), ZERO)
    whole = [piece for piece in week.pieces if piece.rate.is_finite()]
    exact = cents(sum((piece.quantity * Fraction(piece.rate) for piece in whole), NONE))
    # Lines are rounded one by one, so together they may stand a cent or two above the sum rounded once.
    earned = max(exact, sum(paid_by_job(whole).values(), ZERO))
    if pieces > earned:
        yield (
            f"prevailing: pieces of {pieces} are more than the week's {exact}; they are a part of it, not on "
            "top. Correct one of them."
        )
    if past_limits is None:
        return
    given = sum((part.overtime_hours for part in week.prevailing), NONE)
    least = max(past_limits - (hours - covered), NONE)
    if not least <= given <= past_limits:
        yield (
            f"prevailing: overtime_hours come to {clock(given)}, but the week has {clock(past_limits)} of overtime "
            f"and at least {clock(least)} of it on these jobs. Give each job's overtime hours."
        )


def pay_prevailing(working: Working) -> None:
    """Top the covered hours up to basic and fringe, job by job."""
    for part in working.week.prevailing:
        _to_basic(working, part)
        _fringe(working, part)


def _paid_on(working: Working, part: w.PrevailingWork) -> tuple[Decimal, str]:
    other = paid(line for line in working.lines if line.code in w.OTHER_TIME and line.job == part.job)
    return part.pieces + other, f"{part.pieces} of pieces" + (f" and {other} of other time" if other else "")


def _to_basic(working: Working, part: w.PrevailingWork) -> None:
    so_far, of_what = _paid_on(working, part)
    required = Fraction(part.basic) * part.hours
    missing = top_up(required, Fraction(so_far), so_far)
    working.added += missing.exact
    sum_ = (
        f"{part.worker_class}: {clock(part.hours)} x {money(part.basic)} = {cents(required)}; paid {of_what}; "
        f"missing {missing.amount}"
    )
    reason = explain.because(working.book, FEDERAL, "prevailing-basic", sum_)
    text = f"basic rate of {part.worker_class} on {part.job}"
    working.floors.append(w.Floor("prevailing", text, cents(required), so_far, missing.amount, (reason,)))
    if missing.amount:
        line = whole_line("prevailing", f"to the {text}", missing.amount, (reason,))
        working.lines.append(replace(line, job=part.job))


def _fringe(working: Working, part: w.PrevailingWork) -> None:
    owed = Fraction(part.fringe) * part.hours
    to_plan = Fraction(part.fringe_to_plan) * part.hours
    above = max(Fraction(_paid_on(working, part)[0]) - Fraction(part.basic) * part.hours, NONE)
    in_lieu = cents(max(owed - to_plan - above, NONE))
    counted = cents(to_plan + above)
    sum_ = (
        f"{clock(part.hours)} x {money(part.fringe)} = {cents(owed)}; to a plan {cents(to_plan)}; pay above the "
        f"basic rate {cents(above)}; in cash {in_lieu}"
    )
    reason = explain.because(working.book, FEDERAL, "prevailing-fringe", sum_)
    text = f"fringe benefits of {part.worker_class} on {part.job}"
    working.floors.append(w.Floor("fringe", text, cents(owed), counted, in_lieu, (reason,)))
    if in_lieu:
        working.uncounted += in_lieu
        line = whole_line("fringe", f"cash in lieu of {text}", in_lieu, (reason,))
        working.lines.append(replace(line, job=part.job))


def premium_to_basic(working: Working, regular: Fraction) -> None:
    """Half of what the regular rate lacks to the basic rate, for the overtime hours of each job."""
    share = working.law["overtime_multiplier"].value - 1
    for part in working.week.prevailing:
        lacking = (Fraction(part.basic) - regular) * share
        if lacking <= 0 or not part.overtime_hours:
            continue
        amount = cents(lacking * part.overtime_hours)
        sum_ = (
            f"half of ({money(part.basic)} - {money(regular)}) = {money(lacking)}; {clock(part.overtime_hours)} x "
            f"{money(lacking)} = {amount}"
        )
        reason = explain.because(
            working.book, FEDERAL, "prevailing-overtime", sum_, (working.law["overtime_multiplier"],)
        )
        text = f"overtime to the basic rate on {part.job}"
        line = w.Line("overtime", text, part.overtime_hours, "h", lacking, amount, (reason,), part.job)
        working.lines.append(line)
