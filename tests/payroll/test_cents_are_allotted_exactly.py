"""The cents of a piece line, shared over its entries in SQL: exact, by largest remainder, as the engine's own rule
has it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import connection, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from payroll.law import allot
from payroll.models import LineAllotment, StatementLine
from payroll.selectors.gathered import gather
from payroll.services.statement_writing import allotment_parts
from tests.payroll.world import MONDAY, make_world


@pytest.mark.django_db
def test_a_line_of_three_equal_entries_gives_the_odd_cent_to_the_first():
    # Derived: 3 x 1/3 of 1.00 is 0.34, 0.33, 0.33 by largest remainder, ties by entry.
    world = make_world()
    person = world.person("Thirds")
    unit = world.unit("BOARD", face="left", layer=1)
    world.rate("BOARD", "0.333333")
    for day in range(3):
        world.entry(unit, "1", person, on=MONDAY + timedelta(days=day))
    world.hours(person, "0.1")
    world.close()
    with transaction.atomic(), world.scope():
        line = StatementLine.objects.get(code="piece")
        assert line.amount == Decimal("1.00")
        amounts = LineAllotment.objects.filter(line=line).order_by("entry_id").values_list("amount", flat=True)
        assert list(amounts) == [Decimal("0.34"), Decimal("0.33"), Decimal("0.33")]


QUANTITIES = st.lists(st.integers(1, 10**9), min_size=1, max_size=40)


@pytest.mark.django_db
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(ticks=QUANTITIES, cents=st.integers(0, 10**9))
def test_sql_and_engine_share_alike(ticks: list[int], cents: int):
    quantities = [Decimal(each) / 10**4 for each in ticks]
    amount = Decimal(cents) / 100
    given_rows = (
        "SELECT 1 AS line, key, quantity, %s::numeric AS amount, %s::numeric AS total "
        "FROM unnest(%s::bigint[], %s::numeric[]) AS of(key, quantity)"
    )
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT key, part FROM ({allotment_parts(given_rows)}) shared",
            [amount, sum(quantities), list(range(len(quantities))), quantities],
        )
        ours = dict(cursor.fetchall())
    assert sum(ours.values()) == amount
    assert ours == allot(amount, [(key, Fraction(each)) for key, each in enumerate(quantities)])


@pytest.mark.django_db
def test_a_crew_of_three_shares_an_entry_and_its_cents_whole():
    world = make_world()
    crew = [world.person(f"Crew {number}") for number in range(3)]
    unit = world.unit("BOARD", face="left", layer=1)
    world.rate("BOARD", "0.41")
    for day in range(5):
        world.entry(unit, f"{100 + day}.01", *crew, on=MONDAY + timedelta(days=day))
    for person in crew:
        world.hours(person, "8")
    world.close()
    with transaction.atomic(), world.scope():
        for line in StatementLine.objects.filter(code="piece"):
            parts = LineAllotment.objects.filter(line=line)
            assert sum(part.amount for part in parts) == line.amount
            assert sum(part.quantity for part in parts) == line.quantity
        assert sum(part.quantity for part in LineAllotment.objects.all()) == Decimal("510.05")
        assert len(gather("again", MONDAY).people) == 3
