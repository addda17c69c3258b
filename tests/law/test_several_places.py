"""A workweek over several jobs, rule sets and minimum wages: priced by the stated rule, or refused with what to do."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from payroll.law import (
    Bonus,
    MissedBreak,
    Override,
    PieceWork,
    PrevailingWork,
    TimeWorked,
    WeekMistakes,
    WorkerWeek,
    parts_of,
    price,
    price_places,
)
from tests.law.weeks import MONDAY, amounts

PLACES = {"Depot": "us-federal", "Pier": "us-california", "Quay": "ca-ontario", "Mill": "ca-alberta"}


def work(rules: str, *days: tuple[int, str, str, str], start: date = MONDAY) -> WorkerWeek:
    """Days as (number, job, piece hours, earned)."""
    return WorkerWeek(
        rules=rules,
        week_start=start,
        worker_name="A. Example",
        worker_class="journeyman",
        pieces=tuple(
            PieceWork(start + timedelta(days=day), "hang board", Fraction(earned), "piece", Decimal(1), job)
            for day, job, _, earned in days
        ),
        hours=tuple(
            TimeWorked(start + timedelta(days=day), "piece", Fraction(hours), job=job) for day, job, hours, _ in days
        ),
    )


TWO_STATES = work(
    "us-federal",
    *((day, "Depot", "10", "200") for day in range(3)),
    *((day, "Pier", "10", "200") for day in range(3, 5)),
)


def test_several_jobs_of_one_rule_set_are_one_week() -> None:
    # 29 CFR 778.115, read in the official text: all hours and earnings of all jobs. Derived: 1000 / 50 = 20, 10 x 10.
    one = work("us-federal", *((day, job, "10", "200") for day, job in enumerate("ABABA")))
    priced = price(one)
    assert priced.regular_rate == 20
    assert priced.gross == Decimal("1100.00")
    assert [line.job for line in priced.lines if line.code == "piece"] == ["A", "B"]
    (only,) = parts_of(one, {"A": "us-federal", "B": "us-federal"})
    assert price_places([only]).gross == priced.gross


def test_federal_overtime_over_two_states_is_made_up_and_state_premiums_are_credited() -> None:
    # Derived: 30 h federal and 2 x 10 h Californian, 1000.00. Alone: no federal overtime, 4 h Californian at half of
    # 20.00: 40.00. Together 50 h: 10 h x 10.00 = 100.00 owed, 40.00 credited, 60.00 missing.
    parts = parts_of(TWO_STATES, PLACES)
    assert [part.rules for part in parts] == ["us-california", "us-federal"]
    priced = price_places(parts)
    assert [part.gross for part in priced.parts] == [Decimal("440.00"), Decimal("600.00")]
    (line,) = priced.together
    assert (line.code, line.amount) == ("overtime", Decimal("60.00"))
    assert "premiums already paid 40.00" in line.because[0].working
    assert priced.gross == Decimal("1100.00")
    assert any("each place's law priced the work done in it" in caution for caution in priced.cautions)


def test_two_states_are_never_paid_less_than_the_federal_week_alone() -> None:
    # The second path: the same hours and pieces under federal law alone.
    assert price_places(parts_of(TWO_STATES, PLACES)).gross >= price(replace(TWO_STATES, rules="us-federal")).gross


def test_state_premiums_above_the_federal_ones_stay() -> None:
    # Derived: 14 h in California (4 at half, 2 more at the whole rate of 20.00) and 24 h elsewhere: 38 h in all.
    week = work("us-federal", (0, "Pier", "14", "280"), *((day, "Depot", "8", "160") for day in (1, 2, 3)))
    priced = price_places(parts_of(week, PLACES))
    assert priced.together == ()
    assert priced.gross == Decimal("280.00") + 480 + 40 + 40


def test_two_provinces_within_every_limit_are_priced_apart() -> None:
    # Derived: 16 h in Ontario and 16 h in Alberta reach neither 44 nor 8 h a day.
    week = work("ca-ontario", *((day, "Quay" if day < 2 else "Mill", "8", "200") for day in range(4)))
    priced = price_places(parts_of(week, PLACES))
    assert priced.gross == Decimal("800.00")
    assert {part.rules_version.split()[0] for part in priced.parts} == {"ca-ontario", "ca-alberta"}


def test_two_provinces_past_a_limit_are_refused_with_what_to_do() -> None:
    week = work("ca-ontario", *((day, "Quay" if day < 3 else "Mill", "8", "200") for day in range(6)))
    with pytest.raises(
        WeekMistakes, match=r"48 h in all places, past its 44 h.*price the week under that rule set alone"
    ):
        price_places(parts_of(week, PLACES))


def test_a_day_in_two_places_past_a_daily_limit_is_refused() -> None:
    week = work("us-federal", (0, "Depot", "5", "100"), (0, "Pier", "5", "100"))
    with pytest.raises(
        WeekMistakes, match="2026-03-02 was worked in more than one place, 10 h in all, past its 8 h a day"
    ):
        price_places(parts_of(week, PLACES))
    short = work("us-federal", (0, "Depot", "4", "100"), (0, "Pier", "4", "100"))
    assert price_places(parts_of(short, PLACES)).gross == Decimal("200.00")


def test_a_seventh_day_in_california_after_days_elsewhere_is_refused() -> None:
    week = work("us-federal", *((day, "Depot" if day < 6 else "Pier", "5", "100") for day in range(7)))
    with pytest.raises(WeekMistakes, match="all seven days were worked, the last in California"):
        price_places(parts_of(week, PLACES))


def test_two_currencies_are_refused() -> None:
    week = work("us-federal", (0, "Depot", "8", "200"), (1, "Quay", "8", "200"))
    with pytest.raises(WeekMistakes, match="different money"):
        price_places(parts_of(week, PLACES))


def test_more_than_a_day_over_two_places_is_refused() -> None:
    week = work("us-federal", (0, "Depot", "13", "200"), (0, "Pier", "12", "200"))
    with pytest.raises(WeekMistakes, match="25 h are more than that day's 24 h"):
        price_places(parts_of(week, PLACES))


def test_prevailing_work_in_a_week_of_two_states_past_forty_hours_is_refused() -> None:
    part = PrevailingWork("Depot", "lather", Decimal("15.00"), Decimal("2.00"), Fraction(30), Decimal("600.00"))
    with pytest.raises(WeekMistakes, match="which of its overtime fell on the prevailing job is not known"):
        price_places(parts_of(replace(TWO_STATES, prevailing=(part,)), PLACES))


def test_what_belongs_to_no_place_is_refused_in_a_week_of_several() -> None:
    loose = replace(
        TWO_STATES,
        bonuses=(Bonus(MONDAY, Decimal("50.00"), "flat", "invented"),),
        minimum_wage=Override(Decimal("20.00"), "invented"),
    )
    with pytest.raises(WeekMistakes) as refused:
        parts_of(loose, PLACES)
    assert len(refused.value.mistakes) == 2
    both = work("us-federal", (0, "Depot", "4", "100"), (0, "Pier", "4", "100"))
    with pytest.raises(WeekMistakes, match="that day was worked in more than one place"):
        parts_of(replace(both, missed_breaks=(MissedBreak(MONDAY, "meal"),)), PLACES)
    with pytest.raises(WeekMistakes, match="job 'Attic' has no rule set"):
        parts_of(work("us-federal", (0, "Attic", "4", "100")), PLACES)


def test_parts_of_two_people_or_one_rule_set_are_refused() -> None:
    part = work("us-federal", (0, "Depot", "8", "200"))
    other = replace(work("us-california", (1, "Pier", "8", "200")), worker_name="B. Example")
    with pytest.raises(WeekMistakes, match="not of one worker and one workweek"):
        price_places([part, other])
    with pytest.raises(WeekMistakes, match="two are under the same rule set"):
        price_places([part, part])
    with pytest.raises(WeekMistakes, match="there are none"):
        price_places([])


def test_a_mistake_of_a_part_names_its_rule_set() -> None:
    bad = work("us-federal", (0, "Depot", "8", "200"), (1, "Pier", "25", "200"))
    with pytest.raises(WeekMistakes, match=r"us-california: hours on 2026-03-03: 25 h"):
        price_places(parts_of(bad, PLACES))


@pytest.mark.parametrize(
    ("rules", "start", "before", "after"),
    # Each place's change of the minimum wage within a workweek: 8 h before and 8 h after it, nothing earned. Figures
    # read in secondary sources; the sums are derived.
    [
        ("us-california", date(2025, 12, 28), date(2025, 12, 31), date(2026, 1, 1)),  # 8 x 16.50 + 8 x 16.90
        ("ca-ontario", date(2026, 9, 27), date(2026, 9, 30), date(2026, 10, 1)),  # 8 x 17.60 + 8 x 17.95
        ("ca-british-columbia", date(2026, 5, 31), date(2026, 5, 31), date(2026, 6, 1)),  # 8 x 17.85 + 8 x 18.25
    ],
)
def test_a_week_across_a_change_of_the_minimum_holds_each_day_at_its_own(
    rules: str, start: date, before: date, after: date
) -> None:
    hours = tuple(TimeWorked(day, "piece", Fraction(8)) for day in (before, after))
    expected = {"us-california": "267.20", "ca-ontario": "284.40", "ca-british-columbia": "288.80"}[rules]
    priced = price(WorkerWeek(rules, start, "A. Example", "", (), hours))
    assert amounts(priced) == {"minimum-wage": Decimal(expected)}
    assert len(priced.floors[0].because[0].parameters) == 2
