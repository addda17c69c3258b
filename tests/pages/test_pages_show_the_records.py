"""The figures on the pages are those of the records; every line of a statement leads to entry, wall and rule."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import datetime
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.models import Operation, Wall, WallVersion, WorkUnit
from jobs.pages.printed import feet_inches, money, tidy
from jobs.tenancy import organisation_scope
from payroll.models import LineAllotment, PayWeek, Statement, StatementLine, WeeklyReport
from tests.jobs.world import World
from tests.pages.conftest import signed_in
from tests.pages.paid_week import AFTER, FIRST_DAY, RATES, PaidWeek, work_a_week


def text_of(world: World, name: str, role: str = "owner", **parts: Any) -> str:
    """A page's text without its tags."""
    answer = signed_in(world.actors[role]).get(reverse(name, kwargs=parts))
    assert answer.status_code == 200, answer.status_code
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def rows_of(world: World, name: str, role: str = "owner", **parts: Any) -> list[list[str]]:
    """The cells of every table row of a page."""
    answer = signed_in(world.actors[role]).get(reverse(name, kwargs=parts))
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", answer.content.decode(), re.S)
    return [
        [
            " ".join(html.unescape(re.sub(r"<[^>]+>", "", cell)).split())
            for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.S)
        ]
        for row in rows
    ]


@pytest.fixture
def wall(world: World) -> WallVersion:
    with transaction.atomic(), organisation_scope(world.organisation):
        return WallVersion.objects.select_related("wall").get(wall=Wall.objects.get(mark="A"))


def test_a_wall_shows_its_work_units_as_measured(world: World, wall: WallVersion) -> None:
    rows = rows_of(world, "wall", job=world.job, wall=wall.wall_id)
    with transaction.atomic(), organisation_scope(world.organisation):
        units = list(WorkUnit.objects.filter(wall=wall.wall_id).select_related("operation"))
    assert units
    for unit in units:
        shown = [row for row in rows if row[0] == unit.operation.name and (not unit.face or unit.face in row[1])]
        assert any(tidy(unit.measured) in row[3] for row in shown), (unit.operation.name, unit.measured)


def test_a_wall_shows_its_track_with_laps(world: World) -> None:
    # Facts of the trade (common practice, no source): B laps A: its track is 97 13/16 in with a tab of 3 5/8 in and
    # flanges back 4 1/4 in; A's runs through, square, 121 13/16 in, in two pieces of 10 ft stock.
    with transaction.atomic(), organisation_scope(world.organisation):
        lapping = Wall.objects.get(mark="B").pk
        through = WallVersion.objects.get(wall__mark="A")
    page = text_of(world, "wall", job=world.job, wall=lapping)
    assert feet_inches("97.8125") == "8′-1 ¹³⁄₁₆″"
    assert "8′-1 ¹³⁄₁₆″" in page
    assert "tab 3 ⁵⁄₈″, flanges back 4 ¹⁄₄″" in page
    assert "10′-1 ¹³⁄₁₆″" in text_of(world, "wall", job=world.job, wall=through.wall_id)


def test_a_wall_tells_the_reasons_of_its_counts(world: World, wall: WallVersion) -> None:
    page = text_of(world, "wall", job=world.job, wall=wall.wall_id)
    reasons = wall.pieces["because"]
    assert reasons
    for count in ("track_in", "studs", "pins"):
        rule = reasons[count][0]["rule"]
        assert (rule[0].upper() + rule[1:]) in page


def test_studs_are_listed_by_role(world: World, wall: WallVersion) -> None:
    rows = rows_of(world, "wall", job=world.job, wall=wall.wall_id)
    layout = [stud for stud in wall.pieces["studs"] if stud["role"] == "layout"]
    shown = next(row for row in rows if row[0] == "layout")
    assert shown[1] == str(len(layout))
    assert shown[3].count("″") == len(layout)


