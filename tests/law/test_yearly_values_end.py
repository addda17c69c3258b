"""A minimum wage that the law sets anew each year ends on that day: it is never carried on in silence.

California Labor Code 1182.12(c) moves on 1 January, Ontario's ESA s. 23.1 on 1 October, British Columbia's Employment
Standards Act on 1 June; read in the state's and in news of the provinces' announcements. Figures of years to come are
invented, sums derived.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from payroll.law import (
    Override,
    ParameterMissing,
    ParameterMistakes,
    PieceWork,
    TimeWorked,
    WeekMistakes,
    WorkerWeek,
    listing,
    price,
    the_book,
)
from payroll.law.parameter_book import ParameterBook, read_book


def worked_from(monday: date, rules: str, *local: Override) -> WorkerWeek:
    """40 h on pieces that earn 400.00 in the week of a Monday."""
    hours = tuple(TimeWorked(monday.replace(day=monday.day + day), "piece", Fraction(8)) for day in range(5))
    pieces = (PieceWork(monday, "hang board", Fraction(1000), "sq ft", Decimal("0.40")),)
    return WorkerWeek(rules, monday, "A. Example", "", pieces, hours, local_minimums=local)


@pytest.mark.parametrize(
    ("place", "last_day", "first_day"),
    [
        ("us-california", date(2026, 12, 31), date(2027, 1, 1)),
        ("ca-ontario", date(2027, 9, 30), date(2027, 10, 1)),
        ("ca-british-columbia", date(2027, 5, 31), date(2027, 6, 1)),
    ],
)
def test_the_last_one_known_holds_up_to_the_day_of_the_next(place: str, last_day: date, first_day: date) -> None:
    book = the_book()
    last = book.at(place, "minimum_wage", last_day)
    with pytest.raises(ParameterMissing, match=f"set anew on .* that of {first_day} is not known here") as missing:
        book.at(place, "minimum_wage", first_day)
    assert f"the last is {last.text} from {last.starts}" in str(missing.value)
    gaps = {(gap.kind, gap.about) for gap in listing(book, place)[0].gaps}
    assert ("missing from", f"minimum wage from {first_day}") in gaps


def test_years_without_a_change_between_two_known_ones_are_no_gap() -> None:
    # Ontario kept 14.00 from 2018-01-01 to 2020-09-30.
    assert the_book().at("ca-ontario", "minimum_wage", date(2020, 9, 30)).text == "14.00"


def test_a_place_that_names_no_day_of_the_year_keeps_its_value() -> None:
    assert the_book().at("us-federal", "minimum_wage", date(2031, 1, 1)).text == "7.25"


def test_a_week_from_that_day_on_is_refused_and_says_what_to_do() -> None:
    with pytest.raises(WeekMistakes, match=r"that of 2027-01-01 is not known here.* or record it as a local minimum"):
        price(worked_from(date(2027, 1, 4), "us-california"))


def test_the_new_one_recorded_by_the_office_is_tested() -> None:
    # 40 h x 17.25 - 400.00 = 290.00.
    told = Override(Decimal("17.25"), "an invented order", None, date(2027, 1, 1))
    assert price(worked_from(date(2027, 1, 4), "us-california", told)).gross == Decimal("690.00")


def test_an_ordinance_from_before_that_day_does_not_tell_the_new_one() -> None:
    older = Override(Decimal("17.87"), "an invented ordinance", None, date(2026, 7, 1))
    with pytest.raises(WeekMistakes, match="that of 2027-01-01 is not known here"):
        price(worked_from(date(2027, 1, 4), "us-california", older))


def test_the_next_one_added_to_the_book_ends_the_gap() -> None:
    book = the_book()
    known = book.at("us-california", "minimum_wage", date(2026, 11, 25))
    added = replace(known, text="17.25", value=Fraction("17.25"), starts=date(2027, 1, 1))
    more = ParameterBook((*book.values, added), book.rules)
    assert more.at("us-california", "minimum_wage", date(2027, 12, 31)).text == "17.25"
    with pytest.raises(ParameterMissing, match="that of 2028-01-01"):
        more.at("us-california", "minimum_wage", date(2028, 1, 1))


def test_a_value_looked_up_more_than_a_year_before_the_week_is_a_caution() -> None:
    words = "was last looked up on 2026-11-25, more than a year before this week"
    assert not any(words in one for one in price(worked_from(date(2027, 11, 8), "us-federal")).cautions)
    assert any(words in one for one in price(worked_from(date(2027, 12, 6), "us-federal")).cautions)


def test_a_day_of_the_year_that_is_none_is_refused(tmp_path: Path) -> None:
    (tmp_path / "somewhere").mkdir()
    (tmp_path / "somewhere" / "pay.yaml").write_text(
        "minimum_wage:\n  rule: The least.\n  unit: USD/hour\n  yearly: '13-01'\n  values:\n"
        "    - {from: 2020-01-01, value: '10', status: enacted, cite: A law, checked: {on: 2026-11-25, how: memory}}\n"
    )
    with pytest.raises(ParameterMistakes, match="yearly '13-01' is no day of every year"):
        read_book(tmp_path)
