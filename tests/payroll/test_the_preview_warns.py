"""What the office is told before it closes: who would be stopped and why, and what deserves a second look."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import transaction

from jobs.models import Hours, Receipt
from jobs.refusals import Conflict
from payroll.models import Statement
from payroll.selectors.weeks import PreviewPerson, week_list, week_preview
from tests.payroll.world import AFTER, MONDAY, World, make_world

pytestmark = pytest.mark.django_db


def preview(world: World) -> dict[str, PreviewPerson]:
    week = world.week()
    with transaction.atomic(), world.scope():
        return {each.name: each for each in week_preview(pay_week=week.pk).people}


def test_hours_without_pieces_and_pieces_without_hours_are_named():
    world = make_world()
    world.rate("BOARD", "0.40")
    unit = world.unit("BOARD", face="left", layer=1)
    bare, idle, partly, whole = (world.person(name) for name in ("Bare", "Idle", "Partly", "Whole"))
    for person in (bare, partly, whole):
        world.entry(unit, "100", person)
    world.hours(idle, "8")
    world.hours(whole, "8")
    world.hours(partly, "8", on=MONDAY + timedelta(days=1))
    found = preview(world)
    assert "pieces but no hours. Neither overtime nor the minimum wage can be tested" in found["Bare"].warnings[0]
    assert found["Idle"].warnings == ("Idle: hours but no pieces. Ask whether entries are missing.",)
    assert found["Partly"].warnings == (
        "Partly: pieces but no hours on Mon 2 Nov 2026. Ask for the hours of those days.",
        "Partly: piece hours but no pieces on Tue 3 Nov 2026. Ask whether entries are missing.",
    )
    assert found["Whole"].warnings == ()
    assert found["Whole"].gross == Decimal("58.00")  # 8 h x 7.25 tops 40.00 up


def test_a_missing_rate_stops_one_person_and_nobody_else():
    world = make_world()
    world.rate("BOARD", "0.40", worker_class="journeyman")
    unit = world.unit("BOARD", face="left", layer=1)
    journeyman, apprentice = world.person("Journeyman"), world.person("Apprentice", "apprentice")
    for person in (journeyman, apprentice):
        world.entry(unit, "100", person)
        world.hours(person, "5")
    found = preview(world)
    assert found["Journeyman"].stopped == ()
    assert found["Apprentice"].stopped == (
        "hang board on Harrow Street Clinic, 2026-11-02, 100 sq ft: no rate holds for class apprentice that "
        "day. Set one that "
        "starts on or before 2026-11-02.",
    )


def test_an_agreed_rate_below_the_minimum_stops_the_statement_with_the_citation():
    # 29 USC 206(a)(1)(C): 7.25 an hour.
    world = make_world()
    person = world.person("Below")
    world.rate("BOARD", "0.40")
    world.time_rate("waiting", "5.00")
    world.entry(world.unit("BOARD", face="left", layer=1), "1000", person)
    world.hours(person, "8")
    world.hours(person, "1", "waiting")
    said = preview(world)["Below"].stopped
    assert len(said) == 1
    assert "the agreed rate 5.00 is below the minimum wage of 7.25 an hour" in said[0]
    with pytest.raises(Conflict, match="these people would not be paid in the week of 2026-11-02: Below"):
        world.close()
    closing = world.close(not_paid=(person,))
    assert (closing.statements, len(closing.stopped)) == (0, 1)


def test_a_day_longer_than_its_clock_stops_the_statement():
    # The services and the database let no day past 25 hours; only a day on which the clock goes back has more than 24.
    # In Chicago that is Sunday, 2026-11-01, not the Monday after it.
    world = make_world()
    person = world.person("Long Day")
    world.rate("BOARD", "0.40")
    world.entry(world.unit("BOARD", face="left", layer=1), "1000", person)
    with transaction.atomic(), world.scope():
        received = {"membership_id": world.owner.membership, "made_at": AFTER, "received_at": AFTER}
        receipt = Receipt.objects.create(uuid=uuid4(), kind="hours", request={}, **received)
        Hours.objects.create(
            uuid=receipt.uuid, job=world.job, person=person, worked_on=MONDAY, kind="piece", minutes=24 * 60 + 30,
            logged_by_id=world.owner.membership, received_at=AFTER,
        )  # fmt: skip
    said = preview(world)["Long Day"].stopped
    assert len(said) == 1
    assert "24.5 h are more than that day's 24 h in America/Chicago" in said[0]


def test_a_closed_week_stands_in_the_list_with_what_it_pays():
    world = make_world()
    person = world.person("Listed")
    world.rate("BOARD", "0.40")
    world.entry(world.unit("BOARD", face="left", layer=1), "1000", person)
    world.hours(person, "8")
    world.close()
    world.week(MONDAY + timedelta(days=7))
    with transaction.atomic(), world.scope():
        rows = [(row.first_day, row.state, row.statements, row.gross) for row in week_list()]
        assert Statement.objects.count() == 1
    assert rows == [
        (MONDAY + timedelta(days=7), "open", 0, Decimal("0.00")),
        (MONDAY, "closed", 1, Decimal("400.00")),
    ]


def test_a_day_longer_than_people_work_is_named():
    world = make_world()
    world.rate("BOARD", "0.40")
    unit = world.unit("BOARD", face="left", layer=1)
    twice, long = world.person("Twice"), world.person("Long")
    for person, hours in ((twice, ("8", "8")), (long, ("14",))):
        world.entry(unit, "100", person)
        for each in hours:
            world.hours(person, each)
    found = preview(world)
    assert found["Twice"].warnings == (
        "Twice: 16:00 h on Mon 2 Nov 2026. Ask whether hours were logged twice, and correct them if so.",
    )
    assert found["Long"].warnings == ()
