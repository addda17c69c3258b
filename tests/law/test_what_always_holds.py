"""Properties of every priced week under every rule set, and the exceptions, each proved by an example.

All derived: they follow from the arithmetic that the week file's description sets out.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from payroll.law import ParameterBook, PieceWork, PricedWeek, Terms, TimeWorked, WorkerWeek, cents, price, the_book
from tests.law import any_week
from tests.law.weeks import MONDAY, amounts, week

CENT = Decimal("0.01")
LIMITS = ("daily_overtime_hours", "daily_double_hours", "weekly_overtime_hours")


@given(any_week.worker_weeks())
def test_gross_is_the_sum_of_its_lines(any_one: WorkerWeek) -> None:
    priced = price(any_one)
    assert priced.gross == sum((line.amount for line in priced.lines), Decimal("0.00"))


@given(any_week.worker_weeks())
def test_every_line_is_its_quantity_times_its_rate_rounded_once(any_one: WorkerWeek) -> None:
    for line in price(any_one).lines:
        assert line.amount == cents(line.quantity * line.rate)


@given(any_week.worker_weeks())
def test_every_line_and_floor_says_why(any_one: WorkerWeek) -> None:
    priced = price(any_one)
    for part in (*priced.lines, *priced.floors):
        assert part.because
        for reason in part.because:
            assert reason.rule
            assert reason.cite
            assert reason.checked


def without_gifts_and_premiums(any_one: WorkerWeek, priced: PricedWeek) -> Decimal:
    gifts = sum((bonus.amount for bonus in any_one.bonuses if bonus.kind == "discretionary"), Decimal("0.00"))
    paid = amounts(priced)
    return priced.gross - gifts - paid.get("overtime", Decimal("0.00")) - paid.get("double", Decimal("0.00"))


@given(any_week.worker_weeks())
def test_the_minimum_wage_holds_without_any_overtime_premium(any_one: WorkerWeek) -> None:
    # In Ontario overtime pay replaces earnings, so only the straight hours must reach it without the overtime line.
    priced = price(any_one)
    hours = priced.hours.total - (priced.hours.overtime if any_one.rules == "ca-ontario" else 0)
    least = cents(hours * Fraction(any_week.LEAST[any_one.rules]))
    assert without_gifts_and_premiums(any_one, priced) >= least - CENT * (any_one.rules != "us-federal")


@given(any_week.worker_weeks())
def test_overtime_is_paid_at_its_multiple_of_the_minimum_at_least(any_one: WorkerWeek) -> None:
    priced = price(any_one)
    weighed = priced.hours.total + priced.hours.overtime / 2 + priced.hours.double
    assert priced.gross >= cents(weighed * Fraction(any_week.LEAST[any_one.rules])) - 2 * CENT


@given(any_week.worker_weeks())
def test_a_guarantee_holds(any_one: WorkerWeek) -> None:
    priced, terms = price(any_one), any_one.terms
    if terms.hourly_guarantee is None:
        return
    floor = next(floor for floor in priced.floors if floor.code == "guarantee")
    assert floor.paid + floor.top_up >= floor.required


@given(any_week.worker_weeks())
def test_every_floor_holds_and_what_it_lacked_is_on_a_line(any_one: WorkerWeek) -> None:
    # Of the overtime floor of Ontario the overtime line pays what is missing.
    priced = price(any_one)
    codes = {line.code for line in priced.lines}
    for floor in priced.floors:
        assert floor.paid + floor.top_up >= floor.required
        assert floor.met or floor.code in codes or (floor.code == "overtime-minimum" and "overtime" in codes)


def a_cent_of_ontario(priced: PricedWeek) -> Decimal:
    """In Ontario the overtime line is a difference to what other lines hold, so it can hide the rounding of one."""
    return CENT if priced.rules_version.startswith("ca-ontario") and priced.hours.overtime else Decimal(0)


def guaranteed_in_ontario(priced: PricedWeek) -> bool:
    """A week in which a guarantee pays, spread over straight and overtime hours, whatever the pieces' own hours."""
    topped_up = any(floor.code == "guarantee" and floor.top_up for floor in priced.floors)
    return priced.rules_version.startswith("ca-ontario") and topped_up


@given(any_week.worker_weeks(by_agreement=False), any_week.piece_work())
def test_pay_never_falls_when_a_piece_is_added(any_one: WorkerWeek, more: PieceWork) -> None:
    before, after = price(any_one), price(replace(any_one, pieces=(*any_one.pieces, more)))
    if guaranteed_in_ontario(before):
        return  # the exception below
    assert after.gross >= before.gross - a_cent_of_ontario(before)


