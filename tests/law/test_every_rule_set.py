"""What holds in every rule set alike: its citations are there, an empty week is empty, deductions are refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from payroll.law import RULE_SETS, Deduction, Override, WeekMistakes, WorkerWeek, price
from tests.law.weeks import MONDAY, spread, terms, week

EVERY = sorted(RULE_SETS)


@pytest.mark.parametrize("rules", EVERY)
def test_a_week_of_everything_finds_every_citation(rules: str) -> None:
    # All kinds of time, all kinds of bonus, a guarantee, a local minimum, long days: each reason must have its rule.
    kinds = ("waiting", "travel", "meeting", "rework", "rest")
    times = [entry for number, kind in enumerate(kinds) for entry in spread(kind, 1, "31.00", first=number)]
    full = week(
        "400.00",
        60,
        bonuses=[("production", "10.00"), ("flat", "10.00"), ("discretionary", "10.00")],
        rules=rules,
        terms=terms(hourly_guarantee="25.00"),
        minimum_wage=Override(Decimal("24.00"), "invented ordinance"),
    )
    priced = price(replace(full, hours=(*full.hours, *times)))
    codes = {reason.code for line in priced.lines for reason in line.because}
    codes |= {reason.code for floor in priced.floors for reason in floor.because}
    assert {"bonus-included", "bonus-discretionary", "guarantee", "local-minimum", "rest-is-work"} <= codes
    assert any(line.code == "overtime" for line in priced.lines)


@pytest.mark.parametrize("rules", EVERY)
def test_an_empty_week_pays_nothing(rules: str) -> None:
    priced = price(WorkerWeek(rules, MONDAY, "A. Example", "", (), ()))
    assert priced.lines == ()
    assert priced.gross == Decimal("0.00")
    assert priced.regular_rate is None
    assert priced.hours.total == Fraction(0)


@pytest.mark.parametrize(
    ("rules", "cite"),
    # Bans and caps on back-charges: read in a secondary source.
    [
        ("us-federal", "29 CFR 531.35 to 531.37"),
        ("us-california", "California Labor Code 221, 224"),
        ("ca-ontario", r"Employment Standards Act, 2000 \(Ontario\), s\. 13\(5\)\(b\)"),
        ("ca-alberta", r"Employment Standards Code \(Alberta\), s\. 12\(3\)"),
        ("ca-british-columbia", r"Employment Standards Act \(British Columbia\), s\. 21"),
    ],
)
def test_a_deduction_for_spoiled_work_is_refused_with_its_citation(rules: str, cite: str) -> None:
    charged = week("900.00", 40, rules=rules, deductions=(Deduction(MONDAY, Decimal("25.00"), "spoiled board"),))
    with pytest.raises(WeekMistakes, match=cite):
        price(charged)


@pytest.mark.parametrize("rules", EVERY)
def test_a_week_before_the_first_parameter_is_refused(rules: str) -> None:
    with pytest.raises(WeekMistakes, match=f"is known for {rules} before"):
        price(week("900.00", 40, rules=rules, start=date(1970, 1, 5)))