def test_the_job_adds_up_its_walls(world: World, paid: PaidWeek) -> None:
    rows = {row[0]: row for row in rows_of(world, "job", job=world.job) if row}
    with transaction.atomic(), organisation_scope(world.organisation):
        units = WorkUnit.objects.filter(operation__code="STUDS")
        measured, done = sum(unit.measured for unit in units), sum(unit.done for unit in units)
    assert rows["stand studs"][1] == "part done"
    assert rows["stand studs"][2].startswith(tidy(done))
    assert rows["stand studs"][3] == tidy(measured)


def test_the_job_lists_operations_in_their_own_order(world: World) -> None:
    """Though the first wall lacks one of them."""
    with transaction.atomic(), organisation_scope(world.organisation):
        WorkUnit.objects.filter(wall__mark="A", operation__code="TRACK").update(measured=0)
        names = list(Operation.objects.order_by("position").values_list("name", flat=True))
    shown = [row[0] for row in rows_of(world, "job", job=world.job) if len(row) == 7 and row[0] in names]
    assert "lay out and track" in shown
    assert shown == [name for name in names if name in shown]


def test_a_week_previews_what_it_will_pay(world: World, clock: Callable[[datetime], None]) -> None:
    work_a_week(world)
    clock(AFTER)
    preview = text_of(world, "week", first_day=FIRST_DAY)
    assert "Close this week" in preview
    client = signed_in(world.owner)
    close = reverse("week-close", args=[FIRST_DAY])
    asked = client.get(close).content.decode()
    gross = re.search(r'figure-now">([\d,.]+)<', asked)
    assert gross is not None
    assert client.post(close)["Location"] == reverse("week", args=[FIRST_DAY]) + "?closed"
    with transaction.atomic(), organisation_scope(world.organisation):
        paid = sum(Statement.objects.values_list("gross", flat=True))
    assert money(paid) == gross[1]
    assert money(paid) in text_of(world, "week", first_day=FIRST_DAY)


def test_a_week_is_closed_once(world: World, paid: PaidWeek, clock: Callable[[datetime], None]) -> None:
    clock(AFTER)
    answer = signed_in(world.owner).post(reverse("week-close", args=[FIRST_DAY]))
    assert answer.status_code == 409
    assert "is closed once" in answer.content.decode()


def test_a_week_that_has_not_ended_stays_open(world: World) -> None:
    work_a_week(world)
    answer = signed_in(world.owner).post(reverse("week-close", args=[FIRST_DAY]))
    assert answer.status_code == 409
    for name, parts in (("week-csv", [FIRST_DAY]), ("payroll-file", [FIRST_DAY, "earnings"])):
        assert signed_in(world.owner).get(reverse(name, args=parts)).status_code == 404
    assert "ends on 2026-11-22" in answer.content.decode()
    with transaction.atomic(), organisation_scope(world.organisation):
        assert PayWeek.objects.get().state == "open"


def test_a_slow_reader_of_a_weeks_lines_holds_nothing_of_the_database(
    world: World, paid: PaidWeek, django_assert_num_queries: Callable[[int], AbstractContextManager[None]]
) -> None:
    answer = signed_in(world.owner).get(reverse("week-csv", args=[FIRST_DAY]))
    assert answer.status_code == 200
    with django_assert_num_queries(0):
        lines = b"".join(answer.streaming_content).decode().splitlines()
    assert int(answer["Content-Length"]) == len("\r\n".join([*lines, ""]).encode())
    assert sum(line.startswith("gross,") for line in lines) == len(paid.statements)


def test_the_office_opens_the_week_that_runs(world: World) -> None:
    client = signed_in(world.actors["office"])
    assert 'value="2026-11-16"' in client.get(reverse("weeks")).content.decode()
    assert client.post(reverse("weeks"), {"first_day": "2026-11-16"})["Location"] == reverse("week", args=[FIRST_DAY])
    wrong = client.post(reverse("weeks"), {"first_day": "2026-11-17"})
    assert wrong.status_code == 400
    assert "does not begin a workweek" in wrong.content.decode()


