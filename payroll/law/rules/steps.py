"""Steps that every rule set takes in the same way; what they cite is each place's own rule of the same code."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from payroll.law import week as w
from payroll.law.check import time_name
from payroll.law.deductions import why_refused
from payroll.law.earnings import NONE, hours_of, paid, piece_lines, whole_line
from payroll.law.explain import added, clock, money, rate
from payroll.law.money import cents, top_up
from payroll.law.parameter_book import ParameterBook, ParameterMissing, ParameterValue
from payroll.law.rules.breaks import break_cautions, week_breaks
from payroll.law.rules.working import Minimum, Working, minimums_of
from payroll.law.workweek import days_of


@dataclass(frozen=True, slots=True)
class Place:
    """A rule set's name, the version of its arithmetic, its money, and the parameters it reads on the first day:
    limits of hours, and those about breaks. `premium_hour`: an hour is paid for a break that was not provided.
    `by_pay_period`: the rate of overtime is reckoned over the pay period."""

    name: str
    version: str
    currency: str
    limits: tuple[str, ...]
    breaks: tuple[str, ...] = ()
    premium_hour: bool = False
    by_pay_period: bool = False


def check_place(week: w.WorkerWeek, book: ParameterBook, place: Place) -> list[str]:
    """What any rule set holds against a week: deductions, rates below the minimum, days without a parameter."""
    mistakes = [_deduction_refused(deduction, book, place) for deduction in week.deductions]
    if week.week_before is not None and not place.by_pay_period:
        mistakes.append(f"week_before: {place.name} reckons overtime over one workweek. Leave the week before out.")
    try:
        for name in (*place.limits, *place.breaks):
            book.at(place.name, name, week.week_start)
        mistakes.extend(_below_minimum(week, book, place))
    except ParameterMissing as missing:
        mistakes.append(f"week of {week.week_start}: {missing}")
    return mistakes


def check_no_prevailing(week: w.WorkerWeek, place: Place) -> list[str]:
    """Prevailing rates belong to US rule sets only."""
    return [
        f"prevailing ({part.job}): prevailing rates add to a US rule set only, and this week is under {place.name}. "
        "Leave the job out, or correct the rule set."
        for part in week.prevailing
    ]


def check_no_premium_hour(week: w.WorkerWeek, book: ParameterBook, place: Place) -> list[str]:
    """Missed breaks where no hour is paid for them: what to enter instead, with the rule."""
    rule = book.rule(place.name, "missed-break")
    return [
        f"missed_breaks {number} ({missed.kind}, {missed.date}): {place.name} pays no premium hour. {rule.text} "
        f"({rule.cite}.) Enter time worked in the break as hours, and leave this out."
        for number, missed in enumerate(week.missed_breaks, 1)
    ]


def check_province(week: w.WorkerWeek, book: ParameterBook, place: Place) -> list[str]:
    """What the rules of a Canadian province hold against a week, one sentence each."""
    return [
        *check_place(week, book, place),
        *check_no_prevailing(week, place),
        *check_no_premium_hour(week, book, place),
    ]


def begin(week: w.WorkerWeek, book: ParameterBook, place: Place) -> Working:
    """Look up what the week needs. The week has been checked."""
    hours = hours_of(week)
    minimums = minimums_of(week, tuple(hours.by_day), book, place.name)
    law = {name: book.at(place.name, name, week.week_start) for name in place.limits}
    breaks = {name: book.at(place.name, name, week.week_start) for name in place.breaks}
    return Working(week, book, place.name, hours, minimums, law, breaks)


def finish(
    working: Working,
    place: Place,
    hours: w.WeekHours,
    regular_rate: Fraction | None,
    regular_because: tuple[w.Because, ...],
) -> w.PricedWeek:
    """Put the priced week together."""
    reasons = [reason for line in working.lines for reason in line.because]
    reasons += [reason for floor in working.floors for reason in floor.because]
    used = dict.fromkeys([*(value for reason in reasons for value in reason.parameters), *working.law.values()])
    _add_cautions(working)
    if working.break_law:
        for caution, values in break_cautions(week_breaks(working.week, working.hours, working.break_law)):
            rule = working.because("missed-break")
            working.cautions.append(f"{caution} ({rule.cite}.)")
            used |= dict.fromkeys(values)
    return w.PricedWeek(
        lines=tuple(working.lines),
        hours=hours,
        regular_rate=regular_rate,
        floors=tuple(working.floors),
        gross=paid(working.lines),
        rules_version=place.version,
        cautions=tuple(working.cautions),
        parameters=tuple(used),
        currency=place.currency,
        regular_rate_because=regular_because,
    )


def _deduction_refused(deduction: w.Deduction, book: ParameterBook, place: Place) -> str:
    return (
        f"deductions ({deduction.date}, {deduction.amount}): refused. {why_refused(book, place.name)} Log the rework "
        "as hours, and settle any lawful deduction in the firm's payroll."
    )


def _below_minimum(week: w.WorkerWeek, book: ParameterBook, place: Place) -> list[str]:
    """Agreed rates under the minimum of their day, and a local minimum under the rule set's own."""
    found: list[str] = []
    override = week.minimum_wage
    if any(not one.rate.is_finite() for one in (*week.local_minimums, *((override,) if override else ()))):
        return found
    minimums = minimums_of(week, days_of(week.week_start), book, place.name)
    for number, entry in enumerate(week.hours, 1):
        minimum = minimums.get(entry.date)
        if entry.rate is None or minimum is None or not entry.rate.is_finite() or not 0 < entry.rate < minimum.rate:
            continue
        found.append(
            f"{time_name(number, entry)}: the agreed rate {entry.rate} is below the minimum wage of "
            f"{rate(minimum.rate)} an hour ({minimum.ground}). Agree on at least that."
        )
    highest = max(minimums.values(), key=lambda minimum: minimum.rate)
    agreed = [week.terms.hourly_guarantee, *(part.rate for part in week.terms.part_guarantees)]
    for guarantee in agreed:
        if guarantee is not None and guarantee.is_finite() and 0 < guarantee < highest.rate:
            found.append(
                f"terms: hourly_guarantee {guarantee} is below the minimum wage of {rate(highest.rate)} an hour "
                f"({highest.ground}). Guarantee at least that."
            )
    own = max((minimum.value for minimum in minimums.values()), key=lambda value: value.value)
    if override is not None and 0 < override.rate < own.value:
        found.append(
            f"minimum_wage: the rate {override.rate} is below the {rate(own.value)} an hour of {place.name} "
            f"({own.cite}). A local minimum can only be higher; leave it out."
        )
    return found


