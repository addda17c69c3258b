"""A number of the law never travels without its ground, and there is none before its first day."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

import payroll.law
from payroll.law import NAMED, RULE_SETS, ParameterMissing, ParameterMistakes, the_book
from payroll.law.parameter_book import STATUSES, read_book
from payroll.law.pay_days import FINAL_PAY_DAYS

PAY_DAYS = {"pay_day_latest", *FINAL_PAY_DAYS.values()}
GOOD = '{from: 2020-01-01, value: "10", status: enacted, cite: "a law", checked: {on: 2026-01-01, how: memory}}'


def book_of(folder: Path, values: str, name: str = "minimum_wage") -> None:
    place = folder / "somewhere"
    place.mkdir()
    (place / "wages.yaml").write_text(f"{name}:\n  rule: A rule.\n  unit: USD/hour\n  values:\n    - {values}\n")


@pytest.mark.parametrize(
    ("values", "says"),
    [
        (GOOD.replace('cite: "a law", ', ""), "'cite' is None"),
        (GOOD.replace("from: 2020-01-01, ", ""), "'from' is None"),
        (GOOD.replace("status: enacted, ", ""), "'status' is None"),
        (GOOD.replace(", checked: {on: 2026-01-01, how: memory}", ""), "'checked' is None"),
        (GOOD.replace("how: memory", "how: hearsay"), "how 'hearsay' is not one of"),
        (GOOD.replace("on: 2026-01-01, ", ""), "'on' is None"),
        (GOOD.replace("enacted", "likely"), "status 'likely' is not one of"),
        (GOOD.replace('"10"', "10.0"), "'value' is 10.0"),
        (GOOD.replace('"10"', '"ten"'), "'ten' is no number"),
        (GOOD.replace("cite:", "note: x, cite:"), "'note' is not a key"),
        (f"{GOOD}\n    - {GOOD}", "two enacted values from 2020-01-01"),
    ],
)
def test_a_value_without_its_ground_is_refused(tmp_path: Path, values: str, says: str) -> None:
    book_of(tmp_path, values)
    with pytest.raises(ParameterMistakes) as refused:
        read_book(tmp_path)
    assert says in str(refused.value)
    assert "somewhere" in str(refused.value)


def test_before_the_first_day_there_is_an_error_and_no_default() -> None:
    with pytest.raises(ParameterMissing, match="no minimum wage is known for ca-alberta before 2018-10-01") as missing:
        the_book().at("ca-alberta", "minimum_wage", date(2018, 9, 30))
    assert "add it to a file in payroll/law/parameters/ca-alberta/" in str(missing.value)


def test_a_value_holds_from_its_first_day_on() -> None:
    # Ontario, ESA s. 23.1: 17.20 up to 2025-09-30, 17.60 from 2025-10-01. Read in a secondary source.
    book = the_book()
    assert book.at("ca-ontario", "minimum_wage", date(2025, 9, 30)).text == "17.20"
    assert book.at("ca-ontario", "minimum_wage", date(2025, 10, 1)).text == "17.60"


def test_a_proposed_value_is_listed_but_never_used(tmp_path: Path) -> None:
    book_of(
        tmp_path, f"{GOOD}\n    - {GOOD.replace('2020', '2021').replace('enacted', 'proposed').replace('10', '99', 1)}"
    )
    book = read_book(tmp_path)
    assert len(book.values) == 2
    assert book.at("somewhere", "minimum_wage", date(2026, 1, 1)).value == 10


def test_every_named_rule_set_has_a_minimum_wage_with_its_ground() -> None:
    for name in NAMED:
        value = the_book().at(name, "minimum_wage", date(2026, 11, 25))
        assert value.cite
        assert value.unit in ("USD/hour", "CAD/hour")


@pytest.mark.parametrize(
    ("where", "day", "rate"),
    # As published, an hour: United States 2009; California 2024 to 2026; Ontario 2023 to 2026; Alberta 2018; British
    # Columbia 2023 to 2026. California 2024 from memory, the others read in a secondary source.
    [
        ("us-federal", date(2026, 3, 2), "7.25"),
        ("us-california", date(2024, 1, 1), "16.00"),
        ("us-california", date(2025, 1, 1), "16.50"),
        ("us-california", date(2026, 1, 1), "16.90"),
        ("ca-ontario", date(2023, 10, 1), "16.55"),
        ("ca-ontario", date(2024, 10, 1), "17.20"),
        ("ca-ontario", date(2025, 10, 1), "17.60"),
        ("ca-ontario", date(2026, 10, 1), "17.95"),
        ("ca-alberta", date(2018, 10, 1), "15.00"),
        ("ca-british-columbia", date(2023, 6, 1), "16.75"),
        ("ca-british-columbia", date(2024, 6, 1), "17.40"),
        ("ca-british-columbia", date(2025, 6, 1), "17.85"),
        ("ca-british-columbia", date(2026, 6, 1), "18.25"),
    ],
)
def test_minimum_wages_are_the_published_ones(where: str, day: date, rate: str) -> None:
    assert the_book().at(where, "minimum_wage", day).value == Fraction(Decimal(rate))


def test_a_word_for_a_yes_stays_a_word(tmp_path: Path) -> None:
    # In `checked: {on: ...}` a YAML 1.1 reader would take `on` for a yes.
    book_of(tmp_path, GOOD)
    assert read_book(tmp_path).values[0].checked_on == date(2026, 1, 1)


def test_every_shipped_value_and_rule_has_all_its_ground() -> None:
    book = the_book()
    for value in book.values:
        assert all((value.jurisdiction, value.name, value.unit, value.text, value.cite, value.checked, value.rule))
        assert value.starts <= date(2030, 1, 1)
        assert value.status in STATUSES
    for rule in book.rules:
        assert all((rule.jurisdiction, rule.code, rule.text, rule.cite, rule.checked))


def test_every_parameter_of_a_rule_set_is_in_the_book_and_none_is_unused() -> None:
    for name, rule_set in RULE_SETS.items():
        known = {value.name for value in the_book().values if value.jurisdiction == name}
        assert known - PAY_DAYS == {"minimum_wage", *rule_set.place.limits, *rule_set.place.breaks}, name
    assert {value.name for value in the_book().values} >= PAY_DAYS
    assert {value.jurisdiction for value in the_book().values} == set(RULE_SETS)


def test_every_rule_that_is_cited_is_in_the_book_and_none_is_unused() -> None:
    # A code stands as a text in the engine; the two that are put together from a kind of time are named here.
    folder = Path(payroll.law.__file__).parent
    written = "".join(path.read_text() for path in folder.rglob("*.py"))
    together = {"rest-is-work", "rework-is-work"}
    for rule in the_book().rules:
        assert f'"{rule.code}"' in written or rule.code in together, f"{rule.jurisdiction}: {rule.code}"
