"""A job's labour against its bid with the open week in it, and its forecast. Figures derived by hand."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import transaction

from jobs.models import Person, WorkUnit
from jobs.services.sites import budget_set
from payroll.models import Statement
from payroll.selectors.job_forecast import JobForecast, job_forecast
from payroll.selectors.weekly import weekly_figures
from tests.payroll.world import AFTER, MONDAY, NEXT_MONDAY, World, make_world


@pytest.fixture
def world(db: None) -> World:
    """1000 sq ft of board to hang, bid at 0.50; paid at 0.60."""
    world = make_world()
    world.rate("BOARD", "0.60")
    world.time_rate("waiting", "20.00")
    budget_set(
        actor=world.owner, job=world.job.pk, operation=world.operations["BOARD"].pk, quantity=Decimal(1000),
        labour_money=Decimal(500), now=AFTER,
    )  # fmt: skip
    return world


def forecast(world: World) -> JobForecast:
    with transaction.atomic(), world.scope():
        return job_forecast(job=world.job.pk)


def one_day(world: World, person: Person, unit: WorkUnit, quantity: str, monday: bool = True) -> None:
    on = MONDAY if monday else NEXT_MONDAY
    world.entry(unit, quantity, person, on=on)
    world.hours(person, "8", on=on)


def test_the_open_week_is_in_it_before_anybody_opens_or_closes_it(world: World) -> None:
    board = world.unit("BOARD", face="left", measured="1000")
    one_day(world, world.person("One"), board, "400")
    found = forecast(world)
    # 400 x 0.60 = 240.00 spent where 200.00 was bid; 600 left at 0.60: 600.00 in all, bid 500.00.
    assert (found.closed, found.spent, found.earned) == (Decimal(0), Decimal("240.00"), Decimal("200.00"))
    assert [(week.first_day, week.labour) for week in found.open_weeks] == [(MONDAY, Decimal("240.00"))]
    assert (found.forecast, found.bid, found.bid_forecast) == (Decimal("600.00"), Decimal("500.00"), Decimal("600.00"))
    (row,) = found.rows
    assert (row.left, row.bid_each, row.spent_each, row.over) == (600, Fraction("0.5"), Fraction("0.6"), Decimal(100))
    # 5000 sq ft of floor.
    assert (found.spent_sqft, found.forecast_sqft, found.bid_sqft) == (
        Fraction("0.048"),
        Fraction("0.12"),
        Fraction("0.1"),
    )


def test_closing_a_week_moves_no_figure(world: World) -> None:
    board = world.unit("BOARD", face="left", measured="1000")
    one = world.person("One")
    one_day(world, one, board, "400")
    world.hours(one, "2", kind="waiting", on=MONDAY + timedelta(days=1))
    before = forecast(world)
    # 240.00 of pieces and 2 h of waiting at 20.00.
    assert before.spent == Decimal("280.00")
    world.close()
    after = forecast(world)
    assert (after.closed, after.open_weeks) == (Decimal("280.00"), ())
    assert (after.spent, after.forecast, after.rows) == (before.spent, before.forecast, before.rows)
    with transaction.atomic(), world.scope():
        report = weekly_figures(job=world.job.pk, first_day=MONDAY)
    assert report["per_area"][2]["labour"] == "280.00"


def test_closed_and_open_weeks_add_up_and_corrections_count_once(world: World) -> None:
    board = world.unit("BOARD", face="left", measured="1000")
    one = world.person("One")
    entry = world.entry(board, "400", one)
    world.hours(one, "8")
    world.close()
    world.correct(entry, board, "500", one)
    one_day(world, one, board, "100", monday=False)
    found = forecast(world)
    # The closed week as it was paid and the 60.00 its correction adds; then 300.00 and 60.00.
    assert (found.closed, found.spent) == (Decimal("240.00"), Decimal("360.00"))
    assert [(week.first_day, week.labour) for week in found.late_weeks] == [(MONDAY, Decimal("60.00"))]
    (row,) = found.rows
    assert (row.spent_each, row.forecast) == (Fraction("0.6"), Decimal("600.00"))
    world.close(NEXT_MONDAY)
    found = forecast(world)
    assert (found.closed, found.spent, found.open_weeks) == (Decimal("360.00"), Decimal("360.00"), ())


def test_an_operation_not_begun_is_taken_at_its_bid_or_said(world: World) -> None:
    board = world.unit("BOARD", face="left", measured="1000")
    world.unit("TAPE4", measured="300")
    world.unit("STUDS", measured="50")
    budget_set(
        actor=world.owner, job=world.job.pk, operation=world.operations["TAPE4"].pk, quantity=Decimal(100),
        labour_money=Decimal(40), now=AFTER,
    )  # fmt: skip
    one_day(world, world.person("One"), board, "1000")
    found = forecast(world)
    rows = {row.name: row for row in found.rows}
    assert (rows["tape, level 4"].forecast, rows["tape, level 4"].bid) == (Decimal("120.00"), Decimal("120.00"))
    assert rows["stand studs"].forecast is None
    assert found.unknown == ("stand studs: not begun and not bid, so what is left of it is in no figure.",)
    assert found.forecast == Decimal("720.00")


def test_who_cannot_be_priced_is_left_out_and_said(world: World) -> None:
    board, track = world.unit("BOARD", face="left", measured="1000"), world.unit("TRACK", measured="100")
    one_day(world, world.person("One"), board, "400")
    one_day(world, world.person("Two"), track, "50")
    (week,) = forecast(world).open_weeks
    assert week.labour == Decimal("240.00")
    assert "Two: lay out and track" in week.stopped[0]
    assert "no rate holds" in week.stopped[0]


def test_it_writes_nothing_and_a_bare_job_has_nothing(world: World) -> None:
    found = forecast(world)
    assert (found.spent, found.forecast, found.open_weeks) == (Decimal(0), Decimal(0), ())
    with transaction.atomic(), world.scope():
        assert not Statement.objects.exists()


def test_hours_alone_are_spent_and_forecast(world: World) -> None:
    world.hours(world.person("One"), "8", kind="waiting")
    found = forecast(world)
    assert (found.spent, found.forecast) == (Decimal("160.00"), Decimal("160.00"))


def test_money_overpaid_and_not_taken_back_is_spent(world: World) -> None:
    board = world.unit("BOARD", face="left", measured="1000")
    one = world.person("One")
    entry = world.entry(board, "400", one)
    world.hours(one, "8")
    world.close()
    world.correct(entry, board, "300", one)
    found = forecast(world)
    # 240.00 paid, of which 60.00 will stand overpaid: no sum moves before the correction is written, nor after it.
    assert (found.closed, found.overpaid, found.spent) == (Decimal("240.00"), Decimal(0), Decimal("240.00"))
    assert [week.stopped for week in found.late_weeks] == [
        ("One: what was paid is above what the week comes to now, so no sum moves yet.",)
    ]
    world.close(NEXT_MONDAY)
    found = forecast(world)
    assert (found.closed, found.overpaid, found.spent) == (Decimal("180.00"), Decimal("60.00"), Decimal("240.00"))
    # 700 left at 0.60: 180.00 + 420.00, and the 60.00.
    assert (found.forecast, found.bid_forecast, found.not_bid) == (Decimal("660.00"), Decimal("600.00"), Decimal(0))


def test_work_that_came_late_for_a_closed_week_is_spent(world: World) -> None:
    board = world.unit("BOARD", face="left", measured="1000")
    one, two = world.person("One"), world.person("Two")
    one_day(world, one, board, "400")
    world.close()
    one_day(world, two, board, "200")
    found = forecast(world)
    # 200 x 0.60 beside the 240.00 that were paid.
    assert (found.spent, found.earned) == (Decimal("360.00"), Decimal("300.00"))
    world.close(NEXT_MONDAY)
    after = forecast(world)
    assert (after.closed, after.spent, after.late_weeks) == (Decimal("360.00"), Decimal("360.00"), ())


def test_what_nobody_bid_stands_apart_from_what_was_bid(world: World) -> None:
    world.rate("TAPE4", "0.30")
    one = world.person("One")
    one_day(world, one, world.unit("BOARD", face="left", measured="1000"), "400")
    world.entry(world.unit("TAPE4", measured="100"), "100", one)
    found = forecast(world)
    # Board 600.00 against 500.00 as bid; 100 of tape at 0.30, bid by nobody.
    assert (found.forecast, found.bid_forecast, found.not_bid) == (
        Decimal("630.00"),
        Decimal("600.00"),
        Decimal("30.00"),
    )
    assert (found.bid, found.over) == (Decimal("500.00"), Decimal("100.00"))