def pay_pieces(working: Working) -> None:
    """One line for each job, operation and rate."""
    lines, working.pieces = piece_lines(working.week, lambda sum_: working.because("piece-earnings", sum_))
    working.lines.extend(lines)


def pay_time(
    working: Working, kind: str, job: str, hours: Fraction, exact_rate: Fraction, reason: Callable[[str], w.Because]
) -> None:
    """One line for time paid by the hour; `reason` takes the sum in figures."""
    exact = hours * exact_rate
    amount = cents(exact)
    reasons = [reason(f"{clock(hours)} x {money(exact_rate)} = {amount}")]
    if kind in ("rest", "rework"):
        reasons.append(working.because(f"{kind}-is-work"))
    working.other += exact
    working.lines.append(w.Line(kind, f"{kind} time", hours, "h", exact_rate, amount, tuple(reasons), job))


def pay_time_at_minimum(working: Working, kinds: Iterable[str]) -> None:
    """Other time at its agreed rate; without one nothing if pieces cover it by agreement, else its day's minimum."""
    sums: dict[tuple[str, str, Fraction, Minimum | None], Fraction] = {}
    wanted, covered = tuple(kinds), working.week.terms.pieces_cover_all_hours
    working.unagreed = {day: NONE if covered else minimum.rate for day, minimum in working.minimums.items()}
    for entry in working.week.hours:
        if entry.kind in wanted:
            minimum = working.minimums[entry.date] if entry.rate is None and not covered else None
            each = minimum.rate if minimum is not None else Fraction(entry.rate or 0)
            key = (entry.kind, entry.job, each, minimum)
            sums[key] = sums.get(key, NONE) + entry.hours
    for (kind, job, each, minimum), hours in sums.items():
        code = "other-time-minimum" if minimum is not None else "other-time-agreed" if each else "other-time-covered"
        parameters = () if minimum is None else (minimum.value,)
        pay_time(working, kind, job, hours, each, _reason(working, code, parameters))


