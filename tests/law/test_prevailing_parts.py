"""The covered part of a logged week: hours, pay and overtime of each prevailing job. Sums derived by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from payroll.law import PieceWork, TimeWorked, WorkerWeek, price, the_book
from payroll.law.prevailing_parts import ClassRates, prevailing_parts
from tests.law.weeks import MONDAY

LATHER = ClassRates("lather", Decimal("31.20"), Decimal("7.30"))
HANGER = ClassRates("drywall hanger", Decimal("29.00"), Decimal("6.00"), Decimal("2.00"))
JOBS = ("Library", "Mill", "Shop")


def worked(*hours: tuple[int, str, str], rules: str = "us-federal", pieces: str = "900") -> WorkerWeek:
    """A week of (day, job, hours) with pieces on the library."""
    return WorkerWeek(
        rules,
        MONDAY,
        "A. Example",
        "journeyman",
        (PieceWork(MONDAY, "hang board", Fraction(pieces), "sq ft", Decimal("0.40"), "Library"),),
        tuple(TimeWorked(MONDAY + timedelta(days=day), "piece", Fraction(each), job=job) for day, job, each in hours),
    )


def test_a_week_on_the_job_alone_is_all_covered() -> None:
    (part,) = prevailing_parts(worked(*[(day, "Library", "8") for day in range(6)]), {"Library": LATHER}, the_book())
    assert (part.worker_class, part.basic, part.fringe, part.fringe_to_plan) == (
        "lather",
        Decimal("31.20"),
        Decimal("7.30"),
        0,
    )
    assert (part.hours, part.overtime_hours, part.pieces) == (48, 8, Decimal("360.00"))


def test_other_jobs_and_meals_are_not_covered() -> None:
    week = worked((0, "Library", "8"), (1, "Shop", "8"))
    week = replace(week, hours=(*week.hours, TimeWorked(MONDAY, "meal", Fraction(1, 2), job="Library")))
    (part,) = prevailing_parts(week, {"Library": LATHER, "Mill": HANGER}, the_book())
    assert (part.job, part.hours) == ("Library", 8)


def test_overtime_of_a_mixed_day_is_counted_on_the_dearest_prevailing_job_first() -> None:
    # 40 h by Friday; Saturday 3 h library, 2 h mill, 4 h shop, all 9 h past 40: 3 and 2 are on prevailing jobs.
    days = [(day, "Shop", "8") for day in range(5)]
    week = worked(*days, (5, "Library", "3"), (5, "Mill", "2"), (5, "Shop", "4"))
    library, mill = prevailing_parts(week, {"Library": LATHER, "Mill": HANGER}, the_book())
    assert (library.overtime_hours, mill.overtime_hours) == (3, 2)
    # Friday 10 h, 6 library and 4 shop, 2 h past 40: both on the library.
    week = worked(*[(day, "Shop", "8") for day in range(4)], (4, "Library", "6"), (4, "Shop", "4"))
    (library,) = prevailing_parts(week, {"Library": LATHER}, the_book())
    assert library.overtime_hours == 2


def test_california_counts_its_daily_overtime() -> None:
    # Labor Code 510(a): 13 h in a day are 4 h of overtime and 1 h of double time.
    (part,) = prevailing_parts(worked((0, "Library", "13"), rules="us-california"), {"Library": LATHER}, the_book())
    assert part.overtime_hours == 5


@given(
    st.lists(
        st.tuples(st.integers(0, 6), st.sampled_from(JOBS), st.integers(0, 16).map(lambda n: str(Fraction(n, 2)))),
        max_size=14,
        unique_by=lambda one: one[:2],
    ),
    st.sampled_from(("us-federal", "us-california")),
)
def test_what_is_found_is_accepted_and_meets_the_determination(hours: list[tuple[int, str, str]], rules: str) -> None:
    day_sums = [sum(Fraction(each) for day, _, each in hours if day == wanted) for wanted in range(7)]
    library = sum(Fraction(each) for _, job, each in hours if job == "Library")
    if not library or max(day_sums) > 24:
        return
    week = worked(*hours, rules=rules)
    book = the_book()
    parts = prevailing_parts(week, {"Library": LATHER, "Mill": HANGER}, book)
    parts = tuple(part for part in parts if part.hours)
    priced = price(replace(week, prevailing=parts))
    for part in parts:
        paid = part.pieces + sum(line.amount for line in priced.lines if line.job == part.job and line.code != "piece")
        owed = (Fraction(part.basic) + max(Fraction(part.fringe) - Fraction(part.fringe_to_plan), 0)) * part.hours
        # Basic and fringe are rounded once each, so a cent may be missing from the sum of both.
        assert paid + Decimal("0.01") >= owed
