"""Somebody leaves: his open weeks are paid by a closing of his own, once; for everybody else the week stays open."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection, transaction

from jobs.models import AuditRecord, Person
from jobs.refusals import Conflict, Invalid, NotAllowed, NotFound
from payroll.law import ParameterMissing, the_book
from payroll.law.pay_days import LET_GO, QUIT_WITH_NOTICE, QUIT_WITHOUT_NOTICE, final_pay_due, pay_day_due
from payroll.models import FinalPay, PayWeek, Statement
from payroll.selectors.chain_check import chain_breaks
from payroll.selectors.statements import statement_detail
from payroll.selectors.weeks import week_preview
from payroll.services.final_pay import Leaving, final_pay_close
from tests.payroll.world import AFTER, LATER, MONDAY, NEXT_MONDAY, World, make_world
from tests.support.at_once import at_once

TUESDAY = MONDAY + timedelta(days=1)


def leave(world: World, person: Person, last_day: date = TUESDAY, leaving: str = LET_GO) -> list[Statement]:
    return final_pay_close(actor=world.owner, asked=Leaving(person.pk, last_day, leaving), now=AFTER)


def two_people(rules: str = "us-federal") -> tuple[World, Person, Person, Any]:
    world = make_world(rules=rules)
    world.rate("BOARD", "0.40")
    leaver, stayer = world.person("Leaver"), world.person("Stayer")
    unit = world.unit("BOARD", face="left", layer=1)
    for person in (leaver, stayer):
        world.entry(unit, "1000", person)
        world.hours(person, "8")
    return world, leaver, stayer, unit


def standing(world: World) -> list[tuple[str, Decimal, Decimal, bool]]:
    with transaction.atomic(), world.scope():
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        assert chain_breaks() == []
        rows = Statement.objects.select_related("person").order_by("number")
        return [(row.person.name, row.gross, row.difference, row.pay_week_id == row.paid_in_id) for row in rows]


@pytest.mark.django_db
def test_one_is_paid_and_the_week_stays_open_for_the_others():
    world, leaver, stayer, unit = two_people()
    world.week()
    (statement,) = leave(world, leaver)
    with transaction.atomic(), world.scope():
        assert PayWeek.objects.get().state == "open"
        final = FinalPay.objects.get()
        assert (final.statement_id, final.last_day, final.leaving) == (statement.pk, TUESDAY, LET_GO)
        preview = week_preview(pay_week=PayWeek.objects.get().pk)
        assert {one.name: one.final for one in preview.people} == {"Leaver": statement.pk, "Stayer": None}
        assert preview.gross == Decimal("400.00")
        figures = statement_detail(actor=world.owner, statement=statement.pk).figures
        assert figures.closed_on == AFTER.date()
        assert AuditRecord.objects.filter(action="final_pay_close").count() == 1
    world.entry(unit, "500", stayer)
    closing = world.close()
    assert (closing.statements, closing.gross) == (1, Decimal("600.00"))
    assert standing(world) == [
        ("Leaver", Decimal("400.00"), Decimal("400.00"), True),
        ("Stayer", Decimal("600.00"), Decimal("600.00"), True),
    ]
    assert world.close(NEXT_MONDAY).statements == 0


@pytest.mark.django_db
def test_what_comes_in_afterwards_is_a_late_week():
    world, leaver, _, unit = two_people()
    world.week()
    leave(world, leaver)
    world.entry(unit, "250", leaver)
    closing = world.close()
    assert closing.statements == 1
    world.close(NEXT_MONDAY)
    assert [row for row in standing(world) if row[0] == "Leaver"] == [
        ("Leaver", Decimal("400.00"), Decimal("400.00"), True),
        ("Leaver", Decimal("500.00"), Decimal("100.00"), False),
        ("Leaver", Decimal("100.00"), Decimal("0.00"), True),
    ]


@pytest.mark.django_db
def test_it_pays_what_earlier_weeks_still_owe_and_every_open_week():
    world, leaver, _, unit = two_people()
    world.close()
    world.entry(unit, "250", leaver, now=LATER)
    world.entry(world.unit("BOARD", "W-2", face="left", layer=1), "500", leaver, on=NEXT_MONDAY)
    world.hours(leaver, "8", on=NEXT_MONDAY)
    world.week(NEXT_MONDAY)
    (statement,) = leave(world, leaver, NEXT_MONDAY)
    # Derived: 200.00 of the open week and the 100.00 that the closed one came to more.
    assert statement.gross == Decimal("300.00")
    assert world.close(NEXT_MONDAY).corrections == 0
    third = NEXT_MONDAY + timedelta(days=7)
    assert world.close(third, now=LATER + timedelta(days=7)).corrections == 0


@pytest.mark.django_db
def test_it_is_written_once_and_says_what_stands_against_it():
    world, leaver, stayer, _ = two_people()
    with pytest.raises(Conflict, match="has work on 2026-11-02, in a week that is not open yet"):
        leave(world, leaver)
    world.week()
    with pytest.raises(Conflict, match="has work on 2026-11-02, after the last day 2026-11-01"):
        leave(world, leaver, MONDAY - timedelta(days=1))
    with pytest.raises(Invalid, match="'vanished' is unknown"):
        leave(world, leaver, leaving="vanished")
    nobody = replace(world.owner, membership=None)
    with pytest.raises(NotAllowed):
        final_pay_close(actor=nobody, asked=Leaving(leaver.pk, TUESDAY, LET_GO), now=AFTER)
    with pytest.raises(NotFound):
        leave(make_world("Bramble Partitions"), leaver)
    world.entry(world.unit("STUDS"), "20", stayer)
    with pytest.raises(Conflict, match=r"Stayer: stand studs on Harrow Street Clinic.* no rate holds"):
        leave(world, stayer)
    leave(world, leaver)
    with pytest.raises(Conflict, match="Leaver has nothing left to be paid"):
        leave(world, leaver)
    with transaction.atomic(), world.scope():
        assert Statement.objects.count() == 1


def test_a_closing_and_final_pay_at_the_same_moment_pay_once(committed_db: None):
    world, leaver, _, _ = two_people()
    world.week()
    outcomes = at_once(lambda step: step(), [lambda: leave(world, leaver), world.close, lambda: leave(world, leaver)])
    assert not [one for one in outcomes if isinstance(one, Exception) and not isinstance(one, Conflict)]
    assert sorted(row[0] for row in standing(world)) == ["Leaver", "Stayer"]


@pytest.mark.django_db
def test_the_statement_says_when_it_is_due():
    # California Labor Code 201(a): at once, so on the last day. Read in a commentary that quotes it.
    world, leaver, _, _ = two_people("us-california")
    world.week()
    (statement,) = leave(world, leaver)
    assert f"Final pay, last day {TUESDAY}: due by {TUESDAY} at the latest." in statement.cautions
    assert any(
        "is paid at once" in one and "(California Labor Code 201, 202, 203.)" in one for one in statement.cautions
    )


@pytest.mark.parametrize(
    ("rules", "leaving", "days"),
    # California Labor Code 201(a), 202(a): at once; 72 hours without notice; on the last day with it (secondary).
    # British Columbia ESA s. 18: 48 hours, six days (official text). Ontario s. 11(5) and Alberta have two dates to
    # choose from, federal law none: words without a day.
    [
        ("us-california", LET_GO, 0),
        ("us-california", QUIT_WITH_NOTICE, 0),
        ("us-california", QUIT_WITHOUT_NOTICE, 3),
        ("ca-british-columbia", LET_GO, 2),
        ("ca-british-columbia", QUIT_WITH_NOTICE, 6),
        ("ca-british-columbia", QUIT_WITHOUT_NOTICE, 6),
        ("ca-ontario", LET_GO, None),
        ("ca-alberta", LET_GO, None),
        ("us-federal", LET_GO, None),
    ],
)
def test_final_pay_is_due_by_the_rule_of_the_place(rules: str, leaving: str, days: int | None):
    due = final_pay_due(the_book(), rules, leaving, TUESDAY)
    assert due.by == (None if days is None else TUESDAY + timedelta(days=days))
    assert due.rule.cite in due.sentence and due.rule.checked in due.sentence


@pytest.mark.parametrize(
    ("rules", "days"),
    # California Labor Code 204(d): 7 days (secondary). Alberta Code s. 8: 10 days (official page). British Columbia ESA
    # s. 17: 8 days (official page).
    [("us-california", 7), ("ca-alberta", 10), ("ca-british-columbia", 8), ("ca-ontario", None), ("us-federal", None)],
)
def test_a_pay_day_is_due_by_the_rule_of_the_place(rules: str, days: int | None):
    ends = MONDAY + timedelta(days=6)
    assert pay_day_due(the_book(), rules, ends).by == (None if days is None else ends + timedelta(days=days))
    with pytest.raises(ParameterMissing):
        pay_day_due(the_book(), "nowhere", ends)
