"""Which rate pays: the most specific scope that has started, in a stated order, and an answer to why."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import transaction

from jobs.refusals import Conflict, Invalid, NotAllowed
from payroll.models import HeightBand, Statement
from payroll.selectors.prices import price_list
from payroll.selectors.rates import RateChoice, rate_why
from payroll.services.rates import Scope, rate_set
from tests.payroll.world import AFTER, MONDAY, NEXT_MONDAY, World, make_world

pytestmark = pytest.mark.django_db


def why(world: World, unit: object, on: date = MONDAY, worker_class: str = "journeyman") -> RateChoice:
    with transaction.atomic(), world.scope():
        return rate_why(work_unit=unit, on=on, worker_class=worker_class)  # type: ignore[arg-type]


def test_job_comes_before_wall_type_before_height_band_before_class():
    world = make_world()
    unit = world.unit("BOARD", face="left", layer=1)  # wall W-1: type P1, 108 in high
    with transaction.atomic(), world.scope():
        HeightBand.objects.create(name="over 9 ft", from_inches=Decimal(108))
    # Each rate is more specific than all before it put together.
    scopes = [
        {},
        {"worker_class": "journeyman"},
        {"height_band": "over 9 ft"},
        {"height_band": "over 9 ft", "worker_class": "journeyman"},
        {"wall_type": "P1"},
        {"job": world.job.pk},
        {"job": world.job.pk, "wall_type": "P1", "height_band": "over 9 ft", "worker_class": "journeyman"},
    ]
    for place, scope in enumerate(scopes):
        rate = world.rate("BOARD", f"0.4{place}", **scope)
        choice = why(world, unit)
        assert choice.rate == rate.pk
        assert len(choice.considered) == place + 1
    assert "A more specific rate holds." in choice.considered[-1].sentence
    assert "hang board: 0.46 a sq ft from 2026-01-01 on (job Harrow Street Clinic" in choice.sentence


def test_a_rate_of_another_wall_type_class_or_height_pays_nothing_here():
    world = make_world()
    unit = world.unit("BOARD", face="left", layer=1)
    with transaction.atomic(), world.scope():
        HeightBand.objects.create(name="high", from_inches=Decimal("108.0001"))
    for scope in ({"wall_type": "P2"}, {"worker_class": "apprentice"}, {"height_band": "high"}):
        world.rate("BOARD", "0.99", **scope)
    choice = why(world, unit)
    assert choice.rate is None
    assert choice.sentence == (
        "No rate of hang board holds for class journeyman on 2026-11-02. Set one that starts on or before that day."
    )


def test_a_rate_ends_when_the_next_of_its_scope_starts():
    world = make_world()
    unit = world.unit("BOARD", face="left", layer=1)
    first = world.rate("BOARD", "0.40", date(2026, 1, 1))
    second = world.rate("BOARD", "0.42", date(2026, 11, 4))
    assert why(world, unit, date(2026, 11, 3)).rate == first.pk
    assert why(world, unit, date(2026, 11, 4)).rate == second.pk
    assert why(world, unit, date(2025, 12, 31)).rate is None


def test_the_pay_run_and_the_answer_to_why_agree_day_by_day():
    world = make_world()
    person = world.person("Rate Change")
    unit = world.unit("BOARD", "W-2", face="left", layer=1)
    world.rate("BOARD", "0.40")
    world.rate("BOARD", "0.42", date(2026, 11, 4))
    world.rate("BOARD", "0.50", date(2026, 11, 5), wall_type="P2")
    world.rate("BOARD", "9.00", worker_class="apprentice")
    for day in range(5):
        world.entry(unit, "100", person, on=MONDAY + timedelta(days=day))
        world.hours(person, "8", on=MONDAY + timedelta(days=day))
    world.close()
    with transaction.atomic(), world.scope():
        lines = Statement.objects.get().lines.filter(code="piece").values_list("rate", "quantity", "amount")
        assert sorted(lines) == [
            (Decimal("0.40"), Decimal(200), Decimal("80.00")),
            (Decimal("0.42"), Decimal(100), Decimal("42.00")),
            (Decimal("0.50"), Decimal(200), Decimal("100.00")),
        ]
    asked = [why(world, unit, MONDAY + timedelta(days=day)).amount for day in range(5)]
    assert asked == [Decimal(each) for each in ("0.40", "0.40", "0.42", "0.50", "0.50")]


def test_a_scope_starts_once_a_day_and_a_wrong_rate_is_replaced():
    world = make_world()
    unit = world.unit("BOARD", face="left", layer=1)
    wrong = world.rate("BOARD", "4.00")
    with pytest.raises(Conflict, match=r"a rate of 4 starts on 2026-01-01 for this scope .* already"):
        world.rate("BOARD", "0.40")
    scope = Scope(operation=world.operations["BOARD"].pk)
    right = rate_set(
        actor=world.owner, scope=scope, amount=Decimal("0.40"), starts_on=date(2026, 1, 1), now=AFTER, replaces=wrong
    )
    assert why(world, unit).rate == right.pk
    with pytest.raises(Conflict, match="is not the one in force"):
        rate_set(
            actor=world.owner, scope=scope, amount=Decimal(1), starts_on=date(2026, 1, 1), now=AFTER, replaces=wrong
        )
    with transaction.atomic(), world.scope():
        assert [(row.rate, row.amount) for row in price_list(on=MONDAY)] == [(right.pk, Decimal("0.40"))]


@pytest.mark.parametrize(
    ("amount", "scope", "said"),
    [
        ("0", {"time_kind": "waiting"}, "is not above zero"),
        ("-1", {"time_kind": "waiting"}, "is not above zero"),
        ("NaN", {"time_kind": "waiting"}, "is not above zero"),
        ("0.1234567", {"time_kind": "waiting"}, "more than six decimals"),
        ("1", {}, "either an operation or a kind of time"),
        ("1", {"time_kind": "piece"}, "is not time paid by the hour"),
        ("9", {"time_kind": "waiting", "wall_type": "P1"}, "is not done on a wall"),
    ],
)
def test_a_rate_that_cannot_be_is_refused_with_a_sentence(amount: str, scope: dict[str, str], said: str):
    world = make_world()
    with pytest.raises(Invalid, match=said):
        rate_set(actor=world.owner, scope=Scope(**scope), amount=Decimal(amount), starts_on=MONDAY, now=AFTER)


def test_a_foreman_sets_no_rates():
    from dataclasses import replace

    world = make_world()
    with pytest.raises(NotAllowed):
        rate_set(
            actor=replace(world.owner, role="foreman"),
            scope=Scope(operation=world.operations["BOARD"].pk),
            amount=Decimal(1),
            starts_on=MONDAY,
            now=AFTER,
        )


def test_an_hourly_rate_does_not_reach_back_over_paid_hours():
    world = make_world()
    person = world.person("Waited")
    world.rate("BOARD", "0.40")
    world.time_rate("waiting", "9.00")
    world.entry(world.unit("BOARD", face="left", layer=1), "500", person)
    world.hours(person, "8")
    world.hours(person, "1", "waiting")
    world.close()
    with pytest.raises(Conflict, match="would reach back over hours paid up to 2026-11-02"):
        world.time_rate("waiting", "12.00", MONDAY)
    world.time_rate("waiting", "12.00", NEXT_MONDAY)
