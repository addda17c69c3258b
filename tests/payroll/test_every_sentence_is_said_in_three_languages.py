"""Every sentence that a statement can hold has words in Spanish and French, and no word of the catalogue is missing."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given

from jobs.wording.forms import TYPES
from payroll.law import Bonus, PricedWeek, TimeWorked, WorkerWeek, price
from payroll.law.parameter_book import the_book
from payroll.law.readings import READINGS
from payroll.law.rules import NAMED
from payroll.law.several_places import price_places
from payroll.law.week import TIME_KINDS, Because, MissedBreak, Override, PrevailingWork
from payroll.law.weekfile import read_week
from payroll.reports.wording import LANGUAGES, words_of
from payroll.reports.wording.catalogue import FOLDER, GROUPS, the_catalogue
from payroll.reports.wording.required import required_by_rules
from tests.law.any_week import worker_weeks
from tests.law.weeks import MONDAY, week
from tests.support.processes import PROJECT

WEEKS = sorted(path for path in (PROJECT / "fixtures" / "weeks").glob("*.json") if path.name != "expected.json")
OTHERS = [language for language in LANGUAGES if language != "en"]


def unsaid(priced: PricedWeek, language: str) -> list[str]:
    """Sentences of a priced week that have no words in a language."""
    words = words_of(language, priced.currency)
    found = []
    for line in priced.lines:
        found.append((line.text, words.line(line.code, line.text)))
        found += list(reasons(line.because, language, priced.currency))
    for floor in priced.floors:
        found.append((floor.text, words.line(floor.code, floor.text)))
        found += list(reasons(floor.because, language, priced.currency))
    found += list(reasons(priced.regular_rate_because, language, priced.currency))
    found += [(caution, words.caution(caution)) for caution in priced.cautions]
    return [english for english, said in found if not said.own]


def reasons(because: tuple[Because, ...], language: str, currency: str) -> Iterator[tuple[str, tuple[str, bool]]]:
    words = words_of(language, currency)
    for reason in because:
        yield reason.rule, words.rule(reason.rule)
        yield reason.working, words.sum(reason.working)


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("path", WEEKS, ids=lambda path: path.stem)
def test_nothing_of_a_worked_example_stays_in_english(path, language):
    assert unsaid(price(read_week(path)), language) == []


def rare_weeks() -> list[WorkerWeek]:
    """Weeks with what the others hardly have: missed breaks of both kinds beside a set-sum bonus, a local minimum, a
    seventh day, prevailing work in a week with double time."""
    days = [MONDAY + timedelta(days=number) for number in range(7)]
    long = tuple(TimeWorked(day, "piece", Fraction(13), job="Library") for day in days)
    base = replace(week("3000", rules="us-california"), hours=long)
    breaks = tuple(MissedBreak(day, kind) for day in days[:2] for kind in ("meal", "rest"))
    flat = (
        Bonus(MONDAY, Decimal("50.00"), "flat", "agreed"),
        Bonus(MONDAY, Decimal("9.00"), "discretionary", "thanks"),
    )
    rare = [replace(base, missed_breaks=breaks, bonuses=flat), replace(base, missed_breaks=breaks[:1])]
    prevailing = PrevailingWork(
        "Library",
        "lather",
        Decimal("31.20"),
        Decimal("7.30"),
        Fraction(91),
        Decimal("3000"),
        Decimal("1"),
        Fraction(51),
    )
    rare.append(replace(base, prevailing=(prevailing,)))
    rare += [
        replace(week("100", producing=50, rules=rules), minimum_wage=Override(Decimal("40.00"), "a town's ordinance"))
        for rules in NAMED
    ]
    rare += [week(producing=3, rules=rules) for rules in NAMED]
    rare += [week("10", rules=rules) for rules in NAMED]
    # More than a year after a minimum wage was looked up, and after the day on which some are set anew.
    newer = Override(Decimal("40.00"), "a later order", None, date(2031, 1, 1))
    rare += [
        WorkerWeek(
            rules,
            date(2031, 12, 1),
            "A. Example",
            "",
            (),
            (TimeWorked(date(2031, 12, 1), "piece", Fraction(8)),),
            local_minimums=(newer,),
        )
        for rules in NAMED
    ]
    return rare


@pytest.mark.parametrize("language", OTHERS)
def test_nothing_of_a_rare_week_stays_in_english(language):
    for one in rare_weeks():
        assert unsaid(price(one), language) == []


@pytest.mark.parametrize("language", OTHERS)
def test_nothing_of_a_week_in_two_places_stays_in_english(language):
    there = replace(week("700", producing=30, rules="us-federal"), worker_name="A. Example")
    days = [MONDAY + timedelta(days=number) for number in (4, 5)]
    here = replace(
        week("500", rules="us-california"), hours=tuple(TimeWorked(day, "piece", Fraction(8)) for day in days)
    )
    priced = price_places((there, here))
    words = words_of(language)
    assert priced.together
    for line in priced.together:
        assert words.line(line.code, line.text).own
        assert all(said[1][1] for said in reasons(line.because, language, "USD"))
    assert all(words.caution(caution).own for caution in priced.cautions)


@pytest.mark.parametrize("rules", NAMED)
def test_nothing_of_any_week_stays_in_english(rules):
    @given(worker_weeks(rules))
    def hold(week):
        priced = price(week)
        for language in OTHERS:
            assert unsaid(priced, language) == []

    hold()


@pytest.mark.parametrize("language", OTHERS)
def test_every_rule_of_the_book_has_words(language):
    words = words_of(language)
    assert [rule.code for rule in the_book().rules if not words.rule(rule.text).own] == []


@pytest.mark.parametrize("language", OTHERS)
def test_every_contested_reading_has_words(language):
    words = words_of(language)
    assert [one.name for one in READINGS if one.caution and not words.caution(one.caution).own] == []


def test_no_entry_lacks_a_language_or_changes_its_places():
    for key, label in the_catalogue().labels.items():
        places = {language: set(re.findall(r"\{(\w+)\}", label[language])) for language in LANGUAGES if label[language]}
        assert len({frozenset(names) for names in places.values()}) == 1, f"{key}: {places}"
    groups = [*(the_catalogue().groups[name].forms for name in GROUPS)]
    groups += [part.forms.forms for part in the_catalogue().parts.values()]
    for forms in groups:
        for form in forms:
            assert set(form.slots.values()) <= set(TYPES) | set(the_catalogue().parts), form.en
            for language in OTHERS:
                assert form.named_in(language) == set(form.slots), f"{form.en}: {language}"


def test_every_file_of_the_catalogue_is_read():
    names = {path.stem for path in FOLDER.glob("*.yaml")}
    assert names == {"labels", "rules-us", "rules-canada", "parts", "required", *GROUPS}


def test_words_of_time_and_of_the_law_are_labels():
    labels = the_catalogue().labels
    assert {f"kind.{kind}" for kind in TIME_KINDS} <= set(labels)
    for required in required_by_rules().values():
        assert {f"field.{field.field}" for field in required.fields} <= set(labels)
    assert set(required_by_rules()) == set(NAMED)


def test_citations_stay_as_they_are():
    # Names of laws and their places are never translated, so that they can be looked up.
    for rule in the_book().rules:
        for language in OTHERS:
            said = words_of(language).rule(rule.text).text
            for cited in re.findall(r"\b\d+ (?:CFR|USC) [\d.]+", rule.text):
                assert cited in said


def test_a_sentence_nobody_translated_stays_english_and_says_so():
    words = words_of("es")
    said = words.caution("A sentence that no form reads.")
    assert said == ("A sentence that no form reads.", False)
    assert words.marked(said) == "A sentence that no form reads. [en inglés]"


@pytest.mark.parametrize(
    ("english", "spanish", "french"),
    [
        # Figures are set as the CLDR has them for es_US and fr_CA; words are from memory.
        (
            "1278.3915 sq ft x 0.96 = 1227.26",
            "1278.3915 pie² × 0.96 = 1227.26",
            "1278,3915 pi² × 0,96 = 1227,26",
        ),
        (
            "(491.00 + 32.00) / 50 h = 10.46 an hour",
            "(491.00 + 32.00) / 50 h = 10.46 por hora",
            "(491,00 + 32,00) / 50 h = 10,46 l'heure",
        ),
        (
            "4 h past 8 in a day + 6:20 h of the seventh day; 10:20 h x (1.5 - 1) x about 8.3333 = 43.06",
            "4 h por encima de 8 en un día + 6:20 h del séptimo día; 10:20 h × (1.5 - 1) × aprox. 8.3333 = 43.06",
            "4 h au-delà de 8 dans une journée + 6:20 h du septième jour; 10:20 h × (1,5 - 1) × env. 8,3333 = 43,06",
        ),
        (
            "600 sq ft x half of 0.25 = 600 x 0.125 = 75.00",
            "600 pie² × la mitad de 0.25 = 600 × 0.125 = 75.00",
            "600 pi² × la moitié de 0,25 = 600 × 0,125 = 75,00",
        ),
    ],
)
def test_a_sum_keeps_every_figure(english, spanish, french):
    assert words_of("en").sum(english).text == english
    assert words_of("es").sum(english).text == spanish
    assert words_of("fr", "CAD").sum(english).text == french
