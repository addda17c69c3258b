"""United States, Fair Labor Standards Act: a piece worker's workweek (29 USC 206 and 207, 29 CFR parts 531, 778, 785).

The order, each step on exact fractions: pieces; other time; bonuses; guarantee; minimum-wage top-up; the regular rate
over all of these; half of it for each overtime hour, unless overtime on the piece rate was agreed and its conditions
hold (us_piece_overtime). A top-up never offsets a premium. 29 CFR 778.104: each workweek stands alone.

Choices where the text leaves room, each the one that pays the worker no less:
- A guarantee is compared with piece earnings (and, on all hours, pay for other time), never with bonuses.
- In a week in which the guarantee pays the productive hours, it is also the rate of other time without an agreed rate.
- A free gift (discretionary bonus) does not count towards the minimum wage.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

from payroll.law import week as w
from payroll.law.check import time_name
from payroll.law.earnings import NONE, Hours, hours_of, paid, piece_lines, whole_line
from payroll.law.explain import added, clock, money, rate
from payroll.law.money import cents, top_up
from payroll.law.parameter_book import ParameterBook, ParameterMissing, ParameterValue
from payroll.law.rules.us_piece_overtime import piece_overtime
from payroll.law.rules.us_working import JURISDICTION, Minimum, Working, minimums_of
from payroll.law.workweek import days_of

NAME = JURISDICTION
VERSION = "us-federal 1"
CURRENCY = "USD"

ALWAYS = (
    "Federal rules only. State or local law may ask for a higher minimum wage, daily overtime or paid rests: ask the "
    "local "
    "labor authority or a licensed payroll practice. This is not legal advice."
)


def check(week: w.WorkerWeek, book: ParameterBook) -> list[str]:
    """What these rules hold against a week, one sentence each: no parameter for its days, a rate below the minimum, a
    deduction, time that nothing gives a rate."""
    hours = hours_of(week)
    mistakes = [_deduction_refused(deduction, book) for deduction in week.deductions]
    if week.prevailing:
        mistakes.append(
            f"prevailing: work on {', '.join(part.job for part in week.prevailing)} is given, but prevailing rates "
            "are not "
            f"available in this version. Price that week by hand, or leave the job out of this file."
        )
    mistakes.extend(_without_rate(week, hours))
    try:
        book.at(NAME, "weekly_overtime_hours", week.week_start)
        book.at(NAME, "overtime_multiplier", week.week_start)
        mistakes.extend(_below_minimum(week, book))
    except ParameterMissing as missing:
        mistakes.append(f"week of {week.week_start}: {missing}")
    return mistakes


def price(week: w.WorkerWeek, book: ParameterBook) -> w.PricedWeek:
    """Price one workweek, in which `check` found nothing, under the federal rules."""
    hours = hours_of(week)
    working = Working(
        week,
        book,
        hours,
        minimums_of(week, tuple(hours.by_day), book),
        book.at(NAME, "weekly_overtime_hours", week.week_start),
        book.at(NAME, "overtime_multiplier", week.week_start),
    )
    working.cautions.append(ALWAYS)
    _pay_pieces(working)
    _pay_other_time(working)
    _pay_bonuses(working)
    _pay_guarantee(working)
    _hold_minimum(working)
    regular_rate, regular_because = _regular_rate(working)
    if working.overtime_hours and not _overtime_by_agreement(working):
        _pay_overtime(working, regular_rate, regular_because)
    elif working.overtime_hours:
        regular_rate, regular_because = None, ()
    _add_cautions(working)
    return w.PricedWeek(
        lines=tuple(working.lines),
        hours=w.WeekHours(hours.total, working.overtime_hours),
        regular_rate=regular_rate,
        floors=tuple(working.floors),
        gross=paid(working.lines),
        rules_version=VERSION,
        cautions=tuple(working.cautions),
        parameters=_used(working),
        currency=CURRENCY,
        regular_rate_because=regular_because,
    )


def _used(working: Working) -> tuple[ParameterValue, ...]:
    reasons = [reason for line in working.lines for reason in line.because]
    reasons += [reason for floor in working.floors for reason in floor.because]
    return tuple(
        dict.fromkeys(
            [*(value for reason in reasons for value in reason.parameters), working.threshold, working.multiplier]
        )
    )


def _deduction_refused(deduction: w.Deduction, book: ParameterBook) -> str:
    rule = book.rule(NAME, "deduction-cap")
    return (
        f"deductions ({deduction.date}, {deduction.amount}): refused. {rule.text} ({rule.cite}.) Log the rework as "
        "hours, and "
        f"settle any lawful deduction in the firm's payroll."
    )


def _below_minimum(week: w.WorkerWeek, book: ParameterBook) -> list[str]:
    """Agreed rates under the minimum of their day; 29 CFR 778.318(b) lets no agreement go below it."""
    found: list[str] = []
    override = week.minimum_wage
    if override is not None and not override.rate.is_finite():
        return found
    minimums = minimums_of(week, days_of(week.week_start), book)
    for number, entry in enumerate(week.hours, 1):
        minimum = minimums.get(entry.date)
        if entry.rate is None or minimum is None or not entry.rate.is_finite() or not 0 < entry.rate < minimum.rate:
            continue
        found.append(
            f"{time_name(number, entry)}: the agreed rate {entry.rate} is below the minimum wage of "
            f"{rate(minimum.rate)} an hour "
            f"({minimum.ground}). Agree on at least that."
        )
    highest = max(minimums.values(), key=lambda minimum: minimum.rate)
    guarantee = week.terms.hourly_guarantee
    if guarantee is not None and guarantee.is_finite() and 0 < guarantee < highest.rate:
        found.append(
            f"terms: hourly_guarantee {guarantee} is below the minimum wage of {rate(highest.rate)} an hour "
            f"({highest.ground}). Guarantee at least that."
        )
    federal = max((minimum.value for minimum in minimums.values()), key=lambda value: value.value)
    if override is not None and 0 < override.rate < federal.value:
        found.append(
            f"minimum_wage: the rate {override.rate} is below the federal {rate(federal.value)} an hour "
            f"({federal.cite}). "
            f"A local minimum can only be higher; leave it out."
        )
    return found


def _without_rate(week: w.WorkerWeek, hours: Hours) -> list[str]:
    """Other time that nothing can give a rate: not agreed, not covered, no piece hours to take a rate from."""
    if hours.producing or week.terms.pieces_cover_all_hours or week.terms.hourly_guarantee is not None:
        return []
    return [
        f"{time_name(number, entry)}: no rate was agreed, and the week has no piece hours whose rate it could earn "
        f"(29 CFR 778.318(b)). Give its rate, or the piece hours."
        for number, entry in enumerate(week.hours, 1)
        if entry.kind in w.OTHER_TIME and entry.rate is None
    ]


def _pay_pieces(working: Working) -> None:
    lines, working.pieces = piece_lines(working.week, lambda sum_: working.because("piece-earnings", sum_))
    working.lines.extend(lines)


def _pay_other_time(working: Working) -> None:
    for (kind, job, agreed), hours in working.hours.other.items():
        exact_rate, reason = _other_rate(working, agreed)
        exact = hours * exact_rate
        amount = cents(exact)
        reasons = [reason(f"{clock(hours)} x {money(exact_rate)} = {amount}")]
        if kind in ("rest", "rework"):
            reasons.append(working.because(f"{kind}-is-work"))
        working.other += exact
        working.lines.append(w.Line(kind, kind, hours, "h", exact_rate, amount, tuple(reasons), job))


def _other_rate(working: Working, agreed: Decimal | None) -> tuple[Fraction, Callable[[str], w.Because]]:
    """The rate of other time, and its reason waiting for the sum."""
    week, producing = working.week, working.hours.producing
    if agreed is not None:
        return Fraction(agreed), lambda sum_: working.because("other-time-agreed", sum_)
    if week.terms.pieces_cover_all_hours:
        return NONE, lambda sum_: working.because("other-time-covered", sum_)
    productive = working.pieces / producing if producing else NONE
    ground = f"{money(working.pieces)} / {clock(producing)} = {money(productive)} an hour"
    guarantee = Fraction(week.terms.hourly_guarantee or 0)
    if guarantee > productive:
        productive, ground = guarantee, f"the guaranteed {money(guarantee)} an hour pays this week's productive hours"
    return productive, lambda sum_: working.because("other-time-productive-rate", f"{ground}; {sum_}")


def _pay_bonuses(working: Working) -> None:
    for bonus in working.week.bonuses:
        exact = Fraction(bonus.amount)
        amount = cents(exact)
        if bonus.kind == "discretionary":
            working.uncounted += amount
            reason = working.because("bonus-discretionary", f"{amount} stays outside")
        else:
            working.bonuses += exact
            reason = working.because("bonus-included", f"{amount} joins the regular rate")
        text = f"{bonus.kind} bonus: {bonus.why}"
        working.lines.append(w.Line("bonus", text, Fraction(1), "bonus", exact, amount, (reason,)))


def _pay_guarantee(working: Working) -> None:
    terms = working.week.terms
    if terms.hourly_guarantee is None:
        return
    guarantee = Fraction(terms.hourly_guarantee)
    if terms.guarantee_hours == "all":
        hours, earned, which = working.hours.total, working.pieces + working.other, "all hours"
        so_far = paid(line for line in working.lines if line.code != "bonus")
    else:
        hours, earned, which = working.hours.producing, working.pieces, "productive hours"
        so_far = paid(line for line in working.lines if line.code == "piece")
    required = guarantee * hours
    missing = top_up(required, earned, so_far)
    working.added += missing.exact
    sum_ = f"{clock(hours)} x {money(guarantee)} = {cents(required)}; paid {so_far}; missing {missing.amount}"
    reason = working.because("guarantee", sum_)
    text = f"hourly guarantee on {which}"
    working.floors.append(w.Floor("guarantee", text, cents(required), so_far, missing.amount, (reason,)))
    if missing.amount:
        working.lines.append(whole_line("guarantee", f"to the {text}", missing.amount, (reason,)))


def _hold_minimum(working: Working) -> None:
    """The floor of the workweek: hours of each day at that day's minimum."""
    if not working.hours.total:
        return
    by_minimum: dict[Minimum, Fraction] = {}
    for day, hours in working.hours.by_day.items():
        minimum = working.minimums[day]
        by_minimum[minimum] = by_minimum.get(minimum, NONE) + hours
    required = sum((minimum.rate * hours for minimum, hours in by_minimum.items()), NONE)
    so_far = working.counted
    missing = top_up(required, working.straight, so_far)
    working.added += missing.exact
    parts = " + ".join(f"{clock(hours)} x {money(minimum.rate)}" for minimum, hours in by_minimum.items())
    sum_ = f"{parts} = {cents(required)}; paid towards it {so_far}; missing {missing.amount}"
    reasons = [working.because("minimum-wage", sum_, *dict.fromkeys(minimum.value for minimum in by_minimum))]
    override = working.week.minimum_wage
    if override is not None:
        reasons.append(working.because("local-minimum", f"{override.rate} an hour: {override.why}"))
    floor = w.Floor(
        "minimum-wage", "minimum wage for the week", cents(required), so_far, missing.amount, tuple(reasons)
    )
    working.floors.append(floor)
    if missing.amount:
        working.lines.append(whole_line("minimum-wage", "to the minimum wage", missing.amount, tuple(reasons)))


