"""United States, Fair Labor Standards Act: a piece worker's workweek (29 USC 206 and 207, 29 CFR parts 531, 778, 785).

The order, each step on exact fractions: pieces; other time; bonuses; guarantee; minimum-wage top-up; the regular rate
over all of these; half of it for each overtime hour, unless overtime on the piece rate was agreed and its conditions
hold (us_piece_overtime). A top-up never offsets a premium. 29 CFR 778.104: each workweek stands alone.

Choices where the text leaves room, each the one that pays the worker no less:
- A guarantee is compared with piece earnings (and, on all hours, pay for other time), never with bonuses.
- In a week in which the guarantee pays the productive hours, it is also the rate of other time without an agreed rate;
  one on all hours must pay something for those on pieces and at agreed rates.
- A free gift (discretionary bonus) does not count towards the minimum wage.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

from payroll.law import week as w
from payroll.law.check import time_name
from payroll.law.earnings import NONE, hours_of
from payroll.law.explain import added, clock, money
from payroll.law.money import cents
from payroll.law.parameter_book import ParameterBook, ParameterMissing
from payroll.law.rules import steps
from payroll.law.rules.us_piece_overtime import piece_overtime
from payroll.law.rules.us_prevailing import check_prevailing, pay_prevailing, premium_to_basic
from payroll.law.rules.working import Working

PLACE = steps.Place("us-federal", "us-federal 2", "USD", ("weekly_overtime_hours", "overtime_multiplier"))

ALWAYS = (
    "Federal rules only. State or local law may ask for a higher minimum wage, daily overtime or paid rests: ask "
    "the local labour authority or a licensed payroll practice. This is not legal advice."
)


def check(week: w.WorkerWeek, book: ParameterBook) -> list[str]:
    """What these rules hold against a week, one sentence each: no parameter for its days, a rate below the minimum, a
    deduction, time that nothing gives a rate, prevailing work that does not fit the week."""
    mistakes = [*steps.check_place(week, book, PLACE), *_without_rate(week)]
    mistakes.extend(steps.check_no_premium_hour(week, book, PLACE))
    if week.prevailing:
        try:
            limit = book.at(PLACE.name, "weekly_overtime_hours", week.week_start).value
            past = max(hours_of(week).total - limit, NONE)
        except ParameterMissing:
            past = None
        mistakes.extend(check_prevailing(week, past))
    return mistakes


def price(week: w.WorkerWeek, book: ParameterBook) -> w.PricedWeek:
    """Price one workweek, in which `check` found nothing, under the federal rules."""
    working = steps.begin(week, book, PLACE)
    working.cautions.append(ALWAYS)
    hours = working.hours.total
    over = max(hours - working.law["weekly_overtime_hours"].value, NONE)
    steps.pay_pieces(working)
    _pay_other_time(working)
    steps.pay_bonuses(working)
    steps.pay_guarantee(working)
    pay_prevailing(working)
    steps.hold_minimum(working, working.hours.by_day, working.straight, working.counted, "for the week")
    regular, regular_because = steps.regular_rate(working, hours)
    if over and _overtime_by_agreement(working, over):
        regular, regular_because = None, ()
    elif over and regular is not None:
        _pay_overtime(working, over, regular, regular_because)
        premium_to_basic(working, regular)
    return steps.finish(working, PLACE, w.WeekHours(hours, over), regular, regular_because)


def _without_rate(week: w.WorkerWeek) -> list[str]:
    """Other time that nothing can give a rate: not agreed, not covered, no piece hours to take a rate from."""
    terms = week.terms
    producing = any(entry.kind == w.PIECE_TIME and entry.hours for entry in week.hours)
    if producing or terms.pieces_cover_all_hours or terms.hourly_guarantee is not None:
        return []
    return [
        f"{time_name(number, entry)}: no rate was agreed, and the week has no piece hours whose rate it could earn "
        "(29 CFR 778.318(b)). Give its rate, or the piece hours."
        for number, entry in enumerate(week.hours, 1)
        if entry.kind in w.OTHER_TIME and entry.rate is None
    ]


def _pay_other_time(working: Working) -> None:
    unagreed = _other_rate(working, None)[0]
    working.unagreed = dict.fromkeys(working.hours.by_day, unagreed)
    for (kind, job, agreed), hours in working.hours.other.items():
        exact_rate, reason = _other_rate(working, agreed)
        steps.pay_time(working, kind, job, hours, exact_rate, reason)


def _other_rate(working: Working, agreed: Decimal | None) -> tuple[Fraction, Callable[[str], w.Because]]:
    """The rate of other time, and its reason waiting for the sum."""
    week, producing = working.week, working.hours.producing
    if agreed is not None:
        return Fraction(agreed), lambda sum_: working.because("other-time-agreed", sum_)
    if week.terms.pieces_cover_all_hours:
        return NONE, lambda sum_: working.because("other-time-covered", sum_)
    of_days = steps.part_guarantees_exact(week)
    productive = (working.pieces + of_days) / producing if producing else NONE
    ground = f"{added((working.pieces, of_days))} / {clock(producing)} = {money(productive)} an hour"
    guarantee = Fraction(week.terms.hourly_guarantee or 0)
    if not producing:
        productive, ground = guarantee, f"the guaranteed {money(guarantee)} an hour, as the week has no piece hours"
    elif guarantee > productive and _guarantee_pays(working, guarantee):
        productive, ground = guarantee, f"the guaranteed {money(guarantee)} an hour pays this week's productive hours"
    return productive, lambda sum_: working.because("other-time-productive-rate", f"{ground}; {sum_}")


def _guarantee_pays(working: Working, guarantee: Fraction) -> bool:
    """Whether piece earnings, and on all hours pay at agreed rates, fall short of the guarantee for their own hours."""
    hours, earned = working.hours.producing, working.pieces
    if working.week.terms.guarantee_hours == "all":
        for (_, _, agreed), each in working.hours.other.items():
            if agreed is not None:
                hours, earned = hours + each, earned + each * Fraction(agreed)
    return guarantee * hours > earned


def _overtime_by_agreement(working: Working, over: Fraction) -> bool:
    """Pay overtime on the piece rate if that was agreed and holds; else say why not."""
    if not working.week.terms.overtime_on_piece_rate:
        return False
    agreed = piece_overtime(working, over)
    working.lines.extend(agreed.lines)
    if agreed.refused:
        working.cautions.append(
            f"Overtime on the piece rate was agreed but could not be used this week: {agreed.refused} Overtime was "
            "paid by 29 CFR 778.111 instead; check that the agreement itself does not promise more."
        )
    return not agreed.refused


def _pay_overtime(working: Working, over: Fraction, regular: Fraction, regular_because: tuple[w.Because, ...]) -> None:
    """Half the regular rate for each overtime hour; the straight part has been paid above."""
    threshold, multiplier = working.law["weekly_overtime_hours"], working.law["overtime_multiplier"]
    half = regular * (multiplier.value - 1)
    amount = cents(over * half)
    sum_ = (
        f"{clock(working.hours.total)} - {clock(threshold.value)} = {clock(over)}; half the regular rate is "
        f"{money(half)}; {clock(over)} x {money(half)} = {amount}"
    )
    reasons = (*regular_because, working.because("overtime", sum_, threshold, multiplier))
    working.lines.append(w.Line("overtime", "overtime premium", over, "h", half, amount, reasons))