@given(any_week.worker_weeks(by_agreement=False), st.sampled_from(["1.01", "1.25", "3"]))
def test_pay_never_falls_when_the_price_list_is_raised(any_one: WorkerWeek, by: str) -> None:
    raised = tuple(replace(piece, rate=piece.rate * Decimal(by)) for piece in any_one.pieces)
    before, after = price(any_one), price(replace(any_one, pieces=raised))
    if guaranteed_in_ontario(before):
        return  # the exception below
    assert after.gross >= before.gross - a_cent_of_ontario(before)


@given(
    any_week.worker_weeks("us-federal", all_agreed=True, by_agreement=False),
    st.sampled_from(["piece", "waiting"]),
    any_week.FEW_HOURS,
)
def test_pay_never_falls_when_an_hour_is_added(any_one: WorkerWeek, kind: str, hours: Fraction) -> None:
    more = TimeWorked(MONDAY, kind, hours, Decimal("8.00") if kind == "waiting" else None)
    assert price(replace(any_one, hours=(*any_one.hours, more))).gross >= price(any_one).gross


@given(
    any_week.worker_weeks(all_agreed=True, by_agreement=False),
    st.sampled_from(["piece", "waiting"]),
    any_week.FEW_HOURS,
)
def test_an_hour_more_never_lowers_a_week_that_had_no_overtime(any_one: WorkerWeek, kind: str, hours: Fraction) -> None:
    # Where pay is an average over the hours (rests in California, overtime by the day) more hours lower it: the
    # exceptions below. Without either there is nothing to lower, in any rule set.
    calm = replace(any_one, hours=tuple(entry for entry in any_one.hours if entry.kind != "rest"), terms=Terms())
    rate = Decimal("31.333") if kind == "waiting" else None
    more = TimeWorked(MONDAY + timedelta(days=5), kind, hours, rate)
    before = price(calm)
    if before.hours.overtime or before.hours.double:
        return
    assert price(replace(calm, hours=(*calm.hours, more))).gross >= before.gross


@given(any_week.worker_weeks(by_agreement=False), st.integers(min_value=0, max_value=100))
def test_splitting_an_entry_changes_nothing(any_one: WorkerWeek, percent: int) -> None:
    share = Fraction(percent, 100)
    pieces = [
        part
        for piece in any_one.pieces
        for part in (
            replace(piece, quantity=piece.quantity * share),
            replace(piece, quantity=piece.quantity * (1 - share)),
        )
    ]
    hours = [
        part
        for entry in any_one.hours
        for part in (replace(entry, hours=entry.hours * share), replace(entry, hours=entry.hours * (1 - share)))
    ]
    assert price(replace(any_one, pieces=tuple(pieces), hours=tuple(hours))) == price(any_one)


@given(any_week.worker_weeks())
def test_the_order_of_entries_changes_no_amount(any_one: WorkerWeek) -> None:
    backwards = replace(any_one, pieces=any_one.pieces[::-1], hours=any_one.hours[::-1], bonuses=any_one.bonuses[::-1])
    there, back = price(any_one), price(backwards)
    assert there.gross == back.gross
    assert amounts(there) == amounts(back)
    assert there.regular_rate == back.regular_rate


@given(any_week.worker_weeks(all_agreed=True, by_agreement=False))
def test_a_week_without_overtime_is_pieces_and_other_time(any_one: WorkerWeek) -> None:
    # Where no floor and no bonus bites, nothing is added to what was earned; California's rests earn an average.
    hours = tuple(entry for entry in any_one.hours if entry.kind != "rest" or any_one.rules != "us-california")
    plain = replace(any_one, hours=hours, bonuses=(), terms=Terms())
    priced = price(plain)
    if priced.hours.overtime or any(not floor.met for floor in priced.floors):
        return
    assert {line.code for line in priced.lines} <= {"piece", *(entry.kind for entry in plain.hours)}
    earned = sum((piece.quantity * Fraction(piece.rate) for piece in plain.pieces), Fraction(0))
    waited = sum((entry.hours * Fraction(entry.rate or 0) for entry in plain.hours), Fraction(0))
    assert abs(Fraction(priced.gross) - earned - waited) <= Fraction(len(priced.lines), 200)