def _regular_rate(working: Working) -> tuple[Fraction | None, tuple[w.Because, ...]]:
    hours = working.hours.total
    if not hours:
        return None, ()
    regular = working.straight / hours
    parts = added((working.pieces, working.other, working.bonuses, working.added))
    return regular, (working.because("regular-rate", f"{parts} / {clock(hours)} = {money(regular)} an hour"),)


def _overtime_by_agreement(working: Working) -> bool:
    """Pay overtime on the piece rate if that was agreed and holds; else say why not."""
    if not working.week.terms.overtime_on_piece_rate:
        return False
    agreed = piece_overtime(working)
    working.lines.extend(agreed.lines)
    if agreed.refused:
        working.cautions.append(
            f"Overtime on the piece rate was agreed but could not be used this week: {agreed.refused} Overtime was "
            "paid by "
            f"29 CFR 778.111 instead; check that the agreement itself does not promise more."
        )
    return not agreed.refused


def _pay_overtime(working: Working, regular: Fraction | None, regular_because: tuple[w.Because, ...]) -> None:
    """Half the regular rate for each overtime hour; the straight part has been paid above."""
    over = working.overtime_hours
    half = (regular or NONE) * (working.multiplier.value - 1)
    amount = cents(over * half)
    sum_ = (
        f"{clock(working.hours.total)} - {clock(working.threshold.value)} = {clock(over)}; half the regular rate "
        "is "
        f"{money(half)}; {clock(over)} x {money(half)} = {amount}"
    )
    reasons = (*regular_because, working.because("overtime", sum_, working.threshold, working.multiplier))
    working.lines.append(w.Line("overtime", "overtime premium", over, "h", half, amount, reasons))


def _add_cautions(working: Working) -> None:
    week, hours = working.week, working.hours
    if week.pieces and not hours.total:
        working.cautions.append(
            "Pieces but no hours: neither the minimum wage nor overtime could be tested. Hours must be recorded for "
            "each day "
            "(29 CFR 516.2); enter them before this is paid."
        )
    elif week.pieces:
        bare = sorted({piece.date for piece in week.pieces} - hours.by_day.keys())
        if bare:
            working.cautions.append(
                f"Pieces but no hours on {', '.join(map(str, bare))}: check the hours of those days."
            )
    if hours.producing and not working.pieces:
        working.cautions.append(f"{clock(hours.producing)} on pieces but no pieces: check whether entries are missing.")
    if week.minimum_wage is not None:
        working.cautions.append(
            "The local minimum wage was tested over the whole workweek, as the federal one is; the ordinance may "
            "test each hour."
        )
