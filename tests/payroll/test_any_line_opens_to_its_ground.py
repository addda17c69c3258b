"""Why: any line of any code opens into its reasons, each with the rule, its citation and the numbers it used."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.models import Entry, User, Wall, WorkUnit
from payroll.law import PricedWeek, price
from payroll.law.parameter_book import the_book
from payroll.law.report import because_json
from payroll.law.weekfile import read_week
from payroll.models import Statement
from payroll.reports.figures import Reason
from payroll.reports.wording import LANGUAGES, words_of
from payroll.selectors.statement_figures import reasons_in
from payroll.selectors.statements import statement_detail
from tests.payroll.test_every_sentence_is_said_in_three_languages import WEEKS
from tests.payroll.world import LATER, MONDAY, NEXT_MONDAY, World, make_world

# Codes of lines that work out an amount by a number of the law, and so must show it with its citation.
BY_THE_LAW = {"overtime", "double", "minimum-wage"}
# Reasons that are the firm's own: its price list and what it paid before. They cite no law.
OWN = {"rate", "correction"}


def grounded(code: str, because: tuple[Reason, ...]) -> None:
    """Every reason says a rule and where it stands; what the law's numbers worked out shows them."""
    assert because, code
    for reason in because:
        assert reason.rule, code
        assert bool(reason.cite and reason.checked) or reason.code in OWN, f"{code}: {reason.rule}"
        for value in reason.parameters:
            assert value.cite, f"{code}: {value}"
            assert value.checked, f"{code}: {value}"
    assert any(reason.working for reason in because), code
    if code in BY_THE_LAW:
        assert any(reason.parameters for reason in because), code


def lines_of(priced: PricedWeek, language: str) -> set[str]:
    words = words_of(language, priced.currency)
    for line in priced.lines:
        grounded(line.code, reasons_in(words, [because_json(reason) for reason in line.because]))
    for floor in priced.floors:
        grounded(floor.code, reasons_in(words, [because_json(reason) for reason in floor.because]))
    return {line.code for line in priced.lines}


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_line_and_floor_of_the_worked_examples_has_its_ground(language):
    seen: set[str] = set()
    for path in WEEKS:
        seen |= lines_of(price(read_week(path)), language)
    assert seen >= {"piece", "waiting", "rest", "overtime", "bonus", "guarantee", "minimum-wage", "fringe"}


def test_every_citation_on_a_line_is_one_of_the_book():
    rules = {rule.cite for rule in the_book().rules}
    values = {value.cite for value in the_book().values}
    for path in WEEKS:
        for line in price(read_week(path)).lines:
            for reason in line.because:
                assert reason.cite in rules
                assert {value.cite for value in reason.parameters} <= values


def corrected_world() -> World:
    """A firm with a week of overtime, one topped up to the minimum, and a late entry that corrects the first."""
    world = make_world()
    person = world.person("Asks Why")
    unit = world.unit("BOARD", face="left", layer=1)
    world.rate("BOARD", "0.20")
    world.time_rate("waiting", "8.00")
    world.entry(unit, "1000", person)
    for day in range(5):
        world.hours(person, "9", on=MONDAY + timedelta(days=day))
    world.hours(person, "1", "waiting")
    world.close()
    world.entry(unit, "1500", person, now=LATER)
    world.entry(unit, "10", person, on=NEXT_MONDAY)
    world.hours(person, "2", on=NEXT_MONDAY)
    world.close(NEXT_MONDAY, now=LATER)
    return world


@pytest.mark.django_db
def test_a_closed_statements_lines_lead_to_entries_walls_counts_and_to_rules_numbers_citations():
    world = corrected_world()
    seen = set()
    with transaction.atomic(), world.scope():
        for statement in Statement.objects.order_by("number"):
            figures = statement_detail(actor=world.owner, statement=statement.pk).figures
            for line in figures.lines:
                seen.add(line.code)
                grounded(line.code, line.because)
                if line.code == "correction":
                    assert Statement.objects.get(pk=line.pays_statement).corrects_id is not None
                if line.code != "piece":
                    continue
                assert line.work
                for work in line.work:
                    entry = Entry.objects.get(uuid=work.entry)
                    unit = WorkUnit.objects.get(pk=work.work_unit_id)
                    assert entry.work_unit_id == unit.pk
                    assert Wall.objects.get(pk=work.wall_id).mark == work.mark
                    assert unit.because
    assert seen == {"piece", "waiting", "overtime", "minimum-wage", "correction"}


@pytest.mark.django_db
def test_the_page_opens_each_line_to_links_and_citations():
    world = corrected_world()
    client = Client()
    client.force_login(User.objects.get(pk=world.owner.user))
    with transaction.atomic(), world.scope():
        statements = list(Statement.objects.order_by("number"))
        shown = [statement_detail(actor=world.owner, statement=each.pk).figures for each in statements]
    for statement, figures in zip(statements, shown, strict=True):
        for language in LANGUAGES:
            address = reverse("statement", args=[statement.pk])
            page = client.get(address, {"language": language}).content.decode()
            assert f"[{words_of(language).label('in_english')}]" not in page
            for line in figures.lines:
                for reason in line.because:
                    assert reason.cite in page
                    assert all(value.cite in page for value in reason.parameters)
                for work in line.work:
                    assert reverse("entry", args=[work.entry]) in page
                    assert reverse("wall", args=[work.job_id, work.wall_id]) in page
                    assert reverse("why-rate", args=[work.work_unit_id]) in page
                if line.pays_statement:
                    assert reverse("statement", args=[line.pays_statement]) in page
