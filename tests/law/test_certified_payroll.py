"""The certified payroll of a prevailing job: every field of 29 CFR 5.5(a)(3), or a sentence on what is missing."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from payroll.law import PieceWork, PrevailingWork, TimeWorked, WorkerWeek, price
from payroll.law.certified import CertifiedMistakes, Covered, PayDeduction, certified_payroll
from payroll.law.rules.daily_hours import Limits, by_the_day, classify
from tests.law.weeks import MONDAY

LIMITS = Limits(Fraction(8), Fraction(12), Fraction(40), seventh_day=True)


def covered(
    *days: tuple[str, str],
    pieces: str = "1680.00",
    overtime: str = "8",
    name: str = "A. Example",
    rules: str = "us-federal",
    **more: Any,
) -> Covered:
    """A week of days as (job, hours) with all pieces on the library."""
    hours = tuple(
        TimeWorked(MONDAY + timedelta(days=day), "piece", Fraction(each), job=job)
        for day, (job, each) in enumerate(days)
    )
    on_job = sum((entry.hours for entry in hours if entry.job == "Library"), Fraction(0))
    part = PrevailingWork(
        "Library",
        more.pop("worker_class", "lather"),
        Decimal("31.20"),
        Decimal("7.30"),
        more.pop("hours", on_job),
        Decimal(pieces),
        overtime_hours=Fraction(overtime),
    )
    work = (PieceWork(MONDAY, "hang board", Fraction(pieces), "piece", Decimal(1), "Library"),)
    week = WorkerWeek(rules, MONDAY, name, "journeyman", work, hours, prevailing=(part,))
    priced = price(week if part.worker_class else replace(week, prevailing=()))
    return Covered(more.pop("number", "0412"), week, priced, **more)


SIX = covered(*[("Library", "8")] * 6)


def refused(*people: Covered) -> tuple[str, ...]:
    with pytest.raises(CertifiedMistakes) as found:
        certified_payroll("Example Interiors", "Library", people)
    return found.value.mistakes


def test_a_row_has_every_field_that_the_regulation_asks_for() -> None:
    # 29 CFR 5.5(a)(3)(i)(B) as amended 2023 (88 FR 57526), its list as quoted in a law firm's notice of November 2023:
    # name; number; classification of work actually performed; hourly rates with fringe; daily and weekly hours in total
    # and on each covered contract; deductions made; actual wages paid. Derived: 48 h, 1680.00 is 35.00 an hour; fringe
    # in cash 38.50 x 48 - 1680.00 = 168.00; premium 8 x 17.50 = 140.00.
    paid = replace(SIX, deductions=(PayDeduction("income tax", Decimal("188.00")),), net=Decimal("1800.00"))
    payroll = certified_payroll("Example Interiors", "Library", [paid])
    (row,) = payroll.rows
    assert (row.name, row.identifying_number, row.worker_class) == ("A. Example", "0412", "lather")
    assert [(day.straight, day.overtime) for day in row.days] == [(8, 0)] * 5 + [(0, 8), (0, 0)]
    assert row.hours == row.hours_in_all == 48
    assert row.days_in_all == (8, 8, 8, 8, 8, 8, 0)
    assert (row.basic, row.fringe, row.fringe_to_plan) == (Decimal("31.20"), Decimal("7.30"), Decimal("0"))
    assert (row.paid_an_hour, row.fringe_in_cash) == (35, Decimal("168.00"))
    assert row.earned_on_job == row.earned_in_all == Decimal("1988.00")
    assert row.deductions == (PayDeduction("income tax", Decimal("188.00")),)
    assert row.net == Decimal("1800.00")
    assert not any("A. Example" in left for left in payroll.to_complete)


def test_what_the_engine_cannot_know_is_left_to_the_office() -> None:
    payroll = certified_payroll("Example Interiors", "Library", [SIX])
    said = "\n".join(payroll.to_complete)
    for words in ("deductions made", "wages actually paid", "Who signs"):
        assert words in said


def test_the_statement_says_the_three_things_and_is_not_signed() -> None:
    # 29 CFR 5.5(a)(3)(ii)(C), read in contracts that print the clause: complete and correct; paid in full without
    # rebate or other deductions; no less than the determination for the class. In our own words.
    payroll = certified_payroll("Example Interiors", "Library", [SIX])
    text = "\n".join(payroll.statement)
    for words in (
        "Example Interiors",
        "2026-03-02 to 2026-03-08",
        "correct and complete",
        "whole wages earned",
        "29 CFR part 3",
        "class of work actually done",
        "in cash",
        "18 USC 1001",
        "Signed ____________",
    ):
        assert words in text
    assert [reason.cite for reason in payroll.because][1] == "29 CFR 5.5(a)(3)(ii)(C)"


def test_premiums_of_the_week_are_shared_by_the_jobs_overtime() -> None:
    # Derived: 20 h on the library in 2 days, then 28 h elsewhere; 8 h of overtime on the last day, elsewhere: the job
    # has none of the premium. 20 x 31.20 = 624.00 and 20 x 7.30 = 146.00.
    days = [("Library", "10"), ("Library", "10"), ("Mill", "10"), ("Mill", "10"), ("Mill", "8")]
    (row,) = certified_payroll("Example Interiors", "Library", [covered(*days, pieces="624.00", overtime="0")]).rows
    assert row.earned_on_job == Decimal("770.00")
    assert row.earned_in_all > row.earned_on_job
    assert (row.hours, row.hours_in_all) == (20, 48)


def test_one_day_of_several_jobs_takes_the_overtime_that_was_given() -> None:
    # Derived: 5 x 8 h, then 4 h there and 4 h elsewhere on the sixth day, all of it past 40: 4 h are the job's.
    days = [("Library", "8")] * 5
    person = covered(*days, ("Library", "4"), overtime="4")
    other = TimeWorked(MONDAY + timedelta(days=5), "piece", Fraction(4), job="Mill")
    week = replace(person.week, hours=(*person.week.hours, other))
    (row,) = certified_payroll("Example Interiors", "Library", [replace(person, week=week, priced=price(week))]).rows
    assert [(day.straight, day.overtime) for day in row.days[4:6]] == [(8, 0), (0, 4)]


def test_overtime_on_two_days_of_several_jobs_is_not_guessed() -> None:
    person = covered(*[("Library", "9")] * 5, ("Library", "4"), overtime="9")
    others = tuple(TimeWorked(MONDAY + timedelta(days=day), "piece", Fraction(3), job="Mill") for day in (4, 5))
    week = replace(person.week, hours=(*person.week.hours, *others))
    week = replace(week, prevailing=(replace(week.prevailing[0], overtime_hours=Fraction(10)),))
    (sentence,) = refused(replace(person, week=week, priced=price(week)))
    assert "2026-03-06 and 2026-03-07 had overtime and other jobs too" in sentence


def test_overtime_that_is_all_the_days_allow_lies_on_them() -> None:
    # Derived: as above, 15 h past 40, but 12 h of it on the library: all that Friday (8) and Saturday (4) can have.
    person = covered(*[("Library", "9")] * 5, ("Library", "4"), overtime="9")
    others = tuple(TimeWorked(MONDAY + timedelta(days=day), "piece", Fraction(3), job="Mill") for day in (4, 5))
    for overtime, days in (("12", [(1, 8), (0, 4)]), ("9", [(4, 5), (0, 4)])):
        week = replace(person.week, hours=(*person.week.hours, *others))
        week = replace(week, prevailing=(replace(week.prevailing[0], overtime_hours=Fraction(overtime)),))
        paid = replace(person, week=week, priced=price(week))
        (row,) = certified_payroll("Example Interiors", "Library", [paid]).rows
        assert [(day.straight, day.overtime) for day in row.days[4:6]] == days


def test_a_californian_week_has_its_overtime_on_its_days() -> None:
    # Labor Code 510(a): 10 h a day are 2 h past 8. Derived.
    person = covered(("Library", "10"), ("Library", "8"), pieces="700.00", overtime="2", rules="us-california")
    (row,) = certified_payroll("Example Interiors", "Library", [person]).rows
    assert [(day.straight, day.overtime, day.double) for day in row.days[:2]] == [(8, 2, 0), (8, 0, 0)]


@given(st.lists(st.integers(min_value=0, max_value=60).map(lambda number: Fraction(number, 4)), max_size=7))
def test_overtime_by_the_day_is_the_overtime_of_the_week(hours: list[Fraction]) -> None:
    by_day = {MONDAY + timedelta(days=day): each for day, each in enumerate(hours)}
    found, whole = by_the_day(by_day, MONDAY, LIMITS), classify(by_day, MONDAY, LIMITS)
    assert sum((overtime for overtime, _ in found.values()), Fraction(0)) == whole.overtime
    assert sum((double for _, double in found.values()), Fraction(0)) == whole.double
    assert all(0 <= overtime + double <= by_day[day] for day, (overtime, double) in found.items())


def test_a_missing_class_is_said() -> None:
    assert any(
        "A. Example: has no class on Library" in one
        for one in refused(covered(*[("Library", "8")] * 6, worker_class=""))
    )


def test_hours_that_are_not_logged_by_day_are_said() -> None:
    week = replace(SIX.week, hours=tuple(replace(entry, job="") for entry in SIX.week.hours))
    assert "the hours by day come to 0 h, but 48 h are covered" in refused(replace(SIX, week=week))[0]


@pytest.mark.parametrize(
    ("number", "says"), [(" ", "has no identifying number"), ("123-45-6789", "nine digits like a full social security")]
)
def test_an_identifying_number_that_may_not_stand_there_is_said(number: str, says: str) -> None:
    assert says in refused(replace(SIX, identifying_number=number))[0]


def test_two_people_with_one_number_are_said() -> None:
    other = covered(*[("Library", "8")] * 6, name="B. Example")
    assert sum("given to more than one person" in one for one in refused(SIX, other)) == 2


def test_a_net_pay_that_does_not_follow_is_said() -> None:
    wrong = replace(SIX, deductions=(), net=Decimal("1.00"))
    assert "less the deductions is 1988.00, but 1.00 were paid" in refused(wrong)[0]


def test_a_week_without_covered_work_is_said() -> None:
    assert "nobody worked on it that week" in refused()[0]
    away = replace(SIX, week=replace(SIX.week, prevailing=()))
    assert "has no prevailing work on Library" in refused(away)[0]


def test_rows_come_out_by_name() -> None:
    other = covered(*[("Library", "8")] * 6, name="Z. Example", number="0413")
    payroll = certified_payroll("Example Interiors", "Library", [other, SIX])
    assert [row.name for row in payroll.rows] == ["A. Example", "Z. Example"]
