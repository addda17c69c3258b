"""Final pay that was written before another week closed comes back at its place of the chain."""

from __future__ import annotations

from decimal import Decimal

from django.db import transaction

from jobs.tenancy import organisation_scope
from payroll.law.pay_days import LET_GO
from payroll.models import FinalPay, Statement
from payroll.services.final_pay import Leaving, final_pay_close
from tests.payroll.test_an_organisation_can_be_taken_away import export, restore
from tests.payroll.world import AFTER, LATER, MONDAY, NEXT_MONDAY, make_world


def test_final_pay_written_before_another_week_closed_comes_back_in_its_place(committed_db: None):
    world = make_world()
    world.rate("BOARD", "0.40")
    leaver, stayer = world.person("Leaver"), world.person("Stayer")
    unit = world.unit("BOARD", face="left", layer=1)
    world.entry(unit, "500", leaver, on=NEXT_MONDAY)
    world.hours(leaver, "8", on=NEXT_MONDAY)
    world.entry(unit, "700", stayer)
    world.hours(stayer, "8")
    for first_day in (MONDAY, NEXT_MONDAY):
        world.week(first_day)
    final_pay_close(actor=world.owner, asked=Leaving(leaver.pk, NEXT_MONDAY, LET_GO), now=AFTER)
    world.close()
    world.close(NEXT_MONDAY, now=LATER)
    restored = restore(export(world.organisation))
    assert restored.breaks == ()
    with transaction.atomic(), organisation_scope(restored.organisation):
        found = Statement.objects.order_by("number").values_list("person__name", "paid_in__first_day", "gross")
        assert list(found) == [("Leaver", NEXT_MONDAY, Decimal("200.00")), ("Stayer", MONDAY, Decimal("280.00"))]
        assert FinalPay.objects.get().statement.number == 1
