"""A job with prevailing rates pays each class its basic and fringe rate, and its closed weeks can be certified.

Figures: 29 CFR 5.31, 5.32 (basic and fringe, cash in lieu out of the overtime base); sums derived by hand.
"""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import DatabaseError, transaction
from pypdf import PdfReader

from jobs.actors import Actor
from jobs.models import AuditRecord, Job, Person
from jobs.refusals import Invalid, NotAllowed, NotFound
from payroll.models import PrevailingRate, Statement
from payroll.reports.certified_pdf import certified_pdf
from payroll.reports.certified_table import COLUMNS, certified_csv
from payroll.selectors.certified import CertifiedSheet, certified_sheet, certified_weeks
from payroll.selectors.rate_facts import rates_changed
from payroll.selectors.weeks import WeekPreview, week_preview
from payroll.services.prevailing_rates import Determined, PrevailingLine, prevailing_rate_set
from tests.jobs.test_the_audit_chain_shows_what_was_changed import behind_the_triggers
from tests.payroll.world import AFTER, LATER, MONDAY, NEXT_MONDAY, World, make_world


@pytest.fixture
def world(db: None) -> World:
    return make_world()


def determined(world: World, **changes: object) -> Determined:
    facts = Determined(
        job=world.job.pk,
        worker_class="journeyman",
        class_named="lather",
        basic=Decimal("31.20"),
        fringe=Decimal("7.30"),
        fringe_to_plan=Decimal(0),
        starts_on=MONDAY,
        citation="determination XX20260001 of 2026-01-02 (invented)",
    )
    return replace(facts, **changes)  # type: ignore[arg-type]


def enter(world: World, *, dry_run: bool = False, **changes: object) -> PrevailingLine:
    facts = determined(world, **changes)
    return prevailing_rate_set(actor=world.owner, facts=facts, now=AFTER, dry_run=dry_run)


def work(world: World, person: Person, days: int, quantity: str) -> None:
    """`days` of 8 h on the job, and the quantity of board on the first day at 0.40."""
    world.entry(world.unit("BOARD", face="left"), quantity, person)
    for day in range(days):
        world.hours(person, "8", on=MONDAY + timedelta(days=day))


def preview(world: World) -> WeekPreview:
    week = world.week()
    with transaction.atomic(), world.scope():
        return week_preview(pay_week=week.pk)


def sheet(world: World) -> CertifiedSheet:
    with transaction.atomic(), world.scope():
        return certified_sheet(job=world.job.pk, first_day=MONDAY)


def paid(world: World, person: Person) -> dict[str, Decimal]:
    with transaction.atomic(), world.scope():
        statement = Statement.objects.get(person=person)
        found: dict[str, Decimal] = {}
        for line in statement.lines.all():
            assert line.code == "overtime" or line.job_id == world.job.pk
            found[line.code] = found.get(line.code, Decimal(0)) + line.amount
        return found


def test_pieces_below_the_determination_are_topped_up_to_basic_and_fringe(world: World) -> None:
    # 40 h; 3000 sq ft at 0.40 are 1200.00. Basic 31.20 x 40 = 1248.00: 48.00 missing; fringe 7.30 x 40 = 292.00.
    world.rate("BOARD", "0.40")
    enter(world)
    person = world.person("One")
    work(world, person, 5, "3000")
    world.close()
    assert paid(world, person) == {"piece": Decimal(1200), "prevailing": Decimal(48), "fringe": Decimal(292)}


def test_pieces_above_it_count_towards_fringe(world: World) -> None:
    # 1400.00 for 40 h against 38.50: 35.00 an hour, 140.00 missing, all of it fringe (pay.md D1, rule 29 CFR 5.31).
    world.rate("BOARD", "0.40")
    enter(world)
    person = world.person("One")
    work(world, person, 5, "3500")
    world.close()
    assert paid(world, person) == {"piece": Decimal(1400), "fringe": Decimal(140)}


