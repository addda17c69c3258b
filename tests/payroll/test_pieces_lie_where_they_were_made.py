"""Overtime on the piece rate of a week of records: entries and hours with a start and a finish say which pieces were
made past the limit; where they do not, the week is paid by the regular rate and says what to enter."""

from __future__ import annotations

import json
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from jobs.models import Person, WorkUnit
from payroll.law import as_json, price, read_week
from payroll.law.agreements import PIECE_OVERTIME
from payroll.models import LineAllotment, Statement
from payroll.selectors.gathered import gather
from payroll.services.agreements import AgreementFacts, agreement_record
from tests.payroll.world import LATER, MONDAY, NEXT_MONDAY, World, another_job, make_world

FRIDAY = MONDAY + timedelta(days=4)
MORNING, AFTERNOON = ("7:00", "11:00"), ("11:00", "16:30")
# 29 CFR 778.418, read in the official text; derived: 4 x 9 h, so the limit lies 4 h into Friday, at 11:00. 3600 and 400
# sq ft at 0.25 before it, 600 at 0.375 after it: 1150.00 in pieces and 75.00 more.
BY_AGREEMENT = {("piece", Decimal("1150.00")), ("overtime", Decimal("75.00"))}
# 29 CFR 778.111, derived: 1150 / 45 h, half of it for 5 h: 63.888...
BY_REGULAR_RATE = {("piece", Decimal("1150.00")), ("overtime", Decimal("63.89"))}


def span(told: tuple[str, str] | None, on: date = FRIDAY) -> dict[str, Any]:
    """A start and a finish by the clock of the job."""
    if told is None:
        return {}
    at = [
        datetime.strptime(f"{on} {clock}", "%Y-%m-%d %H:%M").replace(tzinfo=ZoneInfo("America/Chicago"))
        for clock in told
    ]
    return {"started_at": at[0], "finished_at": at[1]}


def agreed_world() -> tuple[World, Person, WorkUnit]:
    """Somebody with the agreement who hung 900 sq ft in 9 h on each of four days."""
    world = make_world()
    world.rate("BOARD", "0.25")
    person, board = world.person("Agreed"), world.unit("BOARD", face="left", layer=1)
    facts = AgreementFacts(person.pk, PIECE_OVERTIME, date(2026, 1, 5), date(2026, 1, 5), words="one and a half")
    agreement_record(actor=world.owner, facts=facts, now=LATER)
    for day in range(4):
        on = MONDAY + timedelta(days=day)
        world.entry(board, "900", person, on=on)
        world.hours(person, "9", on=on)
    return world, person, board


def friday_hours(world: World, person: Person) -> None:
    """7:00 to 16:30 with half an hour of lunch at 12:00."""
    for hours, kind, told in (
        ("5", "piece", ("7:00", "12:00")), ("0.5", "meal", ("12:00", "12:30")), ("4", "piece", ("12:30", "16:30")),
    ):  # fmt: skip
        world.hours(person, hours, kind, on=FRIDAY, **span(told))


def paid(statement: Statement) -> set[tuple[str, Decimal]]:
    return {(line.code, line.amount) for line in statement.lines.all()}


def told_by(statement: Statement) -> str:
    return " ".join(caution for caution in statement.cautions if caution.startswith("Overtime on the piece rate"))


@pytest.mark.django_db
@pytest.mark.parametrize("afternoon", [("600",), ("350", "250")], ids=["one entry", "two made at the same time"])
def test_a_week_of_records_and_the_same_week_file_agree_line_by_line(afternoon: tuple[str, ...]):
    world, person, board = agreed_world()
    friday_hours(world, person)
    world.entry(board, "400", person, on=FRIDAY, **span(MORNING))
    for quantity in afternoon:
        world.entry(board, quantity, person, on=FRIDAY, **span(AFTERNOON))
    world.close()

    row = {"operation": "hang board", "unit": "sq ft", "rate": "0.25", "job": world.job.name}
    days = [str(MONDAY + timedelta(days=day)) for day in range(4)]
    typed = {
        "format": "piecewall week 1",
        "rules": "us-federal",
        "week_start": str(MONDAY),
        "worker": {"name": "Agreed", "class": "journeyman"},
        "terms": {"overtime_on_piece_rate": True},
        "pieces": [
            *({**row, "date": day, "quantity": "900"} for day in days),
            {**row, "date": str(FRIDAY), "quantity": "400", "hours": "4", "first_hour": "0"},
            *({**row, "date": str(FRIDAY), "quantity": one, "hours": "5", "first_hour": "4"} for one in afternoon),
        ],
        "hours": [{"date": day, "kind": "piece", "hours": "9", "job": world.job.name} for day in [*days, str(FRIDAY)]],
    }
    priced = as_json(price(read_week(json.dumps(typed))))
    with transaction.atomic(), world.scope():
        statement = Statement.objects.get()
        ours = [(line.code, line.text, line.quantity, line.amount) for line in statement.lines.order_by("position")]
        # One line of pieces, and its cents allotted to every entry.
        allotted = LineAllotment.objects.filter(line__code="piece").values_list("quantity", "amount")
        assert sorted(allotted)[-1] == (Decimal(900), Decimal("225.00"))
        assert sum(amount for _, amount in allotted) == Decimal("1150.00")
    theirs = [
        (each["code"], each["text"], Decimal(each["quantity"]), Decimal(each["amount"])) for each in priced["lines"]
    ]
    assert ours == theirs
    assert {(code, amount) for code, _, _, amount in ours} == BY_AGREEMENT
    assert statement.gross == Decimal(priced["gross"]) == Decimal("1225.00")
    assert told_by(statement) == ""


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("what", "hours", "morning", "afternoon"),
    [
        ("hours are a total", [("9", "piece", None)], MORNING, AFTERNOON),
        ("entries tell no time", [("9", "piece", ("7:00", "16:00"))], None, None),
        ("one entry tells no time", [("9", "piece", ("7:00", "16:00"))], MORNING, None),
        ("the span leaves his hours", [("9", "piece", ("7:00", "16:00"))], MORNING, ("11:00", "16:30")),
        ("he began later", [("9", "piece", ("7:30", "16:30"))], MORNING, ("11:30", "16:30")),
        (
            "some of his hours are a total",
            [("8", "piece", ("7:00", "15:00")), ("1", "piece", None)],
            MORNING,
            ("11:00", "15:00"),
        ),
        (
            "he rested meanwhile",
            [("5", "piece", ("7:00", "12:00")), ("1", "rest", ("12:00", "13:00")), ("3", "piece", ("13:00", "16:00"))],
            MORNING,
            ("11:00", "16:00"),
        ),
    ],
)
def test_what_is_not_known_falls_back_and_says_what_to_enter(
    what: str,
    hours: list[tuple[str, str, tuple[str, str] | None]],
    morning: tuple[str, str] | None,
    afternoon: tuple[str, str] | None,
):
    world, person, board = agreed_world()
    for length, kind, told in hours:
        world.hours(person, length, kind, on=FRIDAY, **span(told))
    world.entry(board, "400", person, on=FRIDAY, **span(morning))
    world.entry(board, "600", person, on=FRIDAY, **span(afternoon))
    world.close()
    with transaction.atomic(), world.scope():
        statement = Statement.objects.get()
        # 29 CFR 778.111 with an hour of rest at the average of 44 h, derived: 26.14, and 1176.14 / 45 h / 2 x 5 h.
        rested = {("rest", Decimal("26.14")), ("piece", Decimal("1150.00")), ("overtime", Decimal("65.34"))}
        assert paid(statement) == (rested if what == "he rested meanwhile" else BY_REGULAR_RATE)
        assert "or in records the start and finish of each entry and of that day's hours" in told_by(statement)


