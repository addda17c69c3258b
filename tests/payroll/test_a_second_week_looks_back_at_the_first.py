"""Where overtime is reckoned over a pay period, its second week is priced with the closed statement of its first.

Employment Standards Act (British Columbia), s. 1, regular wage (b), and s. 40, read in the official text; figures are
derived. All begin with 2000.00 in 5 x 8 h, then 1000.00 in 5 x 10 h: 10 h of overtime earn half of 3000 / 90 on top,
166.67, of which the second week by itself pays half of 20.00, 100.00.
"""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from itertools import count
from typing import Any

import pytest
from django.db import connection, transaction

from jobs.models import Person
from payroll.law.pay_days import LET_GO
from payroll.models import PayWeek, Statement
from payroll.selectors.chain_check import chain_breaks
from payroll.selectors.past_weeks import PastWeek, past_weeks
from payroll.selectors.statements import statement_detail
from payroll.selectors.weeks import WeekPreview, week_preview
from payroll.services.final_pay import Leaving, final_pay_close
from payroll.services.pay_periods import pay_period_set
from tests.payroll.world import AFTER, LATER, MONDAY, NEXT_MONDAY, World, another_job, make_world

pytestmark = pytest.mark.django_db
COLUMBIA = "ca-british-columbia"
THIRD_MONDAY = NEXT_MONDAY + timedelta(days=7)
LAYERS = count(1)
ALONE = "but the rate of overtime was reckoned over this workweek alone"


def worked(world: World, person: Person, first_day: date, sum_: str, hours: str) -> Any:
    """Five days of so many hours, and pieces worth a sum; the unit they were done on comes back."""
    unit = world.unit("BOARD", face="left", layer=next(LAYERS))
    world.entry(unit, sum_, person, on=first_day)
    for day in range(5):
        world.hours(person, hours, on=first_day + timedelta(days=day))
    return unit


def firm(weeks: int = 2, rules: str = COLUMBIA) -> tuple[World, Person, Any, Any]:
    """One person with both weeks worked, and the units of the first and the second week; `weeks` 0 sets no period."""
    world = make_world(rules=rules)
    if weeks:
        pay_period_set(actor=world.owner, starts_on=MONDAY, weeks=weeks, pay_day_after=5, now=AFTER)
    world.rate("BOARD", "1.00")
    person = world.person("Both Weeks")
    first = worked(world, person, MONDAY, "2000", "8")
    return world, person, first, worked(world, person, NEXT_MONDAY, "1000", "10")


def paid(world: World) -> list[tuple[date, date, Decimal, Decimal, Decimal]]:
    """(week worked, week paid in, gross, difference, overpaid) in the order of the chain."""
    with transaction.atomic(), world.scope():
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        assert chain_breaks() == []
        rows = Statement.objects.select_related("pay_week", "paid_in").order_by("number")
        return [(r.pay_week.first_day, r.paid_in.first_day, r.gross, r.difference, r.overpaid) for r in rows]


def first_statement(first_day: date, gross: str) -> tuple[date, date, Decimal, Decimal, Decimal]:
    return first_day, first_day, Decimal(gross), Decimal(gross), Decimal("0")


def preview(world: World, first_day: date) -> WeekPreview:
    week = world.week(first_day).pk
    with transaction.atomic(), world.scope():
        return week_preview(pay_week=week)


def newest(world: World) -> Statement:
    with transaction.atomic(), world.scope():
        return Statement.objects.order_by("-number")[0]


def test_two_weeks_of_one_period_pay_overtime_by_the_wages_of_both():
    world, _, _, _ = firm()
    world.close()
    (looked_at,) = preview(world, NEXT_MONDAY).people
    assert looked_at.gross == Decimal("1166.67")
    world.close(NEXT_MONDAY)
    assert paid(world) == [first_statement(MONDAY, "2000.00"), first_statement(NEXT_MONDAY, "1166.67")]
    second = newest(world)
    assert not any(ALONE in caution for caution in second.cautions)
    with transaction.atomic(), world.scope():
        for language, says in (
            ("en", "to the overtime by the wages of the pay period"),
            ("es", "hasta las horas extra según el salario del periodo de pago"),
            ("fr", "jusqu'aux heures supplémentaires selon le salaire de la période de paie"),
        ):
            figures = statement_detail(actor=world.owner, statement=second.pk, language=language).figures
            (line,) = (line for line in figures.lines if line.text == says)
            assert line.amount == Decimal("66.67")
            assert "[" not in line.because[0].working + line.because[0].rule