def test_overtime_is_on_no_less_than_basic_and_fringe_stays_out_of_it(world: World) -> None:
    # 48 h, 1497.60 of pieces is 31.20 an hour: premium 8 x 15.60 = 124.80; fringe 48 x 7.30 = 350.40 beside it.
    world.rate("BOARD", "0.40")
    enter(world)
    person = world.person("One")
    work(world, person, 6, "3744")
    world.close()
    found = paid(world, person)
    assert found == {"piece": Decimal("1497.6"), "fringe": Decimal("350.4"), "overtime": Decimal("124.8")}


def test_what_goes_to_a_plan_is_not_paid_in_cash(world: World) -> None:
    world.rate("BOARD", "0.40")
    enter(world, fringe_to_plan=Decimal("5.00"))
    person = world.person("One")
    work(world, person, 5, "3120")
    world.close()
    # 31.20 an hour exactly; 7.30 - 5.00 = 2.30 x 40 = 92.00 in cash.
    assert paid(world, person) == {"piece": Decimal(1248), "fringe": Decimal(92)}


def test_a_class_without_a_rate_stops_that_person_alone(world: World) -> None:
    world.rate("BOARD", "0.40")
    enter(world)
    known, unknown = world.person("One"), world.person("Two", "apprentice")
    work(world, known, 5, "3500")
    world.hours(unknown, "8")
    shown = {one.name: one for one in preview(world).people}
    assert shown["One"].stopped == ()
    (sentence,) = shown["Two"].stopped
    assert "no prevailing rate is known there for class apprentice in the week of 2026-11-02" in sentence
    assert [one.worker_class for one in shown["Two"].missing_classes] == ["apprentice"]
    enter(world, worker_class="apprentice", class_named="lather, apprentice", basic=Decimal("18.00"))
    assert [one.stopped for one in preview(world).people] == [(), ()]


def test_a_rate_holds_from_its_week_and_work_before_it_is_not_covered(world: World) -> None:
    world.rate("BOARD", "0.40")
    enter(world, starts_on=MONDAY + timedelta(days=7))
    person = world.person("One")
    work(world, person, 5, "1000")
    world.close()
    assert "fringe" not in paid(world, person)
    with transaction.atomic(), world.scope():
        assert certified_weeks(job=world.job.pk) == []


def test_it_is_looked_at_then_entered_replaced_and_never_edited(world: World) -> None:
    line = enter(world, dry_run=True)
    assert line.sentence == (
        "journeyman (lather) on Harrow Street Clinic: basic 31.20 and fringe 7.30 an hour, 0.00 of it to plans, from "
        "2026-11-02 on."
    )
    assert "Nobody of the firm is of class journeyman." in line.hints
    with transaction.atomic(), world.scope():
        assert not PrevailingRate.objects.exists()
    enter(world)
    assert enter(world).stands
    mended = enter(world, basic=Decimal("30.20"))
    assert "in the place of basic 31.20 and fringe 7.30 from that day" in mended.sentence
    assert "fall from 38.50 to 37.50" in mended.hints[0]
    assert "until then basic 30.20" in enter(world, starts_on=MONDAY + timedelta(days=7)).sentence
    with transaction.atomic(), world.scope():
        rows = list(PrevailingRate.objects.order_by("pk"))
        assert [row.replaces_id for row in rows] == [None, rows[0].pk, None]
        assert AuditRecord.objects.filter(action="prevailing_rate_set").count() == 3
    with pytest.raises(DatabaseError, match="permission denied"), transaction.atomic(), world.scope():
        PrevailingRate.objects.update(basic=1)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"basic": Decimal(0)}, "0 an hour is not above zero"),
        ({"fringe": Decimal("-1")}, "-1 an hour is not zero or more"),
        ({"basic": Decimal("31.20001")}, "more than four decimals"),
        ({"basic": Decimal(10**7)}, "is no rate of an hour"),
        ({"fringe_to_plan": Decimal("7.31")}, "more than the fringe rate of 7.30"),
        ({"class_named": " "}, "empty or longer than 80"),
        ({"citation": ""}, "empty or longer than 200"),
        ({"starts_on": date(2026, 11, 4)}, "Start it on 2026-11-02"),
    ],
)
def test_what_cannot_be_is_said(world: World, changes: dict[str, object], words: str) -> None:
    with pytest.raises(Invalid, match=words):
        enter(world, **changes)


