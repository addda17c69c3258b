"""California: Labor Code 226.2 (piece rates), 510 (overtime), 1182.12 (minimum wage).

The order, each step on exact fractions: pieces; other time, apart from them; bonuses; guarantee; prevailing rates;
minimum wage on the piece hours alone; paid rests at the average of the week; the regular rate over all of these; the
premiums; an hour for each missed break that the office entered (226.7), which stays out of all the others. Federal
overtime is contained: no week has fewer hours past a limit here.

Choices where the text leaves room:
- The rest rate is exact and only the rest line is rounded. Worked examples that round hours and rate on the way come
  out a few cents off; paying by them would be another policy, which is not offered.
- "Total compensation" in the rest rate takes in every bonus, free gifts too.
- The week's highest minimum wage is the least that a rest earns.
- Bonuses do not count towards the minimum wage of the piece hours.
- Overtime on the piece rate by agreement (29 CFR 778.418) is federal law and is not used here.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction

from payroll.law import week as w
from payroll.law.earnings import NONE, TimeKey, hours_of, paid
from payroll.law.explain import clock, money
from payroll.law.money import cents
from payroll.law.parameter_book import ParameterBook
from payroll.law.rules import steps
from payroll.law.rules.daily_hours import Classified, classify, limits_of, pay_premiums
from payroll.law.rules.us_prevailing import check_prevailing, pay_prevailing, premium_to_basic
from payroll.law.rules.working import Working

PLACE = steps.Place(
    "us-california",
    "us-california 1",
    "USD",
    ("daily_overtime_hours", "daily_double_hours", "weekly_overtime_hours", "overtime_multiplier", "double_multiplier"),
    (
        "meal_after_hours",
        "second_meal_after_hours",
        "meal_minutes",
        "rest_minutes",
        "rest_per_hours",
        "rest_from_hours",
    ),
    premium_hour=True,
)
NONPRODUCTIVE = ("waiting", "travel", "meeting", "rework")

ALWAYS = (
    "California law as far as stated: reporting time, alternative workweeks and local ordinances are not part of it, "
    "and hours for missed breaks only where the office enters them. Ask the labor commissioner or a licensed payroll "
    "practice. This is not legal advice."
)


def check(week: w.WorkerWeek, book: ParameterBook) -> list[str]:
    """What these rules hold against a week, one sentence each."""
    mistakes = steps.check_place(week, book, PLACE)
    if week.prevailing:
        # Without the limits' parameters their own mistake stands above; without mistakes the hours can be classified.
        past = None if mistakes else _past_limits(week, book)
        mistakes.extend(check_prevailing(week, past))
    if week.terms.pieces_cover_all_hours:
        mistakes.append(
            "terms: pieces_cover_all_hours is true, but in California rests and other nonproductive time must be "
            "paid apart from pieces (Labor Code 226.2(a)(1)). Set it to false."
        )
    return mistakes


def price(week: w.WorkerWeek, book: ParameterBook) -> w.PricedWeek:
    """Price one workweek, in which `check` found nothing, under California's rules."""
    working = steps.begin(week, book, PLACE)
    working.cautions.append(ALWAYS)
    if week.terms.overtime_on_piece_rate:
        working.cautions.append("Overtime on the piece rate was agreed, but overtime here is by the regular rate.")
    steps.pay_pieces(working)
    steps.pay_time_at_minimum(working, NONPRODUCTIVE)
    steps.pay_bonuses(working)
    steps.pay_guarantee(working, besides=("rest",))
    pay_prevailing(working)
    _hold_minimum(working)
    _pay_rests(working)
    found = classify(working.hours.by_day, week.week_start, limits_of(working.law, seventh_day=True))
    regular, reasons = steps.regular_rate(working, working.hours.total, with_flat=False)
    if regular is not None and (found.overtime or found.double):
        pay_premiums(working, found, regular, reasons)
        _pay_flat_premiums(working, found)
        premium_to_basic(working, regular)
        if week.prevailing and found.double:
            working.cautions.append(
                "Double time falls into a week with prevailing-rate work: where it was on that job, check it "
                "against twice the basic rate."
            )
    if regular is not None:
        _pay_missed_breaks(working, found, regular, reasons)
    hours = w.WeekHours(working.hours.total, found.overtime, found.double)
    return steps.finish(working, PLACE, hours, regular, reasons)


