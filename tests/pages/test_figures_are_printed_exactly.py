"""Lengths, quantities and typed figures: what is printed reads back as the same, what is typed is taken exactly."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from framing.length import TICKS_PER_INCH, parse_length
from jobs.measures import half_up
from jobs.pages.look import contrast_with_white, readable
from jobs.pages.printed import clock, feet_inches, hundredths, money, set_fractions, span, tidy
from jobs.pages.typed import Unreadable, read_minutes, read_number, read_weight

PLAIN = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁄′″", "01234567890123456789/'\"")


@pytest.mark.parametrize(
    ("inches", "printed"),
    [
        ("121.8125", "10′-1 ¹³⁄₁₆″"),
        ("97.5625", "8′-1 ⁹⁄₁₆″"),
        ("4.25", "4 ¹⁄₄″"),
        ("0.625", "⁵⁄₈″"),
        ("0", "0″"),
        ("120", "10′-0″"),
        ("-0.25", "-¹⁄₄″"),
        ("0.015625", "¹⁄₆₄″"),
        ("147.0079", "about 12′-3″"),
    ],
)
def test_feet_inches_with_real_fractions(inches: str, printed: str) -> None:
    # derived: decimal inches over 12, the rest in lowest terms
    assert feet_inches(inches) == printed


@given(st.integers(min_value=0, max_value=64 * 12 * 200))
def test_what_is_printed_reads_back_as_the_same_length(sixty_fourths: int) -> None:
    inches = Fraction(sixty_fourths, 64)
    printed = feet_inches(str(Decimal(inches.numerator) / inches.denominator))
    assert Fraction(parse_length(printed.translate(PLAIN)), TICKS_PER_INCH) == inches


def test_metric_jobs_print_millimetres() -> None:
    # An inch is 25.4 mm exactly (international yard and pound agreement of 1959, from memory).
    assert feet_inches("147.0079", metric=True) == "3,734 mm"
    assert feet_inches("1", metric=True) == "25.4 mm"


def test_sentences_of_the_engine_get_real_fractions() -> None:
    assert set_fractions("bottom track at 10'-1 13/16\": 2'-10\"") == "bottom track at 10′-1 ¹³⁄₁₆″: 2′-10″"
    assert set_fractions("the reader's own: 2'-10\"") == "the reader’s own: 2′-10″"


def test_quantities_money_and_time() -> None:
    assert tidy(Decimal("1228.5000")) == "1,228.5"
    assert tidy(Decimal("0.0000")) == "0"
    assert money(Decimal("1113.9")) == "1,113.90"
    assert clock(450) == "7:30"
    assert span(date(2026, 11, 30), date(2026, 12, 6)) == "30 Nov to 6 Dec 2026"


def test_a_bar_is_full_only_when_nothing_is_missing() -> None:
    assert hundredths(Decimal("99.9999"), Decimal(100)) == 99
    assert hundredths(Decimal("0.0001"), Decimal(100)) == 1
    assert hundredths(Decimal(100), Decimal(100)) == 100
    assert hundredths(Decimal(0), Decimal(100)) == 0


@pytest.mark.parametrize(
    ("typed", "quantity"),
    [
        ("12.5", "12.5"),
        ("1,228.5", "1228.5"),
        (".5", "0.5"),
        ("12'-6\"", "12.5"),
        ("12′ 6 1/2″", "12.5417"),
        ("12'", "12"),
        ("0'-1/2\"", "0.0417"),
        ("1.00005", "1.0001"),
    ],
)
def test_quantities_as_people_type_them(typed: str, quantity: str) -> None:
    # derived: inches over 12, halves up at the fourth decimal
    assert half_up(read_number(typed, "LF").value) == Decimal(quantity)


@pytest.mark.parametrize("typed", ["", "12,34", "1e3", "-5", "12'-6'", "NaN", "١٢", "9" * 70, "12'' "])
def test_what_is_no_quantity_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(Unreadable, match=r"12\.5|more than any"):
        read_number(typed, "sq ft")


@given(st.text(max_size=40))
def test_nothing_typed_breaks_the_reader(text: str) -> None:
    for unit in ("LF", "sq ft"):
        try:
            assert read_number(text, unit).value >= 0
        except Unreadable as wrong:
            assert str(wrong)


def test_minutes_and_parts() -> None:
    assert [read_minutes(said) for said in ("8", "7.5", "7:30")] == [480, 450, 450]
    assert read_weight("") == Decimal(1)
    for wrong in ("0", "-1", "two"):
        with pytest.raises(Unreadable):
            read_weight(wrong)


@given(st.from_regex(r"[0-9a-f]{6}", fullmatch=True))
def test_white_letters_can_be_read_on_every_accent(colour: str) -> None:
    # WCAG 2.2, 1.4.3: at least 4.5:1 (from memory)
    found = readable(colour)
    assert contrast_with_white([int(found[place : place + 2], 16) for place in (0, 2, 4)]) >= 4.5


def test_contrast_is_reckoned_as_the_standard_does() -> None:
    # WCAG 2.2: black on white is 21:1; #767676 is the lightest grey with 4.54:1 (both from memory)
    assert contrast_with_white([0, 0, 0]) == pytest.approx(21)
    assert contrast_with_white([0x76] * 3) == pytest.approx(4.54, abs=0.005)
    assert readable("1d4f5c") == "1d4f5c"
