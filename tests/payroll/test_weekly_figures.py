"""The weekly figures of a job, against a week worked out by hand. The arithmetic is derived; the data is invented."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction

from jobs.services.sites import budget_set
from payroll.selectors.weekly import weekly_figures
from tests.payroll.world import AFTER, LATER, MONDAY, NEXT_MONDAY, World, make_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def world() -> World:
    """Two weeks. First: 1,000 sq ft at 0.40 and 100 studs at 1.00 in 40 h, 5 h waiting at 10.00. Second: 500 sq ft
    in 10 h."""
    world = make_world()
    person = world.person("Measured")
    board, studs = world.unit("BOARD", face="left", layer=1), world.unit("STUDS")
    world.rate("BOARD", "0.40")
    world.rate("STUDS", "1.00")
    world.time_rate("waiting", "10.00")
    for code, quantity, money in (("BOARD", "10000", "5000"), ("STUDS", "2000", "2400")):
        budget_set(
            actor=world.owner,
            job=world.job.pk,
            operation=world.operations[code].pk,
            quantity=Decimal(quantity),
            labour_money=Decimal(money),
            now=AFTER,
        )
    world.entry(board, "600", person)
    world.entry(board, "400", person, on=MONDAY + timedelta(days=1))
    world.entry(studs, "100", person, on=MONDAY + timedelta(days=1))
    for day in range(4):
        world.hours(person, "10", on=MONDAY + timedelta(days=day))
    world.hours(person, "5", "waiting", on=MONDAY + timedelta(days=4))
    world.entry(board, "500", person, on=NEXT_MONDAY)
    world.hours(person, "10", on=NEXT_MONDAY)
    world.close(MONDAY)
    world.close(NEXT_MONDAY, LATER)
    return world


def figures(world: World, first_day: Any) -> dict[str, Any]:
    with transaction.atomic(), world.scope():
        return weekly_figures(job=world.job.pk, first_day=first_day)


def test_labour_is_what_statements_paid_with_premiums(world: World):
    found = figures(world, MONDAY)
    # 400.00 + 100.00 + 50.00 = 550.00 in 45 h; regular rate 12.2222; premium 5 x 6.1111 = 30.56; in all 580.56.
    assert [(row["code"], row["hours"], row["amount"]) for row in found["labour"]] == [
        ("piece", "40.00", "500.00"),
        ("waiting", "5.00", "50.00"),
        ("overtime", None, "30.56"),
    ]
    assert found["week"] == {"entries": 3, "people": 1, "hours_total": "45.00", "labour": "580.56"}


def test_units_an_hour_share_a_days_piece_hours_by_earnings(world: World):
    rows = {row["code"]: row for row in figures(world, MONDAY)["operations"]}
    # Monday: 10 h on board. Tuesday: 160.00 of board and 100.00 of studs share 10 h: 6.1538 and 3.8462. Two idle days.
    board, studs = rows["BOARD"], rows["STUDS"]
    assert (board["hours"], board["units_per_hour"]) == ("16.15", "61.90")  # 1000 / 16.1538
    assert (studs["hours"], studs["units_per_hour"]) == ("3.85", "26.00")  # 100 / 3.8462
    assert (board["pay"], board["budget"]) == ("400.00", "500.00")  # 1000 x 5000/10000
    assert (studs["pay"], studs["budget"]) == ("100.00", "120.00")  # 100 x 2400/2000
    assert (board["quantity_to_date"], board["budget_quantity"]) == ("1000", "10000")


def test_cost_per_square_foot_of_board_and_floor_against_budget(world: World):
    week, to_date, floor = figures(world, NEXT_MONDAY)["per_area"]
    # Second week: 200.00 for 500 sq ft, budget 250.00. First week: 400.00 of 500.00 piece pay is board, so 4/5 of its
    # 580.56 falls to board: 464.448. To date 664.448 over 1,500 sq ft; all labour, 780.56, over 5,000 sq ft of floor.
    assert (week["labour"], week["spent"], week["budget"], week["bid"]) == ("200.00", "0.4000", "0.5000", "0.5000")
    assert (to_date["quantity"], to_date["labour"], to_date["spent"]) == ("1500", "664.45", "0.4430")
    assert to_date["budget"] == "0.5000"
    # Floor: budget for the work done 750.00 and 120.00; as bid 7,400 over 5,000.
    assert (floor["labour"], floor["spent"], floor["budget"]) == ("780.56", "0.1561", "0.1740")
    assert floor["bid"] == "1.4800"


def test_the_history_ends_with_the_week_of_the_report(world: World):
    assert [row["first_day"] for row in figures(world, MONDAY)["weeks"]] == ["2026-11-02"]
    rows = figures(world, NEXT_MONDAY)["weeks"]
    assert [row["labour"] for row in rows] == ["580.56", "200.00"]
    assert rows[0]["board_spent"] == "0.4644"


def test_without_budget_board_or_floor_there_is_no_figure_rather_than_zero():
    world = make_world()
    person = world.person("Studs Only")
    world.rate("STUDS", "1.00")
    world.entry(world.unit("STUDS"), "100", person)
    world.hours(person, "8")
    world.close()
    found = figures(world, MONDAY)
    assert found["per_area"][0]["spent"] is None
    assert found["per_area"][2]["budget"] is None
    assert "This job has no budget, so nothing can be compared with it." in found["definitions"]
