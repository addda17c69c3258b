"""A statement in the worker's own language: page, paper and table say the same figures, and the record stays."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from babel.numbers import format_currency, format_decimal
from django.db import transaction
from pypdf import PdfReader

from jobs.models import Person
from jobs.wording.locales import PLACES
from payroll.models import Statement
from payroll.reports.figures import StatementFigures
from payroll.reports.statement_pdf import statement_pdf
from payroll.reports.wording import LANGUAGES, words_of
from payroll.selectors.statements import statement_detail
from tests.payroll.world import MONDAY, World, make_world

LANGUAGE_NAMES = {"en": "Statement of pay", "es": "Comprobante de pago", "fr": "Relevé de paie"}


def words_on(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages)


def worked(rules: str) -> tuple[World, Person]:
    """A week of 55 h with board, studs, waiting and rests, closed, by somebody who reads Spanish."""
    world = make_world(rules=rules)
    person = world.person("María Añil")
    world.rate("BOARD", "0.9625")
    world.rate("STUDS", "9.40")
    world.time_rate("waiting", "20.00")
    for day in range(5):
        world.entry(world.unit("BOARD", face="left", layer=day + 1), "245.5", person, on=MONDAY + timedelta(days=day))
        world.hours(person, "10", on=MONDAY + timedelta(days=day))
    world.entry(world.unit("STUDS"), "31", person)
    world.hours(person, "2.5", "waiting")
    world.hours(person, "0.5", "rest", on=MONDAY + timedelta(days=1))
    world.close()
    return world, person


def told(world: World, language: str | None, number: int = 1) -> StatementFigures:
    with transaction.atomic(), world.scope():
        statement = Statement.objects.get(number=number).pk
        return statement_detail(actor=world.owner, statement=statement, language=language).figures


def numbers_of(figures: StatementFigures) -> list[Any]:
    """Every figure of a statement, without a word."""
    return [
        [
            (line.code, line.quantity, line.rate, line.amount, [work.amount for work in line.work])
            for line in figures.lines
        ],
        figures.hours_by_kind,
        figures.hours_by_day,
        figures.regular_rate,
        [(floor.required, floor.reached, floor.top_up) for floor in figures.floors],
        (figures.gross, figures.digest, figures.previous_digest, figures.year_to_date),
        [[reason.cite for reason in line.because] for line in figures.lines],
    ]


@pytest.mark.django_db
@pytest.mark.parametrize("rules", ["us-federal", "us-california", "ca-ontario", "ca-alberta", "ca-british-columbia"])
def test_another_language_changes_words_and_no_figure_or_citation(rules):
    world, _ = worked(rules)
    english = told(world, "en")
    for language in LANGUAGES:
        figures = told(world, language)
        assert numbers_of(figures) == numbers_of(english)
        words = words_of(language, figures.currency)
        text = words_on(statement_pdf(figures))
        assert LANGUAGE_NAMES[language] in text
        assert "María Añil" in text
        for line in figures.lines:
            assert words.places.money(line.amount).replace("\u00a0", " ") in text, line
        assert words.amount(figures.gross).replace("\u00a0", " ") in text
        assert f"[{words.label('in_english')}]" not in text


@pytest.mark.django_db
def test_the_persons_own_language_is_the_papers_unless_another_is_asked_for():
    world, person = worked("us-federal")
    assert told(world, None).language == "en"
    with transaction.atomic(), world.scope():
        before = bytes(Statement.objects.get().digest)
        Person.objects.filter(pk=person.pk).update(language="es-MX")
    assert told(world, None).language == "es"
    assert told(world, "fr").language == "fr"
    with transaction.atomic(), world.scope():
        # A translation is a rendering: the record is as it was closed.
        assert bytes(Statement.objects.get().digest) == before
        assert Statement.objects.get().lines.get(code="overtime").text == "overtime premium"
    text = words_on(statement_pdf(told(world, None)))
    for said in (
        "recargo por horas extra",
        "colgar paneles de yeso (hang board)",
        "tiempo de espera",
        "Acumulado del año",
    ):
        assert said in text


@pytest.mark.django_db
@pytest.mark.parametrize("language", LANGUAGES)
def test_sixty_lines_and_long_names_stay_within_the_paper(language):
    world, _ = worked("us-federal")
    figures = told(world, language)
    person = "Maximiliano Hermenegildo de la Santísima Trinidad Echeverría y Goicoechea"
    first = replace(
        figures.lines[0], text="poser les plaques de plâtre hydrofuges du plafond de la cage d'escalier " * 3
    )
    long = replace(figures, person=person, organisation="Interiors " * 9, lines=(first,) * 60, worker_class="x" * 40)
    reader = PdfReader(io.BytesIO(statement_pdf(long)))
    assert len(reader.pages) > 3
    text = words_on(statement_pdf(long))
    assert text.count(words_of(language).places.money(first.amount).replace("\u00a0", " ")) >= 60
    assert person in text
    for page in reader.pages:
        rights: list[float] = []

        def note(string: str, _: Any, matrix: Any, font: Any, size: float, rights: list[float] = rights) -> None:
            rights.append(float(matrix[4]))

        page.extract_text(visitor_text=note)
        # Nothing begins past the right margin of a letter sheet: 612 points less 54.
        assert max(rights) <= 612 - 54


@pytest.mark.parametrize(("language", "currency"), PLACES)
def test_figures_are_set_as_the_cldr_has_them(language, currency):
    # Babel's own formatting of the same locale is the reference; its narrow space is a plain fixed one here.
    locale, places = PLACES[language, currency], words_of(language, currency).places
    for value in ("0.00", "7.25", "1234.50", "1234567.89", "-7.12"):
        amount = Decimal(value)
        assert places.money(amount) == format_decimal(amount, "#,##0.00", locale=locale).replace("\u202f", "\u00a0")
        wanted = format_currency(abs(amount), currency, locale=locale).replace("\u202f", "\u00a0")
        assert places.amount(abs(amount)).replace("\u00a0", "") == wanted.replace("\u00a0", "")


def test_days_are_said_as_people_write_them():
    # From memory: Spanish days take de, a French first of the month is an ordinal.
    assert words_of("en").day(MONDAY) == "2 November 2026"
    assert words_of("es").day(MONDAY) == "2 de noviembre de 2026"
    assert words_of("fr", "CAD").day(MONDAY.replace(day=1)) == "1er novembre 2026"


@pytest.mark.django_db
def test_year_to_date_counts_what_was_paid_and_each_weeks_hours_once():
    world = make_world()
    person = world.person("Whole Year")
    world.rate("BOARD", "0.40")
    unit = world.unit("BOARD", face="left", layer=1)
    world.entry(unit, "100", person)
    world.hours(person, "2")
    world.close()
    world.entry(unit, "50", person)
    world.hours(person, "3", on=MONDAY + timedelta(days=7))
    world.entry(unit, "200", person, on=MONDAY + timedelta(days=7))
    world.close(MONDAY + timedelta(days=7))
    # Derived: 40.00, then 20.00 late for the first week and 80.00 for the second; hours 2 and 3.
    sums = [told(world, "en", number).year_to_date for number in (1, 2, 3)]
    assert [(each.gross, each.hours, each.weeks) for each in sums if each] == [
        (Decimal("40.00"), Decimal(2), 1),
        (Decimal("60.00"), Decimal(2), 1),
        (Decimal("140.00"), Decimal(5), 2),
    ]
    assert re.search(r"Year to date \$140\.00", words_on(statement_pdf(told(world, "en", 3))))