@given(any_week.worker_weeks("us-federal", all_agreed=True, by_agreement=False))
def test_with_all_limits_out_of_reach_it_is_plain_piece_work(any_one: WorkerWeek) -> None:
    out_of_reach = {"weekly_overtime_hours": Fraction(1000), "minimum_wage": Fraction(1, 10**9)}
    book = the_book()
    values = tuple(replace(value, value=out_of_reach.get(value.name, value.value)) for value in book.values)
    plain = replace(any_one, terms=Terms())
    priced = price(plain, ParameterBook(values, book.rules))
    earned = sum((piece.quantity * Fraction(piece.rate) for piece in plain.pieces), Fraction(0))
    waited = sum((entry.hours * Fraction(entry.rate or 0) for entry in plain.hours), Fraction(0))
    added = sum((Fraction(bonus.amount) for bonus in plain.bonuses), Fraction(0))
    assert abs(Fraction(priced.gross) - earned - waited - added) <= Fraction(len(priced.lines), 200)


@given(any_week.worker_weeks("us-california", all_agreed=True, by_agreement=False))
def test_in_california_too_it_is_plain_piece_work_with_all_limits_out_of_reach(any_one: WorkerWeek) -> None:
    # Without the seventh day worked, which has no limit of hours, and without rests, which earn an average.
    away = {"minimum_wage": Fraction(1, 10**9)}
    book = the_book()
    values = tuple(
        replace(value, value=away.get(value.name, Fraction(1000) if value.name in LIMITS else value.value))
        for value in book.values
    )
    last = MONDAY + timedelta(days=6)
    worked = tuple(entry for entry in any_one.hours if entry.kind != "rest" and entry.date != last)
    plain = replace(any_one, hours=worked, bonuses=(), terms=Terms())
    priced = price(plain, ParameterBook(values, book.rules))
    earned = sum((piece.quantity * Fraction(piece.rate) for piece in plain.pieces), Fraction(0))
    waited = sum((entry.hours * Fraction(entry.rate or 0) for entry in plain.hours), Fraction(0))
    assert abs(Fraction(priced.gross) - earned - waited) <= Fraction(len(priced.lines), 200)


@given(any_week.worker_weeks("us-federal", by_agreement=False))
def test_the_premium_is_half_of_the_regular_rate_and_the_rate_is_all_straight_pay(any_one: WorkerWeek) -> None:
    # The second path: from the printed lines alone, half their sum over the hours, within the rounding of the lines.
    priced = price(any_one)
    if not priced.hours.overtime:
        return
    gifts = sum((bonus.amount for bonus in any_one.bonuses if bonus.kind == "discretionary"), Decimal("0.00"))
    premium = amounts(priced)["overtime"]
    straight = Fraction(priced.gross - premium - gifts)
    again = straight / priced.hours.total / 2 * priced.hours.overtime
    assert abs(again - Fraction(premium)) <= Fraction(len(priced.lines) + 1, 200)


def test_exception_a_piece_hour_more_lowers_the_rate_of_time_without_an_agreed_one() -> None:
    # 300.00 in 20 h, 4 h waiting at the productive rate: 60.00. One more piece hour without a piece: 4 x 300 / 21.
    # The rule (29 CFR 778.318(b)) gives waiting the rate of the productive hours, which is then lower.
    assert price(week("300.00", 20, 4)).gross == Decimal("360.00")
    assert price(week("300.00", 21, 4)).gross == Decimal("357.14")


def daily(rules: str, earned: dict[int, int], *hours: int, rest: int = 0) -> WorkerWeek:
    """Piece hours day by day, earnings on the days named by number, and hours of rest on the third day."""
    entries = [TimeWorked(MONDAY + timedelta(days=day), "piece", Fraction(each)) for day, each in enumerate(hours)]
    pieces = [
        PieceWork(MONDAY + timedelta(days=day), "hang board", Fraction(sum_), "piece", Decimal(1))
        for day, sum_ in earned.items()
    ]
    entries.append(TimeWorked(MONDAY + timedelta(days=2), "rest", Fraction(rest)))
    return WorkerWeek(rules, MONDAY, "A. Example", "", tuple(pieces), tuple(entries))


def test_exception_an_hour_more_lowers_the_rate_of_californian_rests() -> None:
    # 1000.00 in 20 h with 1 h of rests more: 50.00. One more piece hour without a piece: 1000 / 21. Labor Code 226.2
    # (a)(3) gives rests the average of the week.
    assert price(daily("us-california", {0: 1000}, 8, 8, 4, rest=1)).gross == Decimal("1050.00")
    assert price(daily("us-california", {0: 1000}, 8, 8, 5, rest=1)).gross == Decimal("1047.62")


