"""Each field that the law of a place asks of a statement stands on its paper, named with its citation.

The lists are in `payroll/reports/wording/words/required.yaml` with how each text was checked. California's are from
Labor Code 226(a) (a copy) and 226.2 (official text), British Columbia's from the Branch's guide that prints s. 27,
Ontario's from s. 12(1) as quoted in a public article, the federal ones from a copy of 29 CFR 516.2, Alberta's s. 14
from teaching material that lists what it asks. California's 246(i) is from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest
from django.db import transaction

from payroll.law.rules import NAMED
from payroll.models import Statement
from payroll.reports.figures import StatementFigures
from payroll.reports.numbers import agreed_rate, hours, money, quantity, rate
from payroll.reports.statement_pdf import statement_pdf
from payroll.reports.wording import words_of
from payroll.reports.wording.required import required_by_rules, required_of
from payroll.selectors.statements import statement_detail
from tests.payroll.test_statements_in_three_languages import words_on, worked

Shown = Callable[[StatementFigures], list[str]]


def of_codes(*codes: str) -> Shown:
    """Hours, rate and gross of every line with one of these codes."""

    def shown(figures: StatementFigures) -> list[str]:
        lines = [line for line in figures.lines if line.code in codes]
        assert lines, f"the week of this test has no line of {codes}"
        return [f"{hours(line.quantity)} h {rate(line.rate)} {money(line.amount)}" for line in lines]

    return shown


def pieces(figures: StatementFigures) -> list[str]:
    return [
        f"{quantity(line.quantity)} {line.unit} {agreed_rate(line.rate)} {money(line.amount)}"
        for line in figures.lines
        if line.code == "piece"
    ]


def reasons(figures: StatementFigures) -> list[str]:
    return [reason.working for line in figures.lines for reason in line.because if reason.working]


PROVES: Mapping[str, Shown] = {
    "employer": lambda figures: [figures.organisation, figures.organisation_address],
    "employer_name": lambda figures: [figures.organisation],
    "worker": lambda figures: [figures.person, figures.person_number],
    "class": lambda figures: [f"Class: {figures.worker_class}"],
    "period": lambda figures: [words_of("en").span(figures.first_day, figures.last_day)],
    "hours_day": lambda figures: [hours(each) for _, each in figures.hours_by_day] + ["Hours of each day"],
    "hours_total": lambda figures: [f"All hours worked {hours(figures.hours_total)}"],
    "pieces": pieces,
    "wage_rate": pieces,
    "hourly_rates": of_codes("waiting", "rest", "overtime"),
    "rests": of_codes("rest"),
    "other_time": of_codes("waiting"),
    "regular_rate": lambda figures: [f"{rate(figures.regular_rate or 0)} an hour"],  # type: ignore[arg-type]
    "straight": lambda figures: [money(line.amount) for line in figures.lines if line.code != "overtime"],
    "premium": of_codes("overtime"),
    "overtime": of_codes("overtime"),
    "components": lambda figures: [money(line.amount) for line in figures.lines],
    "calculated": reasons,
    "gross": lambda figures: [f"Gross pay ${money(figures.gross)}"],
}


@pytest.mark.django_db
@pytest.mark.parametrize("rules", NAMED)
def test_every_field_the_place_asks_for_stands_on_the_paper(rules):
    world, _ = worked(rules)
    with transaction.atomic(), world.scope():
        figures = statement_detail(actor=world.owner, statement=Statement.objects.get().pk).figures
    text = words_on(statement_pdf(figures))
    plain = text.replace("US$", "$")
    required = required_by_rules()[rules]
    for field in required.here:
        for shown in PROVES[field.field](figures):
            assert " ".join(shown.split()) in plain, f"{rules}, {field.field} ({field.cite}): {shown!r} is not there"
        # The field is named on the paper with the place that asks for it.
        assert words_of("en").label(f"field.{field.field}") in text
        assert field.cite.split(" ")[-1] in text
    for field in required.elsewhere:
        # What this statement cannot say is said to be with the employer's own payroll.
        assert words_of("en").label(f"field.{field.field}") in text.split("With the employer's own payroll")[1]


def test_a_statement_under_two_laws_lists_the_fields_of_both():
    both = required_of("ca-alberta, ca-british-columbia")
    assert both is not None
    assert {field.cite.split(" (")[0] for field in both.fields} == {
        "Employment Standards Code",
        "Employment Standards Act",
    }
    # The weaker of the two: British Columbia's was read in official text.
    assert both.checked == "secondary"
    assert required_of("nowhere") is None


def test_every_field_has_its_proof():
    asked = {field.field for required in required_by_rules().values() for field in required.here}
    assert asked <= set(PROVES)