def _reason(working: Working, code: str, parameters: tuple[ParameterValue, ...]) -> Callable[[str], w.Because]:
    return lambda sum_: working.because(code, sum_, *parameters)


def pay_bonuses(working: Working) -> None:
    """Each bonus on a line of its own; only promised ones join the regular rate."""
    for bonus in working.week.bonuses:
        exact = Fraction(bonus.amount)
        amount = cents(exact)
        if bonus.kind == "discretionary":
            working.uncounted += amount
            reason = working.because("bonus-discretionary", f"{amount} stays outside")
        else:
            if bonus.kind == "flat":
                working.flat += exact
            else:
                working.bonuses += exact
            reason = working.because("bonus-included", f"{amount} joins the regular rate")
        text = f"{bonus.kind} bonus: {bonus.why}"
        working.lines.append(w.Line("bonus", text, Fraction(1), "bonus", exact, amount, (reason,)))


def pay_guarantee(working: Working, besides: tuple[str, ...] = ()) -> None:
    """What is missing from an agreed hourly guarantee, on the productive hours or on all but kinds of time `besides`,
    which are paid later. One that holds on some days of the week looks at what those days had and earned."""
    terms = working.week.terms
    for part in terms.part_guarantees:
        _pay_part_guarantee(working, part, besides)
    if terms.hourly_guarantee is None:
        return
    if terms.guarantee_hours == "all":
        later = sum((hours for key, hours in working.hours.other.items() if key[0] in besides), NONE)
        hours, earned, which = working.hours.total - later, working.pieces + working.other, "all hours"
        so_far = paid(line for line in working.lines if line.code != "bonus")
    else:
        hours, earned, which = working.hours.producing, working.pieces, "productive hours"
        so_far = paid(line for line in working.lines if line.code == "piece")
    _hold_guarantee(working, Fraction(terms.hourly_guarantee), hours, earned, so_far, which)


def _pay_part_guarantee(working: Working, part: w.PartGuarantee, besides: tuple[str, ...]) -> None:
    days = set(part.days)
    earned = sum((piece.quantity * Fraction(piece.rate) for piece in working.week.pieces if piece.date in days), NONE)
    hours = NONE
    for entry in working.week.hours:
        if entry.date not in days or entry.kind == w.UNPAID_TIME or entry.kind in besides:
            continue
        if entry.kind == w.PIECE_TIME:
            hours += entry.hours
        elif part.hours == "all":
            hours += entry.hours
            each = working.unagreed.get(entry.date, NONE) if entry.rate is None else Fraction(entry.rate)
            earned += entry.hours * each
    which = ("all hours" if part.hours == "all" else "productive hours") + f" of {_days_said(part.days)}"
    _hold_guarantee(working, Fraction(part.rate), hours, earned, cents(earned), which)


def _days_said(days: tuple[date, ...]) -> str:
    """`2026-03-04 to 2026-03-06`: the days it holds on follow one another among those worked."""
    return str(days[0]) if len(days) == 1 else f"{days[0]} to {days[-1]}"


def part_guarantees_exact(week: w.WorkerWeek) -> Fraction:
    """What guarantees of some days add to the productive hours, exact."""
    added_up = NONE
    for part in week.terms.part_guarantees:
        if part.hours == "productive":
            hours = sum((one.hours for one in week.hours if one.date in part.days and one.kind == w.PIECE_TIME), NONE)
            earned = sum((one.quantity * Fraction(one.rate) for one in week.pieces if one.date in part.days), NONE)
            added_up += max(Fraction(part.rate) * hours - earned, NONE)
    return added_up


