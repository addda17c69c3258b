"""One worker, one week, two rule sets: priced in parts, closed whole, corrected under both; or refused, and why."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection, transaction
from django.db.models import Sum

from payroll.models import JobShare, Statement
from payroll.selectors.chain_check import chain_breaks
from payroll.selectors.weeks import week_preview
from tests.payroll.world import LATER, MONDAY, NEXT_MONDAY, World, another_job, make_world

pytestmark = pytest.mark.django_db


def work(world: World, person: object, days: range, hours: str, quantity: str) -> None:
    """`quantity` sq ft on the first of the days and hours on each, on the world's own job."""
    unit = world.unit("BOARD", face="left", layer=1)
    world.entry(unit, quantity, person, on=MONDAY + timedelta(days=days[0]))  # type: ignore[arg-type]
    for day in days:
        world.hours(person, hours, on=MONDAY + timedelta(days=day))  # type: ignore[arg-type]


def two_states() -> tuple[World, World, object]:
    """600.00 in 3 x 10 h under federal rules alone, then 500.00 in 2 x 10 h in California."""
    here = make_world()
    there = another_job(here, "Fennel Row", "FEN", "us-california")
    here.rate("BOARD", "1.00")
    person = here.person("Both Sides")
    work(here, person, range(3), "10", "600")
    work(there, person, range(3, 5), "10", "500")
    return here, there, person


def test_each_place_prices_its_part_and_federal_law_the_whole():
    # California Labor Code 510: 2 h past 8 on two days, 4 x half of 500 / 20 = 50.00. 29 CFR 778.103, 778.104: one
    # workweek of 50 h, 1100 / 50 = 22.00, 10 x 11.00 = 110.00, less the 50.00 (29 CFR 778.421). Figures derived.
    here, there, _ = two_states()
    week = here.week()
    with transaction.atomic(), here.scope():
        (one,) = week_preview(pay_week=week.pk).people
    assert (one.gross, one.hours, one.stopped) == (Decimal("1210.00"), Decimal("50"), ())
    here.close()
    with transaction.atomic(), here.scope(), connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        statement = Statement.objects.get()
        assert statement.rule_set == "us-california, us-federal"
        assert statement.gross == Decimal("1210.00")
        lines = {line.text: line.amount for line in statement.lines.all()}
        assert lines["federal overtime over all places"] == Decimal("60.00")
        assert lines["overtime premium, us-california"] == Decimal("50.00")
        borne = dict(JobShare.objects.values_list("job").annotate(sum=Sum("amount")))
        # Derived: 60.00 by hours, 30 to 20.
        assert borne == {here.job.pk: Decimal("636.00"), there.job.pk: Decimal("574.00")}
        assert {value["jurisdiction"] for value in statement.parameters} == {"us-california", "us-federal"}
        assert chain_breaks() == []


def test_a_late_entry_is_corrected_under_both():
    here, _, person = two_states()
    here.close()
    here.entry(here.unit("BOARD", "W-2", face="left", layer=1), "100", person, now=LATER)  # type: ignore[arg-type]
    here.week(NEXT_MONDAY)
    here.close(NEXT_MONDAY)
    with transaction.atomic(), here.scope():
        corrected = Statement.objects.get(number=2)
    # Derived: 1200 / 50 = 24.00, 10 x 12.00 = 120.00 less 50.00 is 70.00: 600 + 100 + 500 + 50 + 70.
    assert (corrected.gross, corrected.difference) == (Decimal("1320.00"), Decimal("110.00"))
    assert corrected.rule_set == "us-california, us-federal"


def test_what_is_not_settled_stops_that_person_and_nobody_else():
    # Ontario and Alberta together past 44 h: whether hours elsewhere count is for that law (ESA, 2000, s. 3(1)).
    here = make_world(rules="ca-ontario")
    there = another_job(here, "Fennel Row", "FEN", "ca-alberta")
    here.rate("BOARD", "1.00")
    both, one = here.person("Both Sides"), here.person("One Side")
    work(here, both, range(3), "10", "800")
    work(there, both, range(3, 5), "10", "600")
    unit = here.unit("BOARD", "W-2", face="left", layer=1)
    here.entry(unit, "900", one)
    here.hours(one, "10")
    closing = here.close(not_paid=(both,))
    assert closing.statements == 1
    (stopped,) = closing.stopped
    assert stopped.name == "Both Sides"
    assert "past its 44 h, and whether hours worked elsewhere count is for that law" in " ".join(stopped.sentences)


def test_within_every_limit_two_provinces_are_paid():
    # Derived: nothing hangs on all hours together within 8 h a day and 40 h: 500.00 and 400.00.
    here = make_world(rules="ca-ontario")
    there = another_job(here, "Fennel Row", "FEN", "ca-alberta")
    here.rate("BOARD", "1.00")
    person = here.person("Both Sides")
    work(here, person, range(2), "8", "500")
    work(there, person, range(2, 4), "8", "400")
    closing = here.close()
    assert (closing.statements, closing.gross, closing.stopped) == (1, Decimal("900.00"), ())


def test_two_currencies_in_one_week_are_refused_with_what_to_do():
    here = make_world()
    there = another_job(here, "Fennel Row", "FEN", "ca-alberta")
    here.rate("BOARD", "1.00")
    person = here.person("Both Sides")
    work(here, person, range(2), "8", "500")
    work(there, person, range(2, 4), "8", "400")
    (stopped,) = here.close(not_paid=(person,)).stopped
    assert "Price each as a week of its own" in stopped.sentences[0]
