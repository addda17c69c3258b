"""One table says how many places a figure has; pages, papers and tables of every app print it so."""

from __future__ import annotations

from decimal import Decimal

import pytest

from jobs import figures
from jobs.figures import Marks
from jobs.pages import printed
from payroll.reports import numbers
from payroll.reports.wording import words_of


@pytest.mark.parametrize(
    ("of", "value", "printed_as"),
    [
        # The table of the module, row by row; halves go away from zero (derived).
        (figures.money, "575.3", "575.30"),
        (figures.money, "-0.004", "0.00"),
        (figures.hours, "9.25", "9.25"),
        (figures.hours, "40", "40.00"),
        (figures.hours, "1.666667", "1.6667"),
        (figures.rate, "0.96", "0.96"),
        (figures.rate, "0.999", "0.9990"),
        (figures.rate, "22.587123", "22.5871"),
        (figures.rate, "18.1", "18.10"),
        (figures.agreed_rate, "0.125", "0.1250"),
        (figures.agreed_rate, "0.035125", "0.035125"),
        (figures.agreed_rate, "12", "12.00"),
        (figures.quantity, "1228.5000", "1228.5"),
        (figures.quantity, "48", "48"),
        (figures.quantity, "0.00005", "0.0001"),
        (figures.hundredths, "1.666667", "1.67"),
    ],
)
def test_a_figure_has_the_places_of_its_kind(of, value, printed_as):
    assert of(Decimal(value)) == printed_as


def test_marks_stand_between_thousands_and_before_decimals():
    assert Marks().set("1228.5") == "1,228.5"
    assert Marks("\u00a0", ",").set("-1234567.89") == "-1\u00a0234\u00a0567,89"
    assert Marks().set("999") == "999"


@pytest.mark.parametrize("value", ["1278.3915", "65", "0.5", "1227.255", "1000000"])
def test_every_app_prints_the_same(value):
    exact = Decimal(value)
    english = words_of("en").places
    assert printed.tidy(exact) == numbers.quantity(exact) == english.quantity(exact)
    assert printed.money(exact) == numbers.money(exact) == english.money(exact)
    assert numbers.hours(exact) == english.hours(exact)
    assert numbers.rate(exact) == english.rate(exact)
    assert numbers.agreed_rate(exact) == english.agreed_rate(exact)
