"""The worked examples of the federal rules come out to the cent.

Older examples are priced in a year whose minimum wage they met; the arithmetic is the same.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from payroll.law import TimeWorked, price
from tests.law.weeks import MONDAY, amounts, hourly, terms, week

IN_1981 = date(1981, 3, 2)
IN_2006 = date(2006, 3, 6)


def test_waiting_time_joins_the_regular_rate() -> None:
    # 29 CFR 778.111(a), worked example: 491.00 for 46 h, 4 h waiting at 8.00. Read in the official text.
    priced = price(week("491.00", 46, 4, "8.00"))
    assert amounts(priced) == {"piece": Decimal("491.00"), "waiting": Decimal("32.00"), "overtime": Decimal("52.30")}
    assert priced.regular_rate == Fraction("10.46")
    assert priced.gross == Decimal("575.30")


def test_waiting_time_joins_the_regular_rate_in_the_older_text() -> None:
    # 29 CFR 778.111(a) as of 1981: 245.50 for 46 h, 4 h at 5.00. Total 265.50 read in the official text, rate derived.
    priced = price(week("245.50", 46, 4, "5.00", start=IN_1981))
    assert priced.gross - amounts(priced)["overtime"] == Decimal("265.50")
    assert priced.regular_rate == Fraction("5.31")


def test_a_guarantee_pays_the_productive_hours() -> None:
    # 29 CFR 778.111(b): 11.00 guaranteed, 46 h, 491.00 earned -> 506.00 and 33.00. Read in a secondary source.
    priced = price(week("491.00", 46, terms=terms(hourly_guarantee="11.00")))
    assert amounts(priced) == {"piece": Decimal("491.00"), "guarantee": Decimal("15.00"), "overtime": Decimal("33.00")}
    assert priced.regular_rate == 11
    assert priced.gross == Decimal("539.00")


def test_a_guarantee_and_waiting_time_are_averaged() -> None:
    # 29 CFR 778.111(b), last sentence: waiting time at another rate makes the regular rate a weighted average.
    # Rule read in a secondary source, figures derived: (506 + 32) / 50 = 10.76; 10 h x 5.38 = 53.80.
    priced = price(week("491.00", 46, 4, "8.00", terms=terms(hourly_guarantee="11.00")))
    assert priced.regular_rate == Fraction("10.76")
    assert priced.gross == Decimal("591.80")


def test_a_guarantee_that_pays_the_week_pays_unrated_waiting_too() -> None:
    # 29 CFR 778.111(b) and 778.318(b): in such a week the guarantee is the productive rate. Our reading; derived:
    # 506.00 and 4 h x 11.00 in 50 h.
    priced = price(week("491.00", 46, 4, terms=terms(hourly_guarantee="11.00")))
    assert amounts(priced)["waiting"] == Decimal("44.00")
    assert (priced.regular_rate, priced.gross) == (11, Decimal("605.00"))


def test_a_guarantee_on_all_hours_that_pays_nothing_is_no_rate_of_unrated_time() -> None:
    # 29 CFR 778.111(b) and 778.318(b), our reading; derived: 100.00 in 5 h and 2 h at 45.00 are 190.00, above
    # 7 h x 21.00 = 147.00, so unrated travel earns the 20.00 of the pieces: 210.00, above 8 h x 21.00 = 168.00.
    promised = terms(hourly_guarantee="21.00", guarantee_hours="all")
    worked = week("100", 5, 2, "45.00", terms=promised)
    priced = price(replace(worked, hours=(*worked.hours, TimeWorked(MONDAY, "travel", Fraction(1)))))
    assert (amounts(priced)["travel"], priced.gross) == (Decimal("20.00"), Decimal("210.00"))
    travel = next(line for line in priced.lines if line.code == "travel")
    assert travel.because[0].working == "100.00 / 5 h = 20.00 an hour; 1 h x 20.00 = 20.00"
    # With 20.00 for the waiting it pays: 8 h x 21.00 = 168.00, of which travel earns 21.00.
    worked = week("100", 5, 2, "20.00", terms=promised)
    priced = price(replace(worked, hours=(*worked.hours, TimeWorked(MONDAY, "travel", Fraction(1)))))
    assert (amounts(priced)["travel"], amounts(priced)["guarantee"], priced.gross) == (
        Decimal("21.00"),
        Decimal("7.00"),
        Decimal("168.00"),
    )


def test_a_guarantee_is_the_rate_of_unrated_time_where_no_piece_hours_have_one() -> None:
    # Our reading; derived: 3 h x 21.00.
    priced = price(week(waiting=3, terms=terms(hourly_guarantee="21.00")))
    assert priced.gross == Decimal("63.00")
    (line,) = priced.lines
    assert line.because[0].working == (
        "the guaranteed 21.00 an hour, as the week has no piece hours; 3 h x 21.00 = 63.00"
    )


def test_a_piece_worker_of_45_hours() -> None:
    # US Department of Labor, Fact Sheet 23: 405.00 in 45 h. Read in a secondary source.
    priced = price(week("405.00", 45))
    assert (priced.regular_rate, amounts(priced)["overtime"], priced.gross) == (9, Decimal("22.50"), Decimal("427.50"))


def test_a_piece_worker_of_45_hours_in_the_older_sheet() -> None:
    # US Department of Labor, Fact Sheet 23, older edition: 315.00 in 45 h. Read in a secondary source.
    priced = price(week("315.00", 45, start=IN_2006))
    assert (priced.regular_rate, amounts(priced)["overtime"], priced.gross) == (7, Decimal("17.50"), Decimal("332.50"))


def test_time_paid_by_the_hour() -> None:
    # 29 CFR 778.110(a): 46 h at 12.00. Read in a secondary source.
    assert price(hourly(("travel", 46, "12.00"))).gross == Decimal("588.00")


def test_a_production_bonus_joins_the_regular_rate() -> None:
    # 29 CFR 778.110(b): 46 h at 12.00 and a bonus of 46.00. Read in a secondary source.
    priced = price(hourly(("travel", 46, "12.00"), bonuses=[("production", "46.00")]))
    assert (priced.regular_rate, priced.gross) == (13, Decimal("637.00"))


def test_a_production_bonus_joins_the_regular_rate_in_the_older_text() -> None:
    # 29 CFR 778.110(b) as of 1981: 46 h at 6.00 and a bonus of 9.20. Read in the official text.
    priced = price(hourly(("travel", 46, "6.00"), bonuses=[("production", "9.20")], start=IN_1981))
    assert (priced.regular_rate, priced.gross) == (Fraction("6.20"), Decimal("303.80"))


def test_two_rates_are_averaged_and_rounded_only_once() -> None:
    # 29 CFR 778.115: 16 h at 7.00 and 30 h at 8.00. Read in a secondary source, which rounds the rate to 7.65 first and
    # so comes to a premium of 22.95; exact, it is 352 / 46 / 2 x 6 = 22.9565 (derived).
    priced = price(hourly(("travel", 16, "7.00"), ("rework", 30, "8.00"), start=IN_2006))
    assert priced.regular_rate == Fraction(352, 46)
    assert amounts(priced)["overtime"] == Decimal("22.96")


def test_pieces_alone_over_50_hours() -> None:
    # 29 CFR 778.111: 1000.00 in 50 h. Read in a secondary source.
    priced = price(week("1000.00", 50))
    assert (priced.regular_rate, amounts(priced)["overtime"], priced.gross) == (
        20,
        Decimal("100.00"),
        Decimal("1100.00"),
    )


def test_pieces_agreed_to_cover_all_hours() -> None:
    # 29 CFR 778.318(c): 491.00 covers 46 + 4 h. Rule from memory, figures derived.
    priced = price(week("491.00", 46, 4, terms=terms(pieces_cover_all_hours=True)))
    assert priced.regular_rate == Fraction("9.82")
    assert amounts(priced)["overtime"] == Decimal("49.10")
    assert priced.gross == Decimal("540.10")


def test_other_time_without_an_agreed_rate_earns_the_productive_rate() -> None:
    # 29 CFR 778.318(b): 491.00 in 46 h, 4 h waiting without a rate. Rule from memory, figures derived.
    priced = price(week("491.00", 46, 4))
    assert priced.regular_rate == Fraction(491, 46)
    assert amounts(priced)["waiting"] == Decimal("42.70")
    assert priced.gross == Decimal("587.07")


def test_the_minimum_wage_is_topped_up_over_the_workweek() -> None:
    # 29 USC 206(a)(1): 250.00 in 40 h at 7.25. Derived.
    priced = price(week("250.00", 40))
    assert amounts(priced)["minimum-wage"] == Decimal("40.00")
    assert priced.gross == Decimal("290.00")


def test_a_top_up_joins_the_regular_rate_before_overtime() -> None:
    # 29 USC 206 and 207: 250.00 in 45 h at 7.25: 326.25, and 5 h x 3.625 = 18.125. Derived.
    priced = price(week("250.00", 45))
    assert priced.regular_rate == Fraction("7.25")
    assert amounts(priced) == {
        "piece": Decimal("250.00"),
        "minimum-wage": Decimal("76.25"),
        "overtime": Decimal("18.13"),
    }
    assert priced.gross == Decimal("344.38")
