"""Lines, reasons and cautions that come of the office's own records have words in Spanish and French."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from payroll.law import Agreement, Override, TimeWorked, WorkerWeek, agreed, price, the_book
from payroll.law.agreements import COVERS_ALL, GUARANTEE, PIECE_OVERTIME
from payroll.law.deductions import why_refused
from payroll.law.pay_days import longer_period
from payroll.law.rules import NAMED
from payroll.reports.wording import LANGUAGES, words_of
from payroll.selectors.pricing import agreement_sentence
from tests.law.test_agreements_give_terms import FAST_THEN_SLOW, WEDNESDAY, worked
from tests.law.weeks import MONDAY
from tests.payroll.test_every_sentence_is_said_in_three_languages import unsaid

OTHERS = [language for language in LANGUAGES if language != "en"]
BEFORE = MONDAY - timedelta(days=60)


def guarantee(starts: object = WEDNESDAY, hours: str = "productive", rate: str = "25.00") -> Agreement:
    return Agreement(GUARANTEE, BEFORE, starts, rate=Decimal(rate), hours=hours)  # type: ignore[arg-type]


def with_waiting(week: WorkerWeek) -> WorkerWeek:
    return replace(week, hours=(*week.hours, TimeWorked(WEDNESDAY, "waiting", Fraction(1))))


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("rules", NAMED)
def test_what_agreements_and_local_minimums_add_to_a_week(rules: str, language: str):
    week = with_waiting(worked(*FAST_THEN_SLOW, rules=rules))
    week = replace(week, local_minimums=(Override(Decimal("26.00"), "Exampleton Code 4.1", WEDNESDAY),))
    words = words_of(language)
    for agreements in (
        [guarantee(rate="26.00")],
        [guarantee(rate="26.00", hours="all"), Agreement(PIECE_OVERTIME, WEDNESDAY, WEDNESDAY)],
        [guarantee(MONDAY + timedelta(days=4), rate="26.00"), Agreement(COVERS_ALL, WEDNESDAY, WEDNESDAY)],
        [guarantee(BEFORE, rate="4.00"), Agreement(COVERS_ALL, BEFORE, BEFORE)],
    ):
        settled = agreed(week, agreements)
        assert unsaid(price(replace(week, terms=settled.terms)), language) == []
        assert [one for one in settled.cautions if not words.caution(one).own] == []


@pytest.mark.parametrize("language", OTHERS)
def test_the_agreement_behind_a_line(language: str):
    ended = replace(guarantee(), ends_on=WEDNESDAY)
    for one in (guarantee(), guarantee(hours="all"), ended, Agreement(COVERS_ALL, BEFORE, BEFORE)):
        assert words_of(language).rule(f"{agreement_sentence(one)}.").own


@pytest.mark.parametrize("language", OTHERS)
def test_when_final_pay_is_due_and_what_a_missed_break_is_not_paid(language: str):
    words = words_of(language)
    said = ["Final pay, last day 2026-11-03: due by 2026-11-05 at the latest.", "Final pay, last day 2026-11-03."]
    said.append("Recorded as missed: meal on 2026-11-02. us-federal pays no hour for it.")
    for rules in NAMED:
        found = [the_book().rule(rules, code) for code in ("final-pay", "missed-break")]
        said += [*(f"{one.text} ({one.cite}.)" for one in found), why_refused(the_book(), rules)]
    for alone in (False, True):
        said += longer_period(the_book(), "ca-british-columbia", MONDAY, MONDAY + timedelta(days=13), alone)
    assert [one for one in said if not words.caution(one).own] == []


@pytest.mark.parametrize("language", OTHERS)
def test_lines_of_one_of_several_places_say_which(language: str):
    words = words_of(language)
    for text in ("overtime premium", "minimum wage for the week", "to the minimum wage for the piece hours"):
        said = words.line("overtime", f"{text}, us-california")
        assert said.own and said.text.endswith(", us-california")