@pytest.mark.django_db
def test_pieces_on_both_sides_of_the_limit_are_entered_as_two():
    world, person, board = agreed_world()
    friday_hours(world, person)
    world.entry(board, "1000", person, on=FRIDAY, **span(("7:00", "16:30")))
    world.close()
    with transaction.atomic(), world.scope():
        statement = Statement.objects.get()
        assert paid(statement) == BY_REGULAR_RATE
        assert "enter what was finished before and after as two" in told_by(statement)


@pytest.mark.django_db
def test_hours_of_another_job_that_day_come_before_and_its_time_is_no_time_of_this_one():
    world, person, board = agreed_world()
    other = another_job(world, "Bramble Court", "BRC", "us-federal")
    other.hours(person, "4", on=FRIDAY, **span(MORNING))
    other.entry(other.unit("BOARD", face="left", layer=1), "400", person, on=FRIDAY, **span(MORNING))
    world.hours(person, "5", on=FRIDAY, **span(("11:00", "16:00")))
    afternoon = world.entry(board, "600", person, on=FRIDAY, **span(("11:00", "16:00")))
    world.close()
    with transaction.atomic(), world.scope():
        lines = Statement.objects.get().lines.filter(code="overtime")
        assert [(line.amount, line.job_id) for line in lines] == [(Decimal("75.00"), world.job.pk)]
    world.correct(afternoon, board, "600", person, on=FRIDAY, **span(("10:00", "16:00")))
    world.close(NEXT_MONDAY)
    with transaction.atomic(), world.scope():
        assert "not known when the pieces" in told_by(Statement.objects.latest("number"))


@pytest.mark.django_db
def test_a_span_told_after_the_closing_is_paid_by_a_correction():
    world, person, board = agreed_world()
    friday_hours(world, person)
    first: dict[str, UUID] = {one: world.entry(board, one, person, on=FRIDAY) for one in ("400", "600")}
    world.close()
    world.correct(first["400"], board, "400", person, on=FRIDAY, **span(MORNING))
    world.correct(first["600"], board, "600", person, on=FRIDAY, **span(AFTERNOON))
    world.close(NEXT_MONDAY)
    with transaction.atomic(), world.scope():
        before, after, _ = Statement.objects.order_by("number")
        # derived: 1213.89, then 1225.00.
        assert (paid(before), before.gross) == (BY_REGULAR_RATE, Decimal("1213.89"))
        assert (paid(after), after.difference) == (BY_AGREEMENT, Decimal("11.11"))


@pytest.mark.django_db
def test_the_number_of_queries_does_not_grow_with_spans():
    counts = []
    for entries in (2, 12):
        world, person, board = agreed_world()
        friday_hours(world, person)
        for nth in range(entries):
            world.entry(board, "10", person, on=FRIDAY, **span(AFTERNOON if nth % 2 else MORNING))
        with transaction.atomic(), world.scope(), CaptureQueriesContext(connection) as queries:
            gathered = gather("counted", MONDAY)
            [week] = gathered.some(gathered.people)
        # Pieces of one span are one; those without any stay one a day.
        assert [(piece.quantity, piece.hours, piece.first_hour) for piece in week.pieces[4:]] == [
            (Decimal(5 * entries), 4, 0),
            (Decimal(5 * entries), 5, 4),
        ]
        counts.append(len(queries))
    assert counts[0] == counts[1]