def test_only_the_office_and_only_a_job_of_the_united_states(world: World) -> None:
    foreman = Actor(world.organisation, world.owner.membership, "foreman")
    with pytest.raises(NotAllowed):
        prevailing_rate_set(actor=foreman, facts=determined(world), now=AFTER, dry_run=True)
    with pytest.raises(NotFound):
        enter(world, job=10**15)
    ontario = make_world("Bramble Partitions", rules="ca-ontario")
    with pytest.raises(Invalid, match="a US rule set only"):
        enter(ontario)
    with pytest.raises(NotFound):
        enter(world, job=ontario.job.pk)


@pytest.fixture
def certified(world: World) -> World:
    """A closed week: one person of 48 h on the job."""
    world.rate("BOARD", "0.40")
    enter(world)
    work(world, world.person("Maren Tallow"), 6, "4200")
    world.close()
    return world


# What 29 CFR 5.5(a)(3)(i)(B) and (ii)(B) ask for, as amended in 2023 (88 FR 57526), read as quoted in a law firm's
# notice: the name and an identifying number; classification of work actually performed; hourly rates of wages paid with
# rates of contributions or cash equivalents; daily and weekly hours actually worked, in total and on the covered
# contract; deductions made; actual wages paid. Figures derived: 1680.00 of pieces are 35.00 an hour; fringe in cash
# 38.50 x 48 - 1680.00 = 168.00; premium 8 x 17.50 = 140.00.
FIELDS = {
    "name": "Maren Tallow",
    "class": "lather",
    "day_1_straight": "8.00",
    "day_6_straight": "0.00",
    "day_6_overtime": "8.00",
    "day_7_all_work": "0.00",
    "hours_on_job": "48.00",
    "hours_all_work": "48.00",
    "basic_rate": "31.20",
    "fringe_rate": "7.30",
    "paid_an_hour": "35.00",
    "fringe_in_cash": "168.00",
    "earned_on_job": "1988.00",
    "earned_all_work": "1988.00",
    # Left to the firm's payroll to complete, and said so.
    "deductions": "",
    "wages_paid": "",
}


@pytest.mark.parametrize("field", FIELDS)
def test_every_field_of_the_regulation_stands_in_the_table(certified: World, field: str) -> None:
    found = sheet(certified)
    assert found.payroll is not None
    table = certified_csv(found, found.payroll)
    assert table == certified_csv(sheet(certified), found.payroll)
    (row,) = csv.DictReader(io.StringIO(table.decode(), newline=""))
    assert tuple(row) == COLUMNS
    assert row[field] == FIELDS[field]


def test_the_identifying_number_is_the_firms_own(certified: World) -> None:
    found = sheet(certified)
    assert found.payroll is not None
    with transaction.atomic(), certified.scope():
        number = Person.objects.get().number
    assert [row.identifying_number for row in found.payroll.rows] == [number]


def test_the_paper_has_the_fields_and_the_statement_to_sign(certified: World) -> None:
    found = sheet(certified)
    assert found.payroll is not None
    paper = certified_pdf(found, found.payroll)
    assert paper == certified_pdf(found, found.payroll)
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(paper)).pages).split())
    for words in (
        "Maren Tallow", "Class of work done: lather", "Hours here, overtime", "Hours on all work", "basic 31.20",
        "fringe 7.30", "Paid an hour, straight: 35.00", "Fringe in cash, this week: 168.00", "Gross here: 1,988.00",
        "Gross on all work: 1,988.00", "Deductions, by kind: ____", "Wages actually paid: ____",
        "deductions made, each by its kind, from the firm's payroll", "XX20260001 of 2026-01-02",
        # 29 CFR 5.5(a)(3)(ii)(C): the three things that are certified.
        "correct and complete", "whole wages earned", "no less than the wage rates and fringe benefits",
        "18 USC 1001", "Signed ____", "not legal advice",
    ):  # fmt: skip
        assert words in text, words


