"""British Columbia: overtime is reckoned by the wages of the pay period, so a second workweek looks back at the first.

Employment Standards Act, s. 1, regular wage (b): a piece worker's wages in a pay period over the hours of work in it;
s. 40: one and a half times the regular wage, and double, for overtime. Read in the official text; figures are derived.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given

from payroll.law import RULE_SETS, WeekBefore, WeekMistakes, WorkerWeek, cents, price, read_week
from tests.law import any_week
from tests.law.test_published_examples_canada import COLUMBIA, SUNDAY, days
from tests.law.weeks import told

SECOND = SUNDAY + timedelta(days=7)
FIRST = WeekBefore(Fraction(40), Fraction(0), Fraction(0), Fraction(2000), Decimal("0.00"))


def test_a_second_week_pays_what_the_period_comes_to_above_both():
    # 2000.00 / 40 h without overtime, then 1000.00 / 50 h with 10 h of it: 3000 / 90 / 2 x 10 = 166.67, less 100.00.
    priced = price(days(COLUMBIA, {0: "1000"}, 10, 10, 10, 10, 10, start=SECOND, week_before=FIRST))
    by_itself, over_both = (line for line in priced.lines if line.code == "overtime")
    assert (by_itself.amount, over_both.amount, priced.gross) == tuple(map(Decimal, ("100.00", "66.67", "1166.67")))
    assert priced.regular_rate == 20
    floor = next(floor for floor in priced.floors if floor.code == "overtime-period")
    assert (floor.required, floor.paid, floor.top_up) == tuple(map(Decimal, ("166.67", "100.00", "66.67")))
    (reason,) = over_both.because
    assert "s. 1, regular wage (b)" in reason.cite
    assert reason.working == (
        "(2000.00 + 1000.00) / 90 h = about 33.3333 an hour; 10 h x (1.5 - 1) = 5 h; 5 h x about 33.3333 = 166.67; "
        "premiums already paid 100.00; missing 66.67"
    )


def test_overtime_of_the_first_week_is_worth_more_after_a_better_second_one():
    # 900.00 over 13, 8 and 8 h: 4 h and 1 h double, 62.07 + 31.03 on top. Then 3000.00 in 40 h: 3900 / 69 = 56.5217,
    # of it 4 / 2 + 1 = 3 h are 169.57, so 76.47 are missing.
    first = price(days(COLUMBIA, {0: "900"}, 13, 8, 8, start=SUNDAY))
    assert told(first) == WeekBefore(Fraction(29), Fraction(4), Fraction(1), Fraction(900), Decimal("93.10"))
    second = price(days(COLUMBIA, {0: "3000"}, 8, 8, 8, 8, 8, start=SECOND, week_before=told(first)))
    assert second.hours.overtime == second.hours.double == 0
    assert second.gross == Decimal("3076.47")


def test_pieces_whose_hours_all_lay_in_the_first_week_raise_its_overtime():
    # 1000.00 / 50 h paid 100.00 for 10 h; 500.00 more in the period make it 1500 / 50 / 2 x 10 = 150.00.
    first = price(days(COLUMBIA, {0: "1000"}, 10, 10, 10, 10, 10, start=SUNDAY))
    assert price(days(COLUMBIA, {0: "500"}, start=SECOND, week_before=told(first))).gross == Decimal("550.00")


def test_nothing_is_taken_back_where_the_weeks_by_themselves_pay_more():
    # 2000.00 / 50 h paid 200.00 for 10 h; with 1000.00 / 40 h the period asks for 3000 / 90 / 2 x 10 = 166.67 only.
    first = price(days(COLUMBIA, {0: "2000"}, 10, 10, 10, 10, 10, start=SUNDAY))
    second = price(days(COLUMBIA, {0: "1000"}, 8, 8, 8, 8, 8, start=SECOND, week_before=told(first)))
    assert second.gross == Decimal("1000.00")
    assert next(floor for floor in second.floors if floor.code == "overtime-period").met


def test_without_overtime_in_either_week_nothing_is_asked():
    second = price(days(COLUMBIA, {0: "1000"}, 8, 8, start=SECOND, week_before=FIRST))
    assert second.gross == Decimal("1000.00")
    assert all(floor.code != "overtime-period" for floor in second.floors)


@given(any_week.worker_weeks(COLUMBIA), any_week.worker_weeks(COLUMBIA))
def test_both_weeks_pay_the_larger_of_the_period_and_the_weeks_by_themselves(one: WorkerWeek, two: WorkerWeek):
    before, alone = told(price(one)), told(price(two))
    both = price(replace(two, week_before=before))
    by_themselves = before.premiums + alone.premiums
    # s. 1 and 40: all wages over all hours; half of it for overtime, the whole of it for double hours.
    rate = (before.wages + alone.wages) / (before.hours + alone.hours)
    weighed = (before.overtime + alone.overtime) / 2 + before.double + alone.double
    assert before.premiums + told(both).premiums == max(by_themselves, cents(weighed * rate))
    assert both.gross - price(two).gross == max(cents(weighed * rate) - by_themselves, Decimal("0.00"))
    assert both.hours == price(two).hours and both.regular_rate == price(two).regular_rate


@pytest.mark.parametrize("rules", [name for name in RULE_SETS if name != COLUMBIA])
def test_other_rule_sets_refuse_a_week_before(rules: str):
    with pytest.raises(WeekMistakes, match=f"week_before: {rules} reckons overtime over one workweek"):
        price(days(rules, {0: "900"}, 8, week_before=FIRST))


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"hours": Fraction(0)}, "it has no hours"),
        ({"double": Fraction(-1)}, "less than none"),
        ({"overtime": Fraction(30), "double": Fraction(11)}, "41 h of overtime and double are more than its 40 h"),
        ({"wages": Fraction(-1)}, "wages or premiums are negative"),
        ({"premiums": Decimal("-0.01")}, "wages or premiums are negative"),
        ({"premiums": Decimal("0.001")}, "premiums 0.001 are finer than a cent"),
    ],
)
def test_figures_that_no_statement_has_are_refused(wrong: dict[str, Fraction | Decimal], says: str):
    with pytest.raises(WeekMistakes, match=says):
        price(days(COLUMBIA, {0: "900"}, 8, start=SECOND, week_before=replace(FIRST, **wrong)))


def test_a_week_file_names_it_and_says_what_is_missing():
    text = '{"format": "piecewall week 1", "rules": "ca-british-columbia", "week_start": "2026-03-08", '
    text += '"worker": {"name": "A"}, "pieces": [], "hours": [], "week_before": %s}'
    read = read_week(text % '{"hours": "37:30", "overtime": "2.5", "wages": "1200.50", "premiums": "40.02"}')
    assert read.week_before == WeekBefore(
        Fraction("37.5"), Fraction("2.5"), Fraction(0), Fraction("1200.50"), Decimal("40.02")
    )
    with pytest.raises(WeekMistakes, match="week_before: 'wages' is missing") as refused:
        read_week(text % '{"hours": "40", "gross": "1200"}')
    assert "week_before: unknown key 'gross'" in str(refused.value)
    with pytest.raises(WeekMistakes, match="week_before: is a list, not a table"):
        read_week(text % "[]")
