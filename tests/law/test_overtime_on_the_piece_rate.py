"""Overtime on the piece rate by agreement holds on all its conditions; else it gives way to the regular rate."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from payroll.law import Bonus, PieceWork, PricedWeek, Terms, TimeWorked, WorkerWeek, price
from tests.law.weeks import MONDAY, amounts

BY_AGREEMENT = Terms(overtime_on_piece_rate=True)


def board(day: int, quantity: int, rate: str = "0.25", hours: Any = None, first_hour: Any = None) -> PieceWork:
    at = MONDAY + timedelta(days=day)
    spent = None if hours is None else Fraction(hours)
    begun = None if first_hour is None else Fraction(first_hour)
    return PieceWork(at, "hang board", Fraction(quantity), "sq ft", Decimal(rate), hours=spent, first_hour=begun)


def hours(day: int, number: Any, kind: str = "piece", rate: str | None = None) -> TimeWorked:
    return TimeWorked(MONDAY + timedelta(days=day), kind, Fraction(number), None if rate is None else Decimal(rate))


def worked(pieces: list[PieceWork], times: list[TimeWorked], **more: Any) -> WorkerWeek:
    given = {"terms": BY_AGREEMENT, **more}
    return WorkerWeek("us-federal", MONDAY, "A. Example", "journeyman", tuple(pieces), tuple(times), **given)


FIVE_EIGHTS = [hours(day, 8) for day in range(5)]
FIVE_DAYS = [board(day, 800) for day in range(5)]


def refusal(priced: PricedWeek) -> str:
    found = [caution for caution in priced.cautions if caution.startswith("Overtime on the piece rate")]
    assert len(found) == 1
    return found[0]


def test_overtime_pieces_are_paid_at_one_and_a_half() -> None:
    # 29 CFR 778.418: 4000 sq ft at 0.25 in 40 h, 600 sq ft at 0.375 in 8 h. Rule read in the official text, figures
    # derived: 1000.00 + 225.00.
    priced = price(worked([*FIVE_DAYS, board(5, 600)], [*FIVE_EIGHTS, hours(5, 8)]))
    assert amounts(priced) == {"piece": Decimal("1150.00"), "overtime": Decimal("75.00")}
    assert priced.gross == Decimal("1225.00")
    assert priced.hours.overtime == 8
    assert priced.regular_rate is None


def test_the_default_method_is_another_way_to_the_same_week() -> None:
    # 29 CFR 778.111 on the same week, the second path: 1150 / 48 / 2 x 8 = 95.83. Derived.
    priced = price(worked([*FIVE_DAYS, board(5, 600)], [*FIVE_EIGHTS, hours(5, 8)], terms=Terms()))
    assert priced.gross == Decimal("1245.83")


def test_both_methods_agree_when_every_hour_makes_as_much() -> None:
    # 778.418 and 778.111 must meet where output is even: 100 sq ft in each of 48 h. Derived: 25.00 an hour, 8 x 12.50.
    even = [board(day, 800) for day in range(6)]
    times = [*FIVE_EIGHTS, hours(5, 8)]
    assert price(worked(even, times)).gross == price(worked(even, times, terms=Terms())).gross == Decimal("1300.00")


def test_the_day_that_crosses_the_limit_is_cut_by_the_hour() -> None:
    # 4 x 9 h, then 8 h: the limit lies 4 h into Friday. Derived: 300 sq ft x 0.125 = 37.50 on top.
    times = [*(hours(day, 9) for day in range(4)), hours(4, 8)]
    pieces = [
        *(board(day, 900) for day in range(4)),
        board(4, 400, hours=4, first_hour=0),
        board(4, 300, hours=4, first_hour=4),
    ]
    assert amounts(price(worked(pieces, times)))["overtime"] == Decimal("37.50")


def test_hourly_time_in_overtime_hours_is_paid_at_one_and_a_half_of_its_rate() -> None:
    # 29 CFR 778.420, from memory: 2 h of meeting at 16.00 on the overtime day. Derived: 75.00 and 2 x 8.00.
    times = [*FIVE_EIGHTS, hours(5, 8), hours(5, 2, "meeting", "16.00")]
    assert amounts(price(worked([*FIVE_DAYS, board(5, 600)], times)))["overtime"] == Decimal("91.00")


def test_overtime_on_a_bonus_is_paid_besides() -> None:
    # 29 CFR 778.417(b): extra overtime on other pay. Read in the official text; derived: 48 / 48 h / 2 x 8 h = 4.00.
    bonus = Bonus(MONDAY, Decimal("48.00"), "production", "units over the norm")
    priced = price(worked([*FIVE_DAYS, board(5, 600)], [*FIVE_EIGHTS, hours(5, 8)], bonuses=(bonus,)))
    assert amounts(priced)["overtime"] == Decimal("79.00")


@pytest.mark.parametrize(
    ("what", "pieces", "times", "says"),
    [
        (
            "another rate in overtime is not bona fide",
            [*FIVE_DAYS, board(5, 600, rate="0.20")],
            [*FIVE_EIGHTS, hours(5, 8)],
            "no bona fide rate",
        ),
        (
            "an operation of overtime hours only shows no usual rate",
            [*FIVE_DAYS, replace(board(5, 600), operation="tape joints")],
            [*FIVE_EIGHTS, hours(5, 8)],
            "overtime hours only",
        ),
        (
            "pieces of the crossing day need their hours",
            [board(day, 900) for day in range(5)],
            [hours(day, 9) for day in range(5)],
            "give their hours and first_hour",
        ),
        (
            "pieces on both sides of the limit must be two entries",
            [*(board(day, 900) for day in range(4)), board(4, 900, hours=9, first_hour=0)],
            [hours(day, 9) for day in range(5)],
            "both sides of the weekly limit, 4 h into the day",
        ),
        (
            "fewer hours so paid than lie past the limit",
            [
                *(board(day, 900) for day in range(4)),
                board(4, 400, hours=4, first_hour=0),
                board(4, 90, hours=2, first_hour=4),
            ],
            [hours(day, 9) for day in range(5)],
            "only 2 h of 5 h",
        ),
        (
            "hours of pieces made at the same time count once",
            [
                *(board(day, 900) for day in range(4)),
                board(4, 400, hours=4, first_hour=0),
                board(4, 90, hours=3, first_hour=4),
                board(4, 90, hours=2, first_hour=5),
            ],
            [hours(day, 9) for day in range(5)],
            "only 3 h of 5 h",
        ),
        (
            "a whole overtime day without pieces",
            FIVE_DAYS,
            [*FIVE_EIGHTS, hours(5, 8)],
            "shows no pieces",
        ),
        (
            "time in overtime hours without a rate of its own",
            [*FIVE_DAYS, board(5, 600)],
            [*FIVE_EIGHTS, hours(5, 7), hours(5, 1, "waiting")],
            "without an agreed rate of their own",
        ),
        (
            "overtime pay below one and a half times the minimum wage",
            [*FIVE_DAYS, board(5, 100)],
            [*FIVE_EIGHTS, hours(5, 8)],
            "overtime pay of 37.50 is less than one and a half times the minimum wage for 8 h, 87.00",
        ),
        (
            "straight hours below the minimum wage, carried by overtime pieces",
            [board(0, 1100), board(5, 1000)],
            [*FIVE_EIGHTS, hours(5, 8)],
            "yield 6.875 an hour, less than the minimum wage of 7.25",
        ),
    ],
    ids=lambda value: value if isinstance(value, str) and " " in value else "",
)
def test_a_condition_that_fails_falls_back_and_says_so(
    what: str, pieces: list[PieceWork], times: list[TimeWorked], says: str
) -> None:
    # 29 CFR 778.418(a)(1)-(4), (b) and 778.417(a), read in the official text: without them 778.111 holds.
    by_agreement, by_default = price(worked(pieces, times)), price(worked(pieces, times, terms=Terms()))
    assert says in refusal(by_agreement), what
    assert by_agreement.lines == by_default.lines
    assert by_agreement.regular_rate == by_default.regular_rate


def test_overtime_pieces_may_not_carry_covered_hours_below_the_minimum_wage() -> None:
    # 29 CFR 778.417(a), read in the official text. Derived: 30 h earn 225.00 in pieces that cover 10 h of waiting too;
    # 225 / 40 = 5.625, although the whole week averages 425 / 48.
    times = [*(hours(day, 6) for day in range(5)), *(hours(day, 2, "waiting") for day in range(5)), hours(5, 8)]
    agreed = Terms(overtime_on_piece_rate=True, pieces_cover_all_hours=True)
    priced = price(worked([board(0, 900), board(5, 800)], times, terms=agreed))
    assert "the straight hours alone average 5.625 an hour" in refusal(priced)
    assert "minimum-wage" not in amounts(priced)


def test_a_week_without_overtime_does_not_ask() -> None:
    # Derived: nothing to pay, nothing to refuse.
    priced = price(worked(FIVE_DAYS, FIVE_EIGHTS))
    assert priced.gross == Decimal("1000.00")
    assert not [caution for caution in priced.cautions if "piece rate" in caution]


def test_a_topped_up_week_is_not_carried_by_its_piece_rate() -> None:
    # 29 CFR 778.418(b): a bona fide rate yields the minimum wage. Read in the official text.
    priced = price(worked([board(0, 400), board(5, 400)], [*FIVE_EIGHTS, hours(5, 8)]))
    assert "topped up" in refusal(priced)
    assert amounts(priced)["minimum-wage"] > 0


def test_the_day_of_a_piece_decides_not_its_place_in_the_file() -> None:
    # Derived: entries may come in any order.
    forwards = worked([*FIVE_DAYS, board(5, 600)], [*FIVE_EIGHTS, hours(5, 8)])
    backwards = worked([board(5, 600), *FIVE_DAYS], [hours(5, 8), *FIVE_EIGHTS])
    assert price(forwards).gross == price(backwards).gross