def test_a_week_that_changed_since_it_was_paid_is_not_certified(certified: World) -> None:
    with transaction.atomic(), certified.scope():
        person = Person.objects.get()
    certified.hours(person, "1", on=MONDAY + timedelta(days=6))
    found = sheet(certified)
    assert found.payroll is None
    assert "was paid 1988.00 for this week, but it comes to" in found.mistakes[0]
    assert "Close the open week" in found.mistakes[0]


def test_a_week_without_covered_work_or_still_open_has_none(certified: World) -> None:
    with pytest.raises(NotFound), transaction.atomic(), certified.scope():
        certified_sheet(job=certified.job.pk, first_day=MONDAY + timedelta(days=7))
    with transaction.atomic(), certified.scope():
        assert certified_weeks(job=certified.job.pk) == [MONDAY]
        assert Job.objects.count() == 1


def test_the_look_says_whom_it_stops_and_which_weeks_it_moves(world: World) -> None:
    world.person("One")
    world.person("Two", "apprentice")
    world.week()
    hints = enter(world, dry_run=True).hints
    assert hints == (
        "It starts on 2026-11-02, before today. Work on this job since then that was not paid yet is paid by it.",
        "Open weeks that may come to other sums by it, by their first day: 2026-11-02.",
        "No rate of this job is known from 2026-11-02 on for people of class apprentice. Who of them works on it is "
        "not paid until theirs is entered; enter them too.",
    )
    enter(world, worker_class="apprentice")
    later = enter(world, dry_run=True, starts_on=AFTER.date() + timedelta(days=6)).hints
    assert later == ()


def test_a_rate_that_is_entered_late_is_paid_by_the_next_closing_once(world: World) -> None:
    # As above: 1200.00 for 40 h; 48.00 to basic and 292.00 of fringe were owed and are paid with the next week.
    world.rate("BOARD", "0.40")
    person, other = world.person("One"), world.person("Two", "apprentice")
    work(world, person, 5, "3000")
    world.entry(world.unit("BOARD", face="right"), "100", other)
    world.hours(other, "2")
    world.close()
    line = prevailing_rate_set(actor=world.owner, facts=determined(world), now=LATER, dry_run=False)
    assert "the next closing pays the difference" in line.hints[0]
    assert "It starts on 2026-11-02, before today." in line.hints[1]
    found = sheet(world)
    assert found.payroll is None
    assert any("was paid 1200.00 for this week, but it comes to 1540.00" in one for one in found.mistakes)
    world.close(NEXT_MONDAY, now=LATER + timedelta(days=1))
    with transaction.atomic(), world.scope():
        corrected = Statement.objects.get(corrects__isnull=False)
        assert (corrected.person_id, corrected.gross, corrected.difference) == (person.pk, 1540, 340)
        assert Statement.objects.count() == 4
    # Nothing is found again: one correction, and no other person's.
    world.close(NEXT_MONDAY + timedelta(days=7), now=LATER + timedelta(days=8))
    with transaction.atomic(), world.scope():
        assert Statement.objects.count() == 4


def test_a_name_that_is_a_formula_does_not_run(world: World) -> None:
    world.rate("BOARD", "0.40")
    enter(world)
    work(world, world.person("=1+1"), 5, "3500")
    world.close()
    found = sheet(world)
    assert found.payroll is not None
    assert b",'=1+1," in certified_csv(found, found.payroll)


def test_a_rate_changed_behind_the_services_is_found(committed_db: None) -> None:
    world = make_world()
    enter(world)
    with transaction.atomic(), world.scope():
        assert rates_changed() == []
    table = "payroll_prevailingrate"
    behind_the_triggers(
        table, f"UPDATE {table} SET basic = 20, fringe = 1 WHERE organisation_id = %s", [world.organisation]
    )
    with transaction.atomic(), world.scope():
        (sentence,) = rates_changed()
    assert "it is 20.0000 and 1.0000, set was 31.20 and 7.30" in sentence
