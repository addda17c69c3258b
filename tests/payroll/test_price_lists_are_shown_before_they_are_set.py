"""A price list by CSV: what starts when and instead of what is shown first; hints, mistakes by row, nothing twice."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal

import pytest
from django.db import transaction

from jobs.actors import Actor
from jobs.refusals import NotAllowed
from jobs.services.csv_people import COLUMNS as PEOPLE
from jobs.services.csv_work import ENTRIES, HOURS
from payroll.models import HeightBand, Rate
from payroll.services.price_lines import NEW, REPLACES, SAME
from payroll.services.rate_import import COLUMNS, PricesImported, rates_import
from tests.payroll.world import AFTER, MONDAY, World, make_world
from tests.support.needs import PROJECT

LIST = (
    "operation,time_kind,amount,starts_on,job,wall_type,height_band,class\n"
    "BOARD,,0.42,2026-12-01,,,,\n"
    "BOARD,,0.55,2026-12-01,HSC,P1,,\n"
    ",waiting,21.50,2026-12-01,,,,apprentice\n"
)


def load(world: World, text: str, *, dry_run: bool = False) -> PricesImported:
    return rates_import(actor=world.owner, source=text.encode(), now=AFTER, dry_run=dry_run)


def rates(world: World) -> list[tuple[Decimal, date]]:
    with transaction.atomic(), world.scope():
        return list(Rate.objects.order_by("pk").values_list("amount", "starts_on"))


@pytest.fixture
def world(db: None) -> World:
    return make_world()


def test_it_is_shown_then_set_and_a_second_time_nothing(world: World):
    shown = load(world, LIST, dry_run=True)
    assert ([line.kind for line in shown.lines], rates(world), shown.applied) == ([NEW] * 3, [], False)
    assert load(world, LIST).made == 3
    first = rates(world)
    assert [amount for amount, _ in first] == [Decimal("0.42"), Decimal("0.55"), Decimal("21.5")]
    again = load(world, LIST)
    assert ([line.kind for line in again.lines], again.made, again.standing) == ([SAME] * 3, 0, 3)
    assert rates(world) == first


def test_every_line_says_what_starts_when_instead_of_what(world: World):
    world.rate("BOARD", "0.40", date(2026, 1, 1))
    world.rate("BOARD", "0.50", date(2027, 1, 1))
    line = load(world, LIST, dry_run=True).lines[0]
    assert line.sentence == (
        "hang board: 0.42 from 2026-12-01 on, until then 0.40, up to the next on 2027-01-01 "
        "(any job, any wall type, any height, any class)."
    )
    load(world, LIST)
    mended = load(world, LIST.replace("0.42", "0.43"))
    assert (mended.lines[0].kind, mended.made, mended.standing) == (REPLACES, 1, 2)
    assert "0.43 from 2026-12-01 on, in the place of 0.42, which was to start that day" in mended.lines[0].sentence


def test_a_fall_and_an_hour_below_the_least_are_pointed_out(world: World):
    world.rate("BOARD", "0.50")
    rows = ("BOARD,,0.40", ",waiting,7.24", ",travel,7.25")
    text = "operation,time_kind,amount,starts_on\n" + "".join(f"{row},2026-12-01\n" for row in rows)
    piece, waiting, travel = load(world, text, dry_run=True).lines
    assert piece.hints == ("0.40 is 20.0% below the 0.50 before it.",)
    # 29 USC 206(a)(1)(C): 7.25 an hour.
    assert "7.24 an hour is below the 7.25 of us-federal (29 USC 206(a)(1)(C))" in waiting.hints[0]
    assert travel.hints == ()


def test_every_mistake_is_told_by_row_and_nothing_kept(world: World):
    text = LIST + (
        "NAILS,,1,2026-12-01,,,,\n"
        "BOARD,waiting,1,2026-12-01,,,,\n"
        ",idling,1,2026-12-01,,,,\n"
        "STUDS,,0,2026-12-01,,,,\n"
        "STUDS,,1.5,tomorrow,,,,\n"
        "STUDS,,1.5,2026-12-01,XYZ,,,\n"
        "STUDS,,1.5,2026-12-01,,,high,\n"
        "BOARD,,0.44,2026-12-01,,,,\n"
    )
    imported = load(world, text)
    told = {mistake.path: mistake.sentence for mistake in imported.mistakes}
    assert "operation 'NAILS' was not found. Use one of: " in told["row 5, operation"]
    assert "either an operation or a kind of time" in told["row 6, operation"]
    assert "'idling' is not time paid by the hour" in told["row 7, time_kind"]
    assert "a rate of 0 is not above zero" in told["row 8, amount"]
    assert "'tomorrow' is no day" in told["row 9, starts_on"]
    assert "job 'XYZ' was not found. Use one of: HSC" in told["row 10, job"]
    assert "height band high was not found" in told["row 11, height_band"]
    assert told["row 12, starts_on"] == "row 2 sets this scope from 2026-12-01 already. Keep one of them."
    assert len(told) == 8
    assert not imported.applied
    assert rates(world) == []


def test_a_band_of_the_organisations_own_is_known(world: World):
    with transaction.atomic(), world.scope():
        HeightBand.objects.create(name="high", from_inches=Decimal(120))
    assert load(world, "operation,amount,starts_on,height_band\nSTUDS,1.5,2026-12-01,high\n").made == 1


def test_a_rate_for_time_never_reaches_back_over_paid_hours(world: World):
    person = world.person("One")
    world.time_rate("waiting", "20")
    world.hours(person, "2", kind="waiting")
    world.close()
    told = load(world, f"time_kind,amount,starts_on\nwaiting,22,{MONDAY}\n").mistakes
    assert "would reach back over hours paid up to 2026-11-02" in told[0].sentence


def test_only_the_office_sets_prices_and_only_its_own(world: World):
    for role in ("foreman", "worker"):
        with pytest.raises(NotAllowed):
            rates_import(
                actor=Actor(world.organisation, world.owner.membership, role),
                source=LIST.encode(),
                now=AFTER,
                dry_run=True,
            )
    other = make_world("Bramble Partitions")
    load(world, LIST)
    assert rates(other) == []


def test_the_columns_in_the_documentation_are_those_that_are_read():
    table = (PROJECT / "DEVELOPERS.md").read_text().split("| kind | columns")[1].split("\n\n")[0]
    kinds = {"people": PEOPLE, "hours": HOURS, "entries": ENTRIES, "prices": COLUMNS}
    told = {cells[1].strip(): set(re.findall(r"`(\w+)`", cells[2])) for cells in map(_cells, table.splitlines()[2:])}
    assert told == {kind: set(columns.names) for kind, columns in kinds.items()}


def _cells(line: str) -> list[str]:
    return line.split("|")
