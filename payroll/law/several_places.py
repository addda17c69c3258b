"""One worker's workweek under several rule sets: priced by a stated rule, or refused with what to do.

The rule. Each place's law prices the work done in it, as a part of its own. What no part can see is what hangs on all
hours together, and there:

- In the United States federal law counts all hours for one employer, wherever worked: each workweek is one (29 CFR
  778.103, 778.104). Half the regular rate over all parts is owed for hours past 40; premiums of the parts are credited
  against it, as they were paid for hours past a day's or a week's limit (29 USC 207(h), 29 CFR 778.421), and what is
  missing is one more line.
- In Canada it is for each province's law whether hours worked elsewhere count (Ontario: Employment Standards Act, 2000,
  s. 3(1), work that continues work in Ontario). Where all hours together stay within every limit nothing hangs on it
  and the parts are priced; past a limit the week is refused.
- A day worked in two places is refused where it passes a daily limit of one, and so is a seventh day worked in
  California after days elsewhere, and prevailing work in a week with federal overtime; also two currencies.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from payroll.law import explain, readings, rules
from payroll.law import week as w
from payroll.law.check import mistakes_in, piece_name, time_name
from payroll.law.earnings import NONE, hours_of, paid
from payroll.law.explain import clock, money
from payroll.law.money import cents
from payroll.law.parameter_book import ParameterBook, the_book
from payroll.law.pricing import mistakes_of
from payroll.law.workweek import days_of

FEDERAL, CALIFORNIA = "us-federal", "us-california"
_PREMIUMS = ("overtime", "double")
_ASK = "Which law governs work in several places is not settled here: ask the local authorities."
_NOT_STRAIGHT = (*_PREMIUMS, "missed-break", "fringe")


@dataclass(frozen=True, slots=True)
class PricedPlaces:
    """The parts in the order given, lines that belong to all of them together, and their sum."""

    parts: tuple[w.PricedWeek, ...]
    together: tuple[w.Line, ...]
    hours: Fraction
    gross: Decimal
    cautions: tuple[str, ...]


def parts_of(week: w.WorkerWeek, rules_by_job: Mapping[str, str]) -> tuple[w.WorkerWeek, ...]:
    """Cut a week by the rule set of each job; one part for a week of one rule set, whatever `week.rules` says.

    Raises WeekMistakes for a job without a rule set, and for what belongs to no job where there are several parts: a
    bonus, a local minimum wage, a missed break of a day worked in two places.
    """
    mistakes = [
        f"{name}: job {job!r} has no rule set. Give the job's rule set."
        for name, job in (
            *((piece_name(number, one), one.job) for number, one in enumerate(week.pieces, 1)),
            *((time_name(number, one), one.job) for number, one in enumerate(week.hours, 1)),
        )
        if job not in rules_by_job
    ]
    if mistakes:
        raise w.WeekMistakes(mistakes)
    jobs = {piece.job for piece in week.pieces} | {entry.job for entry in week.hours}
    names = sorted({rules_by_job[job] for job in jobs}) or [week.rules]
    if len(names) == 1:
        return (replace(week, rules=names[0]),)
    mistakes = [
        f"bonuses {number} ({bonus.kind}, {bonus.date}): the week is under {' and '.join(names)}, and a bonus belongs "
        "to one of them. Price the parts as weeks of their own, each with its share."
        for number, bonus in enumerate(week.bonuses, 1)
    ]
    if week.minimum_wage is not None:
        mistakes.append(
            f"minimum_wage: the week is under {' and '.join(names)}, and a local minimum belongs to one of them. Price "
            "the parts as weeks of their own."
        )
    parts = tuple(_part(week, name, rules_by_job) for name in names)
    where = [{entry.date for entry in part.hours} for part in parts]
    mistakes += [
        f"missed_breaks {number} ({missed.kind}, {missed.date}): that day was worked in more than one place. Price the "
        "parts as weeks of their own, the missed break in its own."
        for number, missed in enumerate(week.missed_breaks, 1)
        if sum(missed.date in days for days in where) > 1
    ]
    mistakes += [
        f"missed_breaks {number} ({missed.kind}, {missed.date}): no hours were worked that day. Correct the date, or "
        "enter the hours."
        for number, missed in enumerate(week.missed_breaks, 1)
        if not any(missed.date in days for days in where)
    ]
    if mistakes:
        raise w.WeekMistakes(mistakes)
    return parts


def _part(week: w.WorkerWeek, name: str, rules_by_job: Mapping[str, str]) -> w.WorkerWeek:
    hours = tuple(entry for entry in week.hours if rules_by_job[entry.job] == name)
    days = {entry.date for entry in hours}
    return replace(
        week,
        rules=name,
        pieces=tuple(piece for piece in week.pieces if rules_by_job[piece.job] == name),
        hours=hours,
        prevailing=tuple(part for part in week.prevailing if rules_by_job.get(part.job) == name),
        readings=tuple(one for one in week.readings if any(one == known.name for known in readings.offered(name))),
        missed_breaks=tuple(missed for missed in week.missed_breaks if missed.date in days),
    )


def price_places(parts: Sequence[w.WorkerWeek], book: ParameterBook | None = None) -> PricedPlaces:
    """Price the parts of one worker's workweek, each under its rule set, and what hangs on all hours together.

    Raises WeekMistakes with every sentence that stands against a part or against the parts together.
    """
    book = book or the_book()
    mistakes = _mistakes(parts, book)
    if mistakes:
        raise w.WeekMistakes(mistakes)
    priced = tuple(rules.find(part.rules).price(part, book) for part in parts)
    together = tuple(_federal_overtime(parts, priced, book)) if len(parts) > 1 else ()
    gross = sum((part.gross for part in priced), paid(together))
    cautions = tuple(dict.fromkeys(caution for part in priced for caution in part.cautions))
    if len(parts) > 1:
        names = " and ".join(part.rules for part in parts)
        cautions += (f"This week is under {names}: each place's law priced the work done in it. {_ASK}",)
    return PricedPlaces(priced, together, sum((part.hours.total for part in priced), NONE), gross, cautions)


def _mistakes(parts: Sequence[w.WorkerWeek], book: ParameterBook) -> list[str]:
    found = [f"{part.rules}: {sentence}" for part in parts for sentence in mistakes_of(part, book)]
    if found or len(parts) < 2:
        return found or ([] if parts else ["parts: there are none. Give at least one week."])
    first = parts[0]
    if len({part.rules for part in parts}) < len(parts):
        found.append("parts: two are under the same rule set. Put them into one week.")
    if any((part.week_start, part.worker_name) != (first.week_start, first.worker_name) for part in parts):
        found.append("parts: they are not of one worker and one workweek. Price each week by itself.")
    currencies = {part.rules: rules.find(part.rules).currency for part in parts}
    if len(set(currencies.values())) > 1:
        said = ", ".join(f"{name} in {currency}" for name, currency in currencies.items())
        found.append(
            f"parts: they pay in different money ({said}). Price each as a week of its own, on a statement of its own, "
            "and ask whether one place's law counts the other's hours."
        )
    if found:
        return found
    whole = replace(first, pieces=(), hours=tuple(entry for part in parts for entry in part.hours), missed_breaks=())
    return mistakes_in(replace(whole, bonuses=())) or _past_limits(parts, whole, book)


def _past_limits(parts: Sequence[w.WorkerWeek], whole: w.WorkerWeek, book: ParameterBook) -> list[str]:
    """Where hours of one place could count in another, and how is not settled."""
    found = []
    hours = hours_of(whole)
    by_part = {part.rules: hours_of(part).by_day for part in parts}
    canadian = [part.rules for part in parts if rules.find(part.rules).currency == "CAD"]
    for name in (part.rules for part in parts):
        limits = rules.find(name).place.limits
        weekly = book.at(name, "weekly_overtime_hours", whole.week_start)
        if name in canadian and hours.total > weekly.value:
            found.append(
                f"{name}: the week has {clock(hours.total)} in all places, past its {weekly.text} h, and whether hours "
                "worked elsewhere count is for that law (Ontario: Employment Standards Act, 2000, s. 3(1)). Ask which "
                "law governs, and price the week under that rule set alone."
            )
        if "daily_overtime_hours" in limits:
            daily = book.at(name, "daily_overtime_hours", whole.week_start)
            found += [
                f"{name}: {day} was worked in more than one place, {clock(total)} in all, past its {daily.text} h a "
                "day. Ask which law governs that day, and enter it under that rule set alone."
                for day, total in hours.by_day.items()
                if total > daily.value and 0 < by_part[name].get(day, NONE) < total
            ]
    return found + _seventh_day(by_part, hours.by_day, whole) + _prevailing(parts, hours.total, whole, book)


def _seventh_day(
    by_part: dict[str, dict[date, Fraction]], all_days: dict[date, Fraction], whole: w.WorkerWeek
) -> list[str]:
    days = days_of(whole.week_start)
    there = by_part.get(CALIFORNIA, {})
    if not there.get(days[-1]) or not all(all_days.get(day) for day in days) or all(there.get(day) for day in days):
        return []
    return [
        f"{CALIFORNIA}: all seven days were worked, the last in California, and whether days elsewhere count towards "
        "the seventh is not settled here (Labor Code 510(a)). Ask the labor commissioner, and price the week by hand."
    ]


def _prevailing(parts: Sequence[w.WorkerWeek], total: Fraction, whole: w.WorkerWeek, book: ParameterBook) -> list[str]:
    if rules.find(parts[0].rules).currency != "USD" or not any(part.prevailing for part in parts):
        return []
    if total <= book.at(FEDERAL, "weekly_overtime_hours", whole.week_start).value:
        return []
    return [
        "prevailing: the week is under several rule sets and past the federal limit, and which of its overtime fell on "
        "the prevailing job is not known. Price the week by hand."
    ]


def _federal_overtime(
    parts: Sequence[w.WorkerWeek], priced: Sequence[w.PricedWeek], book: ParameterBook
) -> list[w.Line]:
    """Half the regular rate over all parts for hours past the federal limit, less the premiums of the parts."""
    if priced[0].currency != "USD":
        return []
    limit = book.at(FEDERAL, "weekly_overtime_hours", parts[0].week_start)
    multiplier = book.at(FEDERAL, "overtime_multiplier", parts[0].week_start)
    total = sum((part.hours.total for part in priced), NONE)
    over = total - limit.value
    if over <= 0:
        return []
    lines = [line for part in priced for line in part.lines]
    straight = sum((line.quantity * line.rate for line in lines if _is_straight(line)), NONE)
    regular = straight / total
    owed = over * regular * (multiplier.value - 1)
    credited = paid(line for line in lines if line.code in _PREMIUMS)
    amount = cents(owed) - credited
    if amount <= 0:
        return []
    sum_ = (
        f"{money(straight)} / {clock(total)} = {money(regular)} an hour; {clock(over)} past {limit.text} h x half of "
        f"it = {cents(owed)}; premiums already paid {credited}; missing {amount}"
    )
    codes = ("several-places", "overtime", "premium-credited")
    reasons = tuple(
        explain.because(book, FEDERAL, code, sum_ if code == "several-places" else "", (limit, multiplier))
        for code in codes
    )
    return [
        w.Line("overtime", "federal overtime over all places", Fraction(1), "week", Fraction(amount), amount, reasons)
    ]


def _is_straight(line: w.Line) -> bool:
    return line.code not in _NOT_STRAIGHT and line.because[0].code != "bonus-discretionary"
