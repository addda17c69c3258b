"""What must hold of any week before any rule set looks at it. Everything wrong is found at once, in plain sentences.

Rules of a place (agreed rates below its minimum, deductions it bars) are checked by that place's rule set.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from payroll.law import week as w
from payroll.law.earnings import hours_spent
from payroll.law.explain import clock, ends, plain
from payroll.law.workweek import ZoneUnknown, day_length, last_day

# No clock makes a day shorter than 23 hours (a zone that moves its clock forward), so only longer days are looked at.
SHORTEST_DAY = 23


def mistakes_in(week: w.WorkerWeek) -> list[str]:
    """Every mistake in a week's own figures, empty when there is none."""
    return [
        *_dates(week),
        *_pieces(week),
        *_times(week),
        *_days(week),
        *_bonuses(week),
        *_terms(week),
        *_missed_breaks(week),
        *_week_before(week),
        *_fine_rates(week),
    ]


def piece_name(number: int, piece: w.PieceWork) -> str:
    """How a piece entry is named in a sentence."""
    return f"pieces {number} ({piece.operation}, {piece.date})"


def time_name(number: int, entry: w.TimeWorked) -> str:
    """How an hours entry is named in a sentence."""
    return f"hours {number} ({entry.kind}, {entry.date})"


def _dates(week: w.WorkerWeek) -> Iterator[str]:
    first, last = week.week_start, last_day(week.week_start)
    for number, piece in enumerate(week.pieces, 1):
        if not first <= piece.date <= last:
            yield _outside(piece_name(number, piece), first, last)
    for number, entry in enumerate(week.hours, 1):
        if not first <= entry.date <= last:
            yield _outside(time_name(number, entry), first, last)
    for number, bonus in enumerate(week.bonuses, 1):
        if not first <= bonus.date <= last:
            yield _outside(f"bonuses {number} ({bonus.kind}, {bonus.date})", first, last)


def _outside(name: str, first: date, last: date) -> str:
    return f"{name}: the date is outside the week {first} to {last}. Correct it, or put it into its own week."


def _pieces(week: w.WorkerWeek) -> Iterator[str]:
    for number, piece in enumerate(week.pieces, 1):
        if piece.quantity < 0:
            yield (
                f"{piece_name(number, piece)}: quantity {plain(piece.quantity)} {piece.unit} is negative, which "
                "would take back earned pay. Log rework as hours, or correct the entry itself."
            )
        if not piece.rate.is_finite() or piece.rate <= 0:
            yield (
                f"{piece_name(number, piece)}: rate {piece.rate} is not above zero. Give the agreed money for one "
                f"{piece.unit}."
            )
        if piece.hours is not None and piece.hours < 0:
            yield (
                f"{piece_name(number, piece)}: hours {plain(piece.hours)} are negative. Give the hours spent, or "
                "leave them out."
            )
        if piece.first_hour is not None and piece.first_hour < 0:
            yield (
                f"{piece_name(number, piece)}: first_hour {plain(piece.first_hour)} is negative. Give the hours "
                "already worked that day when these pieces were begun, 0 for the first."
            )
        if piece.first_hour is not None and piece.hours is None:
            yield (
                f"{piece_name(number, piece)}: has a first_hour but no hours. Give the hours spent on these pieces "
                "as well."
            )


def _times(week: w.WorkerWeek) -> Iterator[str]:
    for number, entry in enumerate(week.hours, 1):
        if entry.kind not in w.TIME_KINDS:
            yield f"{time_name(number, entry)}: kind {entry.kind!r} is unknown. Use one of {', '.join(w.TIME_KINDS)}."
        if entry.hours < 0:
            yield f"{time_name(number, entry)}: {plain(entry.hours)} hours are negative. Correct the entry itself."
        if entry.rate is None:
            continue
        if entry.kind == w.PIECE_TIME:
            yield (
                f"{time_name(number, entry)}: piece time has a rate of {entry.rate}, but is paid by its pieces. Take "
                "the rate away, or use terms.hourly_guarantee."
            )
        elif entry.kind == w.UNPAID_TIME:
            yield (
                f"{time_name(number, entry)}: a meal is unpaid but has a rate of {entry.rate}. Take it away, or call "
                "it rest."
            )
        elif not entry.rate.is_finite() or entry.rate <= 0:
            yield (
                f"{time_name(number, entry)}: rate {entry.rate} is not above zero. Give the agreed rate, or leave it "
                "out."
            )


