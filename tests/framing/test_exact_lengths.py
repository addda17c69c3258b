"""Lengths are exact: what is printed reads back as the same length, in feet and inches and in metric.

Ground: 1 in = 25.4 mm exactly (the international inch); the rest is arithmetic.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from framing.length import LengthMistake, inches, length_text, parse_length

SIXTYFOURTHS = st.integers(0, 64 * 12 * 1000)
MILLIMETRES = st.integers(0, 300_000)


def sixtyfourth(count: int) -> str:
    whole, rest = divmod(Fraction(count, 64), 1)
    return f"{whole} {rest}" if rest else str(whole)


@given(SIXTYFOURTHS)
def test_feet_and_inches_read_back_as_printed(count):
    length = parse_length(sixtyfourth(count))
    assert parse_length(length_text(length)) == length


@given(SIXTYFOURTHS)
def test_a_multiple_of_a_64th_prints_and_reads_in_decimal_inches(count):
    length = parse_length(sixtyfourth(count))
    assert Fraction(inches(length)) == Fraction(count, 64)


@given(MILLIMETRES)
def test_a_millimetre_is_exact_and_adds_up(count):
    assert parse_length(f"{count} mm") == count * parse_length("1 mm")
    assert parse_length(count, unit="mm") == parse_length(f"{count} mm")


@given(MILLIMETRES)
def test_a_multiple_of_a_millimetre_reads_back_as_printed(count):
    length = parse_length(f"{count} mm")
    assert parse_length(length_text(length)) == length


@given(SIXTYFOURTHS, SIXTYFOURTHS)
def test_lengths_add_as_fractions_do(a, b):
    both = parse_length(sixtyfourth(a)) + parse_length(sixtyfourth(b))
    assert both == parse_length(sixtyfourth(a + b))


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12'-3 5/8\"", Fraction(1181, 8)),  # 147 5/8
        ("9'-0\"", Fraction(108)),
        ("9'", Fraction(108)),
        ("3 5/8", Fraction(29, 8)),
        ("40", Fraction(40)),
        ("0.5", Fraction(1, 2)),
        ("3734 mm", Fraction(37340, 254)),
        ("3.734 m", Fraction(37340, 254)),
        ("25.4 mm", Fraction(1)),
    ],
)
def test_every_way_of_writing_a_length(text, value):
    inch = parse_length("1")
    assert parse_length(text) == value * inch


def test_an_inch_is_twenty_five_point_four_millimetres():
    assert parse_length("1") * 10 == parse_length("254 mm")
    assert parse_length(254, unit="mm") == parse_length("10")


@pytest.mark.parametrize(
    ("text", "shown"),
    [("147 5/8", "12'-3 5/8\""), ("108", "9'-0\""), ("3 5/8", '3 5/8"'), ("11.5", '11 1/2"'), ("5/8", '5/8"')],
)
def test_the_way_a_tape_is_read_is_the_way_it_is_printed(text, shown):
    assert length_text(parse_length(text)) == shown


@pytest.mark.parametrize("text", ["", "abc", "12'-13x", "1/0", "3 5/", "nan", "inf", "1e400", "5 ft 3 furlongs", "--3"])
def test_a_text_that_is_no_length_is_refused(text):
    with pytest.raises(LengthMistake):
        parse_length(text)


def test_a_float_is_no_length():
    with pytest.raises(LengthMistake):
        parse_length(0.1)  # type: ignore[arg-type]