def test_every_line_of_a_statement_leads_to_entry_wall_and_rule(world: World, paid: PaidWeek) -> None:
    person = world.people[0]
    statement = paid.statements[person]
    page = signed_in(world.actors["worker"]).get(reverse("statement", args=[statement])).content.decode()
    rows = rows_of(world, "statement", role="worker", statement=statement)
    with transaction.atomic(), organisation_scope(world.organisation):
        lines = list(StatementLine.objects.filter(statement=statement).select_related("operation"))
        parts = list(LineAllotment.objects.filter(line__statement=statement).select_related("entry__work_unit"))
        gross = Statement.objects.get(pk=statement).gross
    assert {line.operation.code for line in lines if line.operation} == {"TRACK", "STUDS", "BOARD"}
    for line in lines:
        if line.operation is not None:
            shown = next(row for row in rows if row[0] == line.text)
            assert shown[3] == RATES[line.operation.code]
            assert shown[4] == money(line.amount)
    assert ["Gross pay", money(gross)] in rows
    for part in parts:
        unit = part.entry.work_unit
        assert reverse("entry", args=[part.entry.uuid]) in page
        assert reverse("wall", args=[unit.job_id, unit.wall_id]) in page
        assert money(part.amount) in page
    # The citation of the rule that was applied is on the page with its line.
    assert "29 CFR" in page or "29 USC" in page


def test_a_statement_is_the_same_on_paper(world: World, paid: PaidWeek) -> None:
    client = signed_in(world.actors["worker"])
    address = reverse("statement-pdf", args=[paid.statements[world.people[0]]])
    first, second = client.get(address), client.get(address)
    assert first["Content-Type"] == "application/pdf"
    assert first.content.startswith(b"%PDF")
    assert first.content == second.content


def test_a_report_shows_its_frozen_figures(world: World, paid: PaidWeek) -> None:
    page = text_of(world, "report", job=world.job, first_day=FIRST_DAY)
    with transaction.atomic(), organisation_scope(world.organisation):
        report = WeeklyReport.objects.get()
    assert money(report.figures["week"]["labour"]) in page
    for row in report.figures["operations"]:
        assert row["name"] in page
    client = signed_in(world.owner)
    chart = client.get(reverse("report-chart", args=[world.job, FIRST_DAY]))
    assert chart.content == bytes(report.chart)
    assert "unsafe-inline" in chart["Content-Security-Policy"] and "script" not in chart["Content-Security-Policy"]
    assert client.get(reverse("report-pdf", args=[world.job, FIRST_DAY])).content == bytes(report.pdf)


def test_a_price_says_why_it_pays(world: World, paid: PaidWeek) -> None:
    rows = rows_of(world, "prices")
    assert any(row[0] == "hang board" and row[1].startswith("0.96") for row in rows)
    page = text_of(world, "why-rate", role="foreman", unit=world.unit("A", "BOARD", "left"))
    assert "0.96 a sq ft from 2026-01-01 on" in page
    assert "It is the most specific that had started." in page


def test_a_day_lists_entries_and_hours(world: World, paid: PaidWeek) -> None:
    page = text_of(world, "day", role="foreman", job=world.job, day="2026-11-18")
    assert "hang board" in page
    # derived: five people, 8 h each
    assert "40:00" in page


def test_a_day_of_a_closed_week_says_what_becomes_of_more_work_and_hours(world: World, paid: PaidWeek) -> None:
    said = "The week from 2026-11-16 to 2026-11-22 is closed. What is logged now counts as a correction to it."
    for day, told in (("2026-11-15", False), ("2026-11-16", True), ("2026-11-22", True), ("2026-11-23", False)):
        assert (said in text_of(world, "day", role="foreman", job=world.job, day=day)) == told, day


def test_what_is_not_there_is_said_to_people_and_the_icon_is_our_mark(world: World) -> None:
    answer = signed_in(world.actors["office"]).get(reverse("job", args=[10**9]))
    assert answer.status_code == 404
    page = answer.content.decode()
    assert "Go back and open one that is shown." in page
    assert "Ask for the list" not in page
    icon = Client().get("/favicon.ico")
    assert icon.status_code == 302
    assert icon["Location"].endswith("mark.svg")