def _hold_guarantee(
    working: Working, guarantee: Fraction, hours: Fraction, earned: Fraction, so_far: Decimal, which: str
) -> None:
    required = guarantee * hours
    missing = top_up(required, earned, so_far)
    working.added += missing.exact
    sum_ = f"{clock(hours)} x {money(guarantee)} = {cents(required)}; paid {so_far}; missing {missing.amount}"
    reason = working.because("guarantee", sum_)
    text = f"hourly guarantee on {which}"
    working.floors.append(w.Floor("guarantee", text, cents(required), so_far, missing.amount, (reason,)))
    if missing.amount:
        working.lines.append(whole_line("guarantee", f"to the {text}", missing.amount, (reason,)))


def hold_minimum(
    working: Working, hours_by_day: dict[date, Fraction], earned: Fraction, so_far: Decimal, of_what: str
) -> None:
    """A floor: hours of each day at that day's minimum. `earned` is exact, `so_far` what the lines pay towards it."""
    by_minimum: dict[Minimum, Fraction] = {}
    for day, hours in hours_by_day.items():
        minimum = working.minimums[day]
        by_minimum[minimum] = by_minimum.get(minimum, NONE) + hours
    if not any(by_minimum.values()):
        return
    required = sum((minimum.rate * hours for minimum, hours in by_minimum.items()), NONE)
    missing = top_up(required, earned, so_far)
    working.added += missing.exact
    parts = " + ".join(f"{clock(hours)} x {money(minimum.rate)}" for minimum, hours in by_minimum.items())
    sum_ = f"{parts} = {cents(required)}; paid towards it {so_far}; missing {missing.amount}"
    reasons = [working.because("minimum-wage", sum_, *dict.fromkeys(minimum.value for minimum in by_minimum))]
    for minimum in by_minimum:
        if minimum.local:
            reasons.append(working.because("local-minimum", f"{money(minimum.rate)} an hour: {minimum.local}"))
    text = f"minimum wage {of_what}"
    working.floors.append(w.Floor("minimum-wage", text, cents(required), so_far, missing.amount, tuple(reasons)))
    if missing.amount:
        working.lines.append(whole_line("minimum-wage", f"to the {text}", missing.amount, tuple(reasons)))


def regular_rate(
    working: Working, hours: Fraction, with_flat: bool = True
) -> tuple[Fraction | None, tuple[w.Because, ...]]:
    """Straight pay over hours, and its reason; None without hours. Set-sum bonuses may be left out for a rule of their
    own."""
    if not hours:
        return None, ()
    parts = [working.pieces, working.other, working.bonuses, working.flat if with_flat else NONE, working.added]
    regular = sum(parts, NONE) / hours
    return regular, (working.because("regular-rate", f"{added(parts)} / {clock(hours)} = {money(regular)} an hour"),)


def _add_cautions(working: Working) -> None:
    week, hours = working.week, working.hours
    if week.pieces and not hours.total:
        working.cautions.append(
            "Pieces but no hours: neither the minimum wage nor overtime could be tested. The law asks for the hours "
            "of each day; enter them before this is paid."
        )
    elif week.pieces:
        bare = sorted({piece.date for piece in week.pieces} - hours.by_day.keys())
        if bare:
            days = ", ".join(map(str, bare))
            working.cautions.append(f"Pieces but no hours on {days}: check the hours of those days.")
    if hours.producing and not working.pieces:
        working.cautions.append(f"{clock(hours.producing)} on pieces but no pieces: check whether entries are missing.")
    for value in dict.fromkeys(minimum.value for minimum in working.minimums.values()):
        if (week.week_start - value.checked_on).days > 366:
            working.cautions.append(
                f"The minimum wage of {working.place}, {value.text} an hour from {value.starts}, was last looked up on "
                f"{value.checked_on}, more than a year before this week. Look it up again before this is paid."
            )
    if any(minimum.local for minimum in working.minimums.values()):
        working.cautions.append(
            "The local minimum wage was tested in the same way as the rule set's own; the ordinance may test otherwise."
        )