def test_exception_an_hour_on_a_short_day_lowers_the_rate_of_overtime_by_the_day() -> None:
    # 1000.00 in one day of 10 h: 2 h past 8 at half of 100.00. Eight hours more on another day, without a piece, and
    # the rate is 1000 / 18. It follows from dividing by all hours of the week (Labor Code 510(a) with the regular rate;
    # British Columbia's s. 1, regular wage (b)) while the limit is the day's.
    for rules in ("us-california", "ca-british-columbia"):
        assert price(daily(rules, {0: 1000}, 10)).gross == Decimal("1100.00")
        assert price(daily(rules, {0: 1000}, 10, 8)).gross == Decimal("1055.56")


def test_exception_an_hour_more_can_carry_ontarian_earnings_past_the_limit() -> None:
    # 880.00 on Thursday, 120.00 on Friday: 44 h end with Thursday, rate 20.00, 6 h earn 180.00. An hour more on Monday,
    # without a piece, and a part of Thursday lies past the limit: rate 800 / 44, 7 h owe 190.91, and the 200.00 earned
    # in them are more. It follows from dividing by the straight hours only (Employment Standards Act, 2000, s. 1(1)).
    assert price(daily("ca-ontario", {3: 880, 4: 120}, 11, 11, 11, 11, 6)).gross == Decimal("1060.00")
    assert price(daily("ca-ontario", {3: 880, 4: 120}, 12, 11, 11, 11, 6)).gross == Decimal("1000.00")


def test_exception_a_late_piece_can_take_an_ontarian_guarantee_out_of_the_straight_hours() -> None:
    # 5 x 10 h guaranteed 20.00: the top-up of 1000.00 lies evenly, rate 20.00, 6 h owe 60.00 more. With 100.00 made in
    # the last 6 h the top-up is 900.00, of which 108.00 lie past 44 h: they earned 208.00, over 6 x 27.00. Derived.
    agreed = replace(daily("ca-ontario", {}, 10, 10, 10, 10, 10), terms=Terms(hourly_guarantee=Decimal("20.00")))
    friday = MONDAY + timedelta(days=4)
    late = PieceWork(
        friday, "hang board", Fraction(100), "piece", Decimal(1), hours=Fraction(6), first_hour=Fraction(4)
    )
    assert price(agreed).gross == Decimal("1060.00")
    assert price(replace(agreed, pieces=(late,))).gross == Decimal("1000.00")


def test_exception_raising_the_rate_of_one_entry_splits_a_line_and_can_cost_its_rounding() -> None:
    # 2 x 0.004 is 0.01 as one line and twice 0.00 as two: a line is person x job x operation x rate, rounded once.
    def worth(second: str) -> Decimal:
        entries = [PieceWork(MONDAY, "pin", Fraction(1), "each", Decimal(rate)) for rate in ("0.004", second)]
        return price(WorkerWeek("us-federal", MONDAY, "A. Example", "", tuple(entries), ())).gross

    assert worth("0.004") == CENT
    assert worth("0.0041") == Decimal("0.00")


def test_exception_a_piece_of_unknown_hour_can_undo_overtime_on_the_piece_rate() -> None:
    # Here the overtime hours made the most: 1200 of 4800 sq ft in 5 of 45 h, 150.00 by agreement. One more piece on the
    # day that crosses the limit, its hour unknown, and overtime is by the regular rate: 66.68.
    hours = tuple(TimeWorked(MONDAY + timedelta(days=day), "piece", Fraction(9)) for day in range(5))
    pieces = [PieceWork(MONDAY, "hang board", Fraction(3600), "sq ft", Decimal("0.25"))]
    friday = MONDAY + timedelta(days=4)
    late = PieceWork(
        friday, "hang board", Fraction(1200), "sq ft", Decimal("0.25"), hours=Fraction(5), first_hour=Fraction(4)
    )
    agreed = WorkerWeek(
        "us-federal", MONDAY, "A. Example", "", (*pieces, late), hours, terms=Terms(overtime_on_piece_rate=True)
    )
    more = replace(late, quantity=Fraction(1), hours=None, first_hour=None)
    assert price(agreed).gross == Decimal("1350.00")  # 1200.00 and 1200 x 0.125
    assert price(replace(agreed, pieces=(*agreed.pieces, more))).gross == Decimal("1266.93")  # 1200.25 x (1 + 5/90)