@pytest.mark.parametrize(("weeks", "rules"), [(1, COLUMBIA), (2, "us-federal")])
def test_a_period_of_one_week_or_a_rate_of_the_workweek_changes_nothing(weeks: int, rules: str):
    world, _, _, _ = firm(weeks, rules)
    world.close()
    world.close(NEXT_MONDAY)
    assert paid(world) == [first_statement(MONDAY, "2000.00"), first_statement(NEXT_MONDAY, "1100.00")]


def test_the_first_week_of_the_next_period_looks_back_at_nothing():
    world, person, _, _ = firm()
    worked(world, person, THIRD_MONDAY, "1000", "10")
    for first_day in (MONDAY, NEXT_MONDAY, THIRD_MONDAY):
        world.close(first_day, now=LATER)
    assert paid(world)[2] == first_statement(THIRD_MONDAY, "1100.00")


def test_a_first_week_corrected_before_the_second_is_closed_is_looked_at_corrected():
    world, person, first, _ = firm()
    world.close()
    # 600.00 more: 3600 / 90 / 2 x 10 = 200.00, so the second week pays 100.00 above its own.
    world.entry(first, "600", person)
    looked_at = preview(world, NEXT_MONDAY)
    assert (looked_at.people[0].gross, looked_at.late[0].difference) == (Decimal("1200.00"), Decimal("600.00"))
    world.close(NEXT_MONDAY)
    assert paid(world) == [
        first_statement(MONDAY, "2000.00"),
        (MONDAY, NEXT_MONDAY, Decimal("2600.00"), Decimal("600.00"), Decimal("0")),
        (NEXT_MONDAY, NEXT_MONDAY, Decimal("1800.00"), Decimal("1200.00"), Decimal("0")),
    ]


def test_a_first_week_corrected_after_both_corrects_the_second_in_the_same_closing():
    world, person, first, _ = firm()
    world.close()
    world.close(NEXT_MONDAY)
    world.entry(first, "600", person)
    late = preview(world, THIRD_MONDAY).late
    assert [(one.first_day, one.difference) for one in late] == [
        (MONDAY, Decimal("600.00")),
        (NEXT_MONDAY, Decimal("33.33")),
    ]
    world.close(THIRD_MONDAY, now=LATER)
    assert paid(world)[2:] == [
        (MONDAY, THIRD_MONDAY, Decimal("2600.00"), Decimal("600.00"), Decimal("0")),
        (NEXT_MONDAY, THIRD_MONDAY, Decimal("1200.00"), Decimal("33.33"), Decimal("0")),
        (THIRD_MONDAY, THIRD_MONDAY, Decimal("633.33"), Decimal("0"), Decimal("0")),
    ]
    assert preview(world, THIRD_MONDAY + timedelta(days=7)).late == ()


def test_a_first_week_corrected_down_takes_nothing_back_in_the_second():
    world, person, first, _ = firm()
    world.close()
    world.close(NEXT_MONDAY)
    with transaction.atomic(), world.scope():
        entry = first.entries.get().uuid
    # 2000.00 less 560.00 is 1440.00: 2440 / 90 / 2 x 10 = 135.56, 31.11 less than the second week paid.
    world.correct(entry, first, "1440", person)
    world.close(THIRD_MONDAY, now=LATER)
    assert paid(world)[2:] == [
        (MONDAY, THIRD_MONDAY, Decimal("1440.00"), Decimal("0"), Decimal("560.00")),
        (NEXT_MONDAY, THIRD_MONDAY, Decimal("1135.56"), Decimal("0"), Decimal("31.11")),
    ]


def test_a_first_week_closed_after_the_second_is_made_good_by_the_next_closing():
    world, _, _, _ = firm()
    worked(world, world.person("Also Both"), NEXT_MONDAY, "1000", "8")
    world.week()
    told = {one.name: one.warnings for one in preview(world, NEXT_MONDAY).people}
    # One sentence for all of them, at the first by name.
    assert [name for name, said in told.items() if any("Close that week first" in one for one in said)] == ["Also Both"]
    assert any(one.startswith("Also Both, Both Weeks: no closed statement") for one in told["Also Both"])
    world.close(NEXT_MONDAY)
    assert any(ALONE in caution for caution in newest(world).cautions)
    world.close(now=LATER)
    assert [one.difference for one in preview(world, THIRD_MONDAY).late] == [Decimal("66.67")]
    world.close(THIRD_MONDAY, now=LATER + timedelta(days=1))
    assert paid(world)[3:] == [
        (NEXT_MONDAY, THIRD_MONDAY, Decimal("1166.67"), Decimal("66.67"), Decimal("0")),
        (THIRD_MONDAY, THIRD_MONDAY, Decimal("66.67"), Decimal("0"), Decimal("0")),
    ]