def _days(week: w.WorkerWeek) -> Iterator[str]:
    """More hours than a day has, and pieces with more hours than that day's piece hours."""
    by_day: defaultdict[date, Fraction] = defaultdict(Fraction)
    worked: defaultdict[date, Fraction] = defaultdict(Fraction)
    producing: defaultdict[date, Fraction] = defaultdict(Fraction)
    for entry in week.hours:
        by_day[entry.date] += entry.hours
        if entry.kind != w.UNPAID_TIME:
            worked[entry.date] += entry.hours
        if entry.kind == w.PIECE_TIME:
            producing[entry.date] += entry.hours
    if week.time_zone:
        try:
            day_length(week.week_start, week.time_zone)
        except ZoneUnknown:
            yield f"time_zone: {week.time_zone!r} is not a known time zone. Use an IANA name such as America/Chicago."
            return
    for day, hours in sorted(by_day.items()):
        if hours > SHORTEST_DAY and hours > (length := day_length(day, week.time_zone)):
            known = (
                f"in {week.time_zone}"
                if week.time_zone
                else "(25 are allowed where time_zone is given and has such a day)"
            )
            yield (
                f"hours on {day}: {clock(hours)} are more than that day's {clock(length)} {known}. Correct the hours "
                "of that day."
            )
    spent: defaultdict[date, list[w.PieceWork]] = defaultdict(list)
    for number, piece in enumerate(week.pieces, 1):
        if piece.hours is None:
            continue
        spent[piece.date].append(piece)
        if piece.first_hour is not None and piece.first_hour + piece.hours > worked[piece.date]:
            yield (
                f"{piece_name(number, piece)}: first_hour {plain(piece.first_hour)} and {clock(piece.hours)} reach "
                f"past the {clock(worked[piece.date])} worked that day. Correct one of them."
            )
    for day, made in sorted(spent.items()):
        if (hours := hours_spent(made)) > producing[day]:
            yield (
                f"pieces on {day}: {clock(hours)} are given to pieces, but only {plain(producing[day])} piece hours "
                "are recorded. Correct one of them."
            )


def _bonuses(week: w.WorkerWeek) -> Iterator[str]:
    for number, bonus in enumerate(week.bonuses, 1):
        name = f"bonuses {number} ({bonus.kind}, {bonus.date})"
        if bonus.kind not in w.BONUS_KINDS:
            yield f"{name}: kind {bonus.kind!r} is unknown. Use one of {', '.join(w.BONUS_KINDS)}."
        if not bonus.amount.is_finite() or bonus.amount <= 0:
            yield f"{name}: amount {bonus.amount} is not above zero; a bonus cannot take pay away. Correct it."
        elif (Fraction(bonus.amount) * 100).denominator != 1:
            yield f"{name}: amount {bonus.amount} is finer than a cent. Give it with two decimals."
        if not bonus.why.strip():
            yield f"{name}: has no reason. Say in `why` what it is paid for."


def _missed_breaks(week: w.WorkerWeek) -> Iterator[str]:
    first, last = week.week_start, last_day(week.week_start)
    worked = {entry.date for entry in week.hours if entry.hours > 0 and entry.kind != w.UNPAID_TIME}
    seen: set[tuple[date, str]] = set()
    for number, missed in enumerate(week.missed_breaks, 1):
        name = f"missed_breaks {number} ({missed.kind}, {missed.date})"
        if not first <= missed.date <= last:
            yield _outside(name, first, last)
        elif missed.date not in worked:
            yield f"{name}: no hours were worked that day. Correct the date, or enter the hours."
        if missed.kind not in w.BREAK_KINDS:
            yield f"{name}: kind {missed.kind!r} is unknown. Use one of {', '.join(w.BREAK_KINDS)}."
        if (missed.date, missed.kind) in seen:
            yield f"{name}: that day's {missed.kind} stands there already; a day has one of each kind. Keep one."
        seen.add((missed.date, missed.kind))


