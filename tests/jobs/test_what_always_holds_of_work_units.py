"""Any history of entries, corrections, repetitions and revised plans leaves the invariants standing after each step."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.db import connection, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.models import Entry, EntryShare, WorkUnit, WorkUnitMeasure
from jobs.refusals import Refusal
from jobs.requests import EntryRequest, PersonAsked, SharesAsked
from jobs.services.entries import entry_batch_log, entry_log
from jobs.services.entry_state import EntryAnswer
from jobs.services.plans import plan_import
from jobs.tenancy import organisation_scope
from tests.jobs.world import NOW, PLAN, World, entry, plan_bytes

QUANTITIES = st.one_of(st.none(), st.decimals("0.0001", "12", places=4))
MARKS = st.sampled_from(["A", "B"])
STEPS = st.one_of(
    st.tuples(st.just("log"), MARKS, QUANTITIES, st.integers(1, 5)),
    st.tuples(st.just("correct"), st.integers(0, 30), st.one_of(st.just(Decimal(0)), QUANTITIES), st.integers(1, 5)),
    st.tuples(st.just("repeat"), st.integers(0, 30)),
    st.tuples(st.just("batch"), st.lists(st.tuples(MARKS, QUANTITIES), min_size=1, max_size=4)),
    st.tuples(st.just("revise"), st.sampled_from([60, 90, 120, 150])),
)


@dataclass
class History:
    """What was asked and answered so far."""

    world: World
    answered: dict[EntryRequest, EntryAnswer] = field(default_factory=dict)
    done: dict[int, Decimal] = field(default_factory=dict)


@given(steps=st.lists(STEPS, max_size=12))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_invariants_hold_after_every_step(world: World, steps: list[Any]):
    with transaction.atomic():
        history = History(world)
        for step in steps:
            _take(history, step)
            check_invariants(history, lowered_plan=step[0] == "revise")
        transaction.set_rollback(True)


def _take(history: History, step: Any) -> None:
    world = history.world
    if step[0] == "revise":
        walls = [dict(wall) for wall in PLAN["levels"][0]["walls"]]
        walls[0]["to"] = [step[1], 0]
        source = plan_bytes(levels=[{"name": "Level 1", "walls": walls}])
        plan_import(actor=world.owner, job=world.job, source=source, source_name="room.json", now=NOW)
    elif step[0] == "batch":
        requests = [_request(world, mark, quantity) for mark, quantity in step[1]]
        outcomes = entry_batch_log(actor=world.foreman, requests=requests, now=NOW)
        pairs = zip(requests, outcomes, strict=True)
        history.answered |= {asked: told for asked, told in pairs if isinstance(told, EntryAnswer)}
    elif step[0] == "log":
        _log(history, _request(world, step[1], step[2], step[3]))
    elif history.answered:
        asked = list(history.answered)[step[1] % len(history.answered)]
        if step[0] == "repeat":
            assert entry_log(actor=world.foreman, request=asked, now=NOW) == history.answered[asked]
        else:
            quantity = None if step[2] is None else str(step[2])
            _log(history, entry(world, None, quantity, replaces=asked.uuid, shares=_shares(world, step[3])))


def _request(world: World, mark: str, quantity: Decimal | None, people: int = 5) -> EntryRequest:
    said = None if quantity is None else str(quantity)
    return entry(world, world.unit(mark, "TRACK"), said, shares=_shares(world, people))


def _shares(world: World, people: int) -> SharesAsked:
    weights = (Decimal(1), Decimal("0.5"), Decimal(3), Decimal("1.25"), Decimal(2))
    asked = zip(world.people[:people], weights, strict=False)
    return SharesAsked("weight", people=tuple(PersonAsked(person, weight) for person, weight in asked))


def _log(history: History, request: EntryRequest) -> None:
    try:
        history.answered[request] = entry_log(actor=history.world.foreman, request=request, now=NOW)
    except Refusal as refusal:
        assert refusal.mistakes
        assert all(mistake.sentence for mistake in refusal.mistakes)


def check_invariants(history: History, *, lowered_plan: bool) -> None:
    with organisation_scope(history.world.organisation):
        assert Entry.objects.count() == len(history.answered)
        for unit in WorkUnit.objects.filter(operation__code="TRACK"):
            in_force = Entry.objects.filter(work_unit=unit, replaced_by__isnull=True).values_list("quantity", flat=True)
            assert unit.done == sum(in_force)
            before = history.done.get(unit.pk, Decimal(0))
            assert unit.done <= max(unit.measured, before)
            assert not lowered_plan or unit.done == before
            history.done[unit.pk] = unit.done
            last = WorkUnitMeasure.objects.filter(work_unit=unit).latest("pk")
            assert last.measured == unit.measured
        for logged in Entry.objects.prefetch_related("shares"):
            assert sum(share.quantity for share in logged.shares.all()) == logged.quantity
        assert not EntryShare.objects.filter(quantity__lt=0).exists()
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute("SET CONSTRAINTS ALL DEFERRED")
