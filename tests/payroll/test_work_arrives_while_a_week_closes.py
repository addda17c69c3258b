"""Entries, corrections, hours, prices and another plan arrive while a week is closed, from many threads on PostgreSQL:
each lands in the week or is late work of it, everybody is paid what stands once, and one week has one price."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from uuid import UUID

import pytest
from django.db import transaction
from django.db.models import Sum

from jobs.models import Entry, EntryShare, Person, WorkUnit
from jobs.refusals import Conflict, OverClaim, Refusal
from jobs.services.plans import plan_import
from payroll.models import LineAllotment, Statement, StatementLine
from payroll.selectors.chain_check import chain_breaks
from payroll.selectors.late import late_find
from payroll.services.rates import Scope, rate_set
from tests.payroll.test_a_revised_plan_cuts_nobodys_pay import plan
from tests.payroll.world import AFTER, LATER, MONDAY, NEXT_MONDAY, World, make_world
from tests.support.at_once import at_once

pytestmark = pytest.mark.usefixtures("committed_db")
IN_DECEMBER = datetime(2026, 12, 15, tzinfo=UTC)
THIRD_MONDAY = NEXT_MONDAY + timedelta(days=7)
Step = Callable[[], object]


def refused(outcomes: list[object], *known: type[Exception]) -> list[object]:
    """Outcomes that are accidents: exceptions of no kind that is known here."""
    return [one for one in outcomes if isinstance(one, Exception) and not isinstance(one, known)]


def owed(world: World) -> dict[int, Decimal]:
    """Person -> quantity of his shares of entries that nothing replaces."""
    shares = EntryShare.objects.filter(entry__replaced_by__isnull=True)
    return {row["person"]: row["sum"] for row in shares.values("person").annotate(sum=Sum("quantity"))}


def paid(world: World) -> dict[int, Decimal]:
    rows = Statement.objects.values("person").annotate(sum=Sum("difference"))
    return {row["person"]: row["sum"] for row in rows}


def paid_entries() -> list[tuple[int, int]]:
    """(entry, person) of every allotment of a statement that nothing corrects."""
    rows = LineAllotment.objects.filter(line__statement__corrected_by__isnull=True, line__code="piece")
    return list(rows.values_list("entry", "line__statement__person"))


def crew_at_work() -> tuple[World, list[Person], list[WorkUnit], dict[int, list[UUID]]]:
    """Six people, each on a work unit of his own with four entries of the first week and one of the second."""
    world = make_world()
    world.rate("BOARD", "1.00")
    people = [world.person(f"Person {number}") for number in range(6)]
    units = [world.unit("BOARD", face="left", layer=number) for number in range(6)]
    logged: dict[int, list[UUID]] = {}
    for person, unit in zip(people, units, strict=True):
        # An hour's wage is below what the pieces pay, so that pay is the pieces alone.
        world.hours(person, "1", on=MONDAY)
        logged[person.pk] = [world.entry(unit, "100", person, on=MONDAY) for _ in range(4)]
        logged[person.pk].append(world.entry(unit, "50", person, on=NEXT_MONDAY))
    world.week()
    return world, people, units, logged


def test_whatever_arrives_is_paid_once_in_the_week_or_as_its_late_work() -> None:
    world, people, units, logged = crew_at_work()

    def busy(person: Person, unit: WorkUnit) -> Step:
        def step() -> None:
            first, second, _, _, later = logged[person.pk]
            world.correct(first, unit, "120", person)
            world.entry(unit, "7", person, on=MONDAY + timedelta(days=1), now=LATER)
            world.correct(later, unit, "50", person, on=MONDAY)
            world.correct(second, unit, "130", person)
            world.hours(person, "1", on=MONDAY + timedelta(days=2))

        return step

    steps = [busy(person, unit) for person, unit in zip(people, units, strict=True)]
    outcomes = at_once(lambda step: step(), [world.close, *steps])
    assert refused(outcomes) == []
    for first_day in (NEXT_MONDAY, THIRD_MONDAY):
        # A week of its own, so that there is one to close, in which late work is paid.
        world.entry(units[0], "10", people[0], on=first_day, now=IN_DECEMBER)
        world.hours(people[0], "1", on=first_day)
        world.close(first_day, now=IN_DECEMBER)
    with transaction.atomic(), world.scope():
        # Derived: at 1.00 the money is the quantity; 120 + 130 + 100 + 100 + 7 + 50, and 20 more of the first person.
        assert owed(world) == {one.pk: Decimal(507 + 20 * (one == people[0])) for one in people}
        assert paid(world) == owed(world)
        entries = paid_entries()
        assert len(entries) == len(set(entries))
        in_force = Entry.objects.filter(replaced_by__isnull=True).values_list("pk", flat=True)
        assert {entry for entry, _ in entries} == set(in_force)
        assert late_find(None) == []
        assert chain_breaks() == []


def test_a_price_that_is_set_while_a_week_closes_pays_all_of_it_or_none() -> None:
    world, people, _, _ = crew_at_work()

    def dearer() -> object:
        scope = Scope(operation=world.operations["BOARD"].pk)
        return rate_set(actor=world.owner, scope=scope, amount=Decimal("1.50"), starts_on=MONDAY, now=AFTER)

    outcomes = at_once(lambda step: step(), [world.close, dearer])
    assert refused(outcomes, Conflict) == []
    with transaction.atomic(), world.scope():
        rates = set(StatementLine.objects.filter(code="piece").values_list("rate", flat=True))
        assert len(rates) == 1
        assert Statement.objects.count() == len(people)


def test_a_plan_that_shrinks_while_its_work_is_logged_and_paid_takes_nothing_back() -> None:
    world = make_world()
    world.rate("TRACK", "10.00")
    world.rate("BOARD", "1.00")
    people = [world.person(f"Person {number}") for number in range(4)]
    # Other work, so that the next week has somebody to pay.
    world.entry(world.unit("BOARD", wall="W-2", face="left", layer=1), "10", people[0], on=NEXT_MONDAY)
    world.hours(people[0], "1", on=NEXT_MONDAY)
    plan_import(actor=world.owner, job=world.job.pk, source=plan(120), source_name="plan.json", now=AFTER)
    with transaction.atomic(), world.scope():
        unit = WorkUnit.objects.get(operation__code="TRACK", wall__mark="W-1")
    for person in people:
        world.hours(person, "1")
    world.entry(unit, "2", people[0])
    world.week()

    def log(person: Person) -> Step:
        def step() -> int:
            kept = 0
            for _ in range(8):
                try:
                    world.entry(unit, "1", person)
                    kept += 1
                except OverClaim:
                    pass
            return kept

        return step

    def shrink(length: int) -> Step:
        source = plan(length)
        return lambda: plan_import(
            actor=world.owner, job=world.job.pk, source=source, source_name="plan.json", now=AFTER
        )

    steps = [*(log(person) for person in people), shrink(60), world.close]
    outcomes = at_once(lambda step: step(), steps)
    assert refused(outcomes, Refusal) == []
    kept = sum(one for one in outcomes if isinstance(one, int))
    world.close(NEXT_MONDAY, now=IN_DECEMBER)
    with transaction.atomic(), world.scope():
        unit.refresh_from_db()
        # Derived: 2 rows of track of 120 in are 20 LF, of 60 in are 10.
        assert unit.measured == 10
        assert unit.done == 2 + kept <= 20
        assert sum(paid(world).values()) == 10 * unit.done + 10
        assert sum(owed(world).values()) == unit.done + 10
        assert chain_breaks() == []