def _terms(week: w.WorkerWeek) -> Iterator[str]:
    terms = week.terms
    if terms.guarantee_hours not in w.GUARANTEE_HOURS:
        yield f"terms: guarantee_hours {terms.guarantee_hours!r} is unknown. Use one of {', '.join(w.GUARANTEE_HOURS)}."
    guarantee = terms.hourly_guarantee
    if guarantee is not None and (not guarantee.is_finite() or guarantee <= 0):
        yield f"terms: hourly_guarantee {guarantee} is not above zero. Give money an hour, or leave it out."
    for number, part in enumerate(terms.part_guarantees, 1):
        name = f"terms: part_guarantees {number}"
        if part.hours not in w.GUARANTEE_HOURS:
            yield f"{name}: hours {part.hours!r} is unknown. Use one of {', '.join(w.GUARANTEE_HOURS)}."
        if not part.rate.is_finite() or part.rate <= 0:
            yield f"{name}: rate {part.rate} is not above zero. Give money an hour, or leave it out."
        if guarantee is not None:
            yield f"{name}: hourly_guarantee holds for the whole week already. Keep one of them."
        if not part.days or any(not week.week_start <= day <= last_day(week.week_start) for day in part.days):
            yield f"{name}: it holds on no day, or on one outside the week. Correct its days."
    if len(held := [day for part in terms.part_guarantees for day in part.days]) != len(set(held)):
        yield "terms: two part_guarantees hold on the same day. Keep one for each day."
    overrides = (*((week.minimum_wage,) if week.minimum_wage is not None else ()), *week.local_minimums)
    for override in overrides:
        if override.day is not None and not week.week_start <= override.day <= last_day(week.week_start):
            yield _outside("minimum_wage", week.week_start, last_day(week.week_start))
        if not override.rate.is_finite() or override.rate <= 0:
            yield (
                f"minimum_wage: rate {override.rate} is not above zero. Give money an hour, or leave the override out."
            )
        if not override.why.strip():
            yield "minimum_wage: has no reason. Say in `why` which ordinance asks for it and from when."


def _week_before(week: w.WorkerWeek) -> Iterator[str]:
    before = week.week_before
    if before is None:
        return
    if before.hours <= 0 or min(before.overtime, before.double) < 0:
        yield "week_before: it has no hours, or less than none. Copy them from its statement, or leave the week out."
    elif before.overtime + before.double > before.hours:
        yield (
            f"week_before: {clock(before.overtime + before.double)} of overtime and double are more than its "
            f"{clock(before.hours)}. Copy them from its statement."
        )
    if before.wages < 0 or before.premiums < 0:
        yield "week_before: wages or premiums are negative. Copy them from its statement."
    elif (Fraction(before.premiums) * 100).denominator != 1:
        yield f"week_before: premiums {before.premiums} are finer than a cent. Give them with two decimals."


def _fine_rates(week: w.WorkerWeek) -> Iterator[str]:
    """Rates that no statement could show whole, as it shows six decimals."""
    found: list[tuple[str, Decimal | None]] = [
        (f"{piece_name(number, one)}: rate", one.rate) for number, one in enumerate(week.pieces, 1) if _fine(one.rate)
    ]
    found += [
        (f"{time_name(number, one)}: rate", one.rate) for number, one in enumerate(week.hours, 1) if _fine(one.rate)
    ]
    found.append(("terms: hourly_guarantee", week.terms.hourly_guarantee))
    found += [
        (f"terms: part_guarantees {number}: rate", one.rate) for number, one in enumerate(week.terms.part_guarantees, 1)
    ]
    found += [("minimum_wage: rate", one.rate) for one in (week.minimum_wage,) if one is not None]
    found += [(f"local_minimums {number}: rate", one.rate) for number, one in enumerate(week.local_minimums, 1)]
    for job in week.prevailing:
        name = f"prevailing ({job.job or 'no job'})"
        found += [(f"{name}: basic", job.basic), (f"{name}: fringe", job.fringe)]
        found.append((f"{name}: fringe_to_plan", job.fringe_to_plan))
    for name, rate in found:
        if _fine(rate):
            yield f"{name} {rate} has more than six decimals. Give at most six."


def _fine(rate: Decimal | None) -> bool:
    return rate is not None and rate.is_finite() and not _ends(rate)


@lru_cache(maxsize=4096)
def _ends(rate: Decimal) -> bool:
    return ends(Fraction(rate))
