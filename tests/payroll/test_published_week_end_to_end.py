"""The published worked example of 29 CFR 778.111(a), from entries and hours through the database to a closed
statement."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import transaction

from payroll.models import JobShare, LineAllotment, Statement
from tests.payroll.world import MONDAY, make_world


@pytest.mark.django_db
def test_the_example_of_778_111_a_comes_to_575_30():
    # 29 CFR 778.111(a): 491.00 of piece earnings for 46 hours, 4 hours of waiting at 8.00, 50 hours in all. Total
    # 523.00,
    # regular rate 10.46, premium for 10 hours 52.30, pay 575.30. Read in the official text.
    world = make_world()
    person = world.person("A. Example")
    board, studs = world.unit("BOARD", face="left", layer=1), world.unit("STUDS")
    world.rate("BOARD", "0.40")
    world.rate("STUDS", "1.00")
    world.time_rate("waiting", "8.00")
    world.entry(board, "700", person)
    world.entry(board, "300", person, on=MONDAY + timedelta(days=3))
    world.entry(studs, "91", person, on=MONDAY + timedelta(days=4))
    for day, hours in enumerate(("10", "10", "9", "9", "8")):
        world.hours(person, hours, on=MONDAY + timedelta(days=day))
    world.hours(person, "4", "waiting", on=MONDAY + timedelta(days=4))

    closing = world.close()

    assert (closing.statements, closing.gross, closing.stopped) == (1, Decimal("575.30"), ())
    with transaction.atomic(), world.scope():
        statement = Statement.objects.get(pay_week=closing.pay_week)
        lines = [(line.code, line.quantity, line.amount) for line in statement.lines.order_by("position")]
        assert lines == [
            ("piece", Decimal("91"), Decimal("91.00")),
            ("piece", Decimal("1000"), Decimal("400.00")),
            ("waiting", Decimal("4"), Decimal("32.00")),
            ("overtime", Decimal("10"), Decimal("52.30")),
        ]
        assert statement.regular_rate == "523/50"  # 10.46
        assert statement.gross == Decimal("575.30")
        assert statement.hours == {
            "total": "50",
            "overtime": "10",
            "double": "0",
            "by_kind": {"piece": "46", "waiting": "4"},
        }
        allotted = LineAllotment.objects.order_by("entry_id").values_list("quantity", "amount")
        assert list(allotted) == [
            (Decimal("700"), Decimal("280.00")),
            (Decimal("300"), Decimal("120.00")),
            (Decimal("91"), Decimal("91.00")),
        ]
        assert sum(JobShare.objects.values_list("amount", flat=True)) == Decimal("575.30")
