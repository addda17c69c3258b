"""Two roads to one statement: entries and hours through the database, and the same week typed into a week file."""

from __future__ import annotations

import json
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction

from payroll.law import as_json, price, read_week
from payroll.models import Statement
from tests.payroll.world import MONDAY, make_world

KINDS = ("waiting", "rework", "meeting")


@pytest.mark.django_db
def test_the_statement_and_priceweek_agree_line_by_line():
    world = make_world()
    person = world.person("Typed Twice")
    board, studs = world.unit("BOARD", face="left", layer=1), world.unit("STUDS")
    world.rate("BOARD", "0.385")
    world.rate("STUDS", "1.15")
    world.time_rate("waiting", "11.50")
    pieces: list[dict[str, Any]] = []
    hours: list[dict[str, Any]] = []
    for day in range(6):
        on = MONDAY + timedelta(days=day)
        quantity, count = f"{211 + 17 * day}.25", str(10 + day)
        world.entry(board, quantity, person, on=on)
        world.entry(studs, count, person, on=on)
        pieces += [
            {"date": str(on), "operation": "stand studs", "quantity": count, "unit": "each", "rate": "1.15"},
            {"date": str(on), "operation": "hang board", "quantity": quantity, "unit": "sq ft", "rate": "0.385"},
        ]
        world.hours(person, "7.5", on=on)
        world.hours(person, "0.75", KINDS[day % 3], on=on)
        hours += [
            {"date": str(on), "kind": "piece", "hours": "7:30"},
            {"date": str(on), "kind": KINDS[day % 3], "hours": "0:45"}
            | ({"rate": "11.50"} if KINDS[day % 3] == "waiting" else {}),
        ]
    for row in (*pieces, *hours):
        row["job"] = world.job.name
    world.close()

    typed = {
        "format": "piecewall week 1",
        "rules": "us-federal",
        "week_start": str(MONDAY),
        "worker": {"name": "Typed Twice", "class": "journeyman"},
        "pieces": pieces,
        "hours": hours,
    }
    expected = as_json(price(read_week(json.dumps(typed).encode())))
    with transaction.atomic(), world.scope():
        statement = Statement.objects.get()
        ours = {(line.text, line.quantity, line.amount) for line in statement.lines.all()}
    theirs = {(line["text"], Decimal(line["quantity"]), Decimal(line["amount"])) for line in expected["lines"]}
    assert ours == theirs
    assert statement.gross == Decimal(expected["gross"])
    assert statement.floors == [
        {key: floor[key] for key in ("code", "text", "required", "paid", "top_up", "because")}
        for floor in expected["floors"]
    ]
    assert statement.regular_rate_because == expected["regular_rate_because"]