def _past_limits(week: w.WorkerWeek, book: ParameterBook) -> Fraction:
    law = {name: book.at(PLACE.name, name, week.week_start) for name in PLACE.limits}
    found = classify(hours_of(week).by_day, week.week_start, limits_of(law, seventh_day=True))
    return found.overtime + found.double


def _hold_minimum(working: Working) -> None:
    """Piece pay against the minimum wage of the piece hours; top-ups to pieces count, nothing else does."""
    so_far = paid(line for line in working.lines if line.code in ("piece", "guarantee", "prevailing"))
    topped_up = so_far - paid(line for line in working.lines if line.code == "piece")
    producing: dict[date, Fraction] = {}
    for entry in working.week.hours:
        if entry.kind == w.PIECE_TIME:
            producing[entry.date] = producing.get(entry.date, NONE) + entry.hours
    earned = working.pieces + Fraction(topped_up)
    steps.hold_minimum(working, dict(sorted(producing.items())), earned, so_far, "for the piece hours")


def _rests(working: Working) -> dict[TimeKey, Fraction]:
    return {key: hours for key, hours in working.hours.other.items() if key[0] == "rest"}


def _pay_rests(working: Working) -> None:
    """Rests at the average of the week without them, at least the minimum wage, at least an agreed rate."""
    rests = _rests(working)
    if not any(rests.values()):
        return
    resting = sum(rests.values(), NONE)
    others = working.hours.total - resting
    gifts = Fraction(paid(line for line in working.lines if line.because[0].code == "bonus-discretionary"))
    pay = working.straight + gifts
    average = pay / others if others else NONE
    least = max(working.minimums.values(), key=lambda minimum: minimum.rate)
    ground = f"{money(pay)} / {clock(others)} = {money(average)} an hour" if others else "no other hours this week"

    def reason(sum_: str) -> w.Because:
        return working.because("rest-rate", f"{ground}, minimum wage {money(least.rate)}; {sum_}", least.value)

    for (kind, job, agreed), hours in rests.items():
        steps.pay_time(working, kind, job, hours, max(average, least.rate, Fraction(agreed or 0)), reason)


def _pay_missed_breaks(
    working: Working, found: Classified, regular: Fraction, regular_because: tuple[w.Because, ...]
) -> None:
    """One hour at the whole regular rate for each day and kind of missed break."""
    worth = working.flat / found.straight if found.straight else NONE
    each = regular + worth
    days: dict[str, list[date]] = {}
    for missed in working.week.missed_breaks:
        days.setdefault(missed.kind, []).append(missed.date)
    for kind, missing in days.items():
        hours = Fraction(len(missing))
        amount = cents(hours * each)
        of_flat = f" and {money(worth)} of set-sum bonuses" if worth else ""
        sum_ = f"{', '.join(map(str, sorted(missing)))}; {clock(hours)} x {money(regular)}{of_flat} = {amount}"
        codes = ["missed-break-rate", *(["missed-break-two"] if len(days) > 1 else [])]
        reasons = (working.because("missed-break", sum_), *(working.because(code) for code in codes))
        text = f"hour for a missed {kind}" if len(missing) == 1 else f"hours for missed {kind}s"
        line = w.Line("missed-break", text, hours, "h", each, amount, (*regular_because, *reasons))
        working.lines.append(line)


def _pay_flat_premiums(working: Working, found: Classified) -> None:
    """Set-sum bonuses: their worth in each straight hour, times the whole multiplier, for hours past a limit."""
    if not working.flat or not found.straight:
        return
    worth = working.flat / found.straight
    law = working.law
    parts = (
        ("overtime", found.overtime, law["overtime_multiplier"]),
        ("double", found.double, law["double_multiplier"]),
    )
    for code, hours, multiplier in parts:
        if hours:
            each = worth * multiplier.value
            amount = cents(hours * each)
            sum_ = (
                f"{money(working.flat)} / {clock(found.straight)} = {money(worth)} an hour; {clock(hours)} x "
                f"{multiplier.text} x {money(worth)} = {amount}"
            )
            reason = working.because("flat-bonus-overtime", sum_, multiplier)
            working.lines.append(w.Line(code, f"{code} on set-sum bonuses", hours, "h", each, amount, (reason,)))