def test_who_was_not_paid_for_the_first_week_is_said_and_made_good_with_it():
    world, person, _, _ = firm()
    world.entry(world.unit("TRACK"), "10", person)
    world.close(not_paid=(person,))
    world.close(NEXT_MONDAY)
    assert newest(world).gross == Decimal("1100.00")
    assert any(ALONE in caution for caution in newest(world).cautions)
    # With the missing rate the first week comes to 2000.10, then 3000.10 / 90 / 2 x 10 = 166.67.
    world.rate("TRACK", "0.01", MONDAY)
    world.close(THIRD_MONDAY, now=LATER)
    assert [row[2:4] for row in paid(world)[1:3]] == [
        (Decimal("2000.10"), Decimal("2000.10")),
        (Decimal("1166.67"), Decimal("66.67")),
    ]


def test_who_did_not_work_in_the_first_week_has_the_second_alone():
    world, _, _, _ = firm()
    other = world.person("Second Only")
    worked(world, other, NEXT_MONDAY, "1000", "10")
    world.close()
    world.close(NEXT_MONDAY)
    statement = newest(world)
    assert (statement.person_id, statement.gross) == (other.pk, Decimal("1100.00"))
    assert not any(ALONE in caution for caution in statement.cautions)


def test_a_first_week_in_another_province_tells_nothing_and_so_it_is_said():
    world, _, _, _ = firm()
    away = another_job(world, "Tarn Lane Depot", "TLD", "ca-alberta")
    person = world.person("Came Over")
    worked(away, person, MONDAY, "2000", "8")
    worked(world, person, NEXT_MONDAY, "1000", "10")
    world.close()
    world.close(NEXT_MONDAY)
    statement = newest(world)
    assert (statement.person_id, statement.gross) == (person.pk, Decimal("1100.00"))
    assert any(ALONE in caution for caution in statement.cautions)


def test_final_pay_of_both_weeks_is_one_period():
    world, person, _, _ = firm()
    world.week()
    world.week(NEXT_MONDAY)
    asked = Leaving(person.pk, NEXT_MONDAY + timedelta(days=5), LET_GO)
    final_pay_close(actor=world.owner, asked=asked, now=AFTER)
    assert paid(world) == [first_statement(MONDAY, "2000.00"), first_statement(NEXT_MONDAY, "1166.67")]
    world.close()
    world.close(NEXT_MONDAY)
    assert preview(world, THIRD_MONDAY).late == ()


def test_final_pay_looks_at_a_first_week_that_it_corrects():
    world, person, first, _ = firm()
    world.close()
    world.week(NEXT_MONDAY)
    world.entry(first, "600", person)
    asked = Leaving(person.pk, NEXT_MONDAY + timedelta(days=5), LET_GO)
    final_pay_close(actor=world.owner, asked=asked, now=AFTER)
    assert paid(world)[-1] == (NEXT_MONDAY, NEXT_MONDAY, Decimal("1800.00"), Decimal("1200.00"), Decimal("0"))
    world.close(NEXT_MONDAY)
    assert preview(world, THIRD_MONDAY).late == ()


def test_a_closed_second_week_priced_again_comes_to_what_it_paid():
    world, _, _, _ = firm()
    world.close()
    world.close(NEXT_MONDAY)
    with transaction.atomic(), world.scope():
        (again,) = past_weeks(PayWeek.objects.get(first_day=NEXT_MONDAY))
        assert isinstance(again, PastWeek)
        assert again.paid == Decimal("1166.67")
        assert again.week.week_before is not None


@pytest.mark.parametrize("order", [(MONDAY, NEXT_MONDAY), (NEXT_MONDAY, MONDAY)])
def test_a_period_set_afterwards_changes_no_closed_week_until_one_is_corrected(order: tuple[date, date]):
    world, person, first, _ = firm(weeks=0)
    world.week()
    for hour, first_day in enumerate(order):
        world.close(first_day, now=AFTER + timedelta(hours=hour))
    pay_period_set(actor=world.owner, starts_on=MONDAY, weeks=2, pay_day_after=5, now=LATER)
    assert preview(world, THIRD_MONDAY).late == ()
    assert world.close(THIRD_MONDAY, now=LATER).corrections == 0
    # Then the first week is corrected: 3600 / 90 / 2 x 10 = 200.00 for the overtime of the second, not 100.00.
    world.entry(first, "600", person)
    fourth = THIRD_MONDAY + timedelta(days=7)
    assert [(one.first_day, one.difference) for one in preview(world, fourth).late] == [
        (MONDAY, Decimal("600.00")),
        (NEXT_MONDAY, Decimal("100.00")),
    ]
