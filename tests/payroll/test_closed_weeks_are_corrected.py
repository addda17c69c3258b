"""What comes after a closing: late entries and hours, corrections up and down, people who were stopped."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection, transaction

from jobs.models import Person
from payroll.law import the_book
from payroll.models import LineAllotment, PayWeek, Statement
from payroll.selectors import law_values
from payroll.selectors.chain_check import chain_breaks
from payroll.selectors.weeks import week_preview
from tests.payroll.world import LATER, MONDAY, NEXT_MONDAY, World, make_world

pytestmark = pytest.mark.django_db


def next_week(world: World, person: Person) -> None:
    """An ordinary next week: 10 hours, 400 sq ft at 0.40."""
    world.entry(world.unit("BOARD", "W-2", face="left", layer=1), "400", person, on=NEXT_MONDAY)
    world.hours(person, "10", on=NEXT_MONDAY)


def statements(world: World) -> list[tuple[Decimal, Decimal, Decimal, bool]]:
    """(gross, difference, overpaid, first statement of its week) in the order of the chain."""
    with transaction.atomic(), world.scope():
        # What a commit would check is checked here, for tests that roll back.
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        assert chain_breaks() == []
        rows = Statement.objects.order_by("number")
        return [(row.gross, row.difference, row.overpaid, row.pay_week_id == row.paid_in_id) for row in rows]


def test_a_late_entry_is_paid_in_the_open_week_under_the_old_weeks_rules():
    world = make_world()
    person = world.person("Late Entry")
    unit = world.unit("BOARD", face="left", layer=1)
    world.rate("BOARD", "0.40")
    world.entry(unit, "1000", person)
    for day in range(5):
        world.hours(person, "9", on=MONDAY + timedelta(days=day))
    world.close()
    world.entry(unit, "125", person, now=LATER)
    next_week(world, person)
    world.close(NEXT_MONDAY)

    # Derived: 45 h. First 400.00 + 5 x 400/45/2 = 22.22; with 125 sq ft more 450.00 + 5 x 450/45/2 = 25.00. The
    # premium of
    # the old week rises with its regular rate: 475.00 - 422.22 = 52.78, not 50.00. Next week 160.00, and no premium
    # on it.
    assert statements(world) == [
        (Decimal("422.22"), Decimal("422.22"), Decimal("0"), True),
        (Decimal("475.00"), Decimal("52.78"), Decimal("0"), False),
        (Decimal("212.78"), Decimal("160.00"), Decimal("0"), True),
    ]
    with transaction.atomic(), world.scope():
        first, corrected, now = Statement.objects.order_by("number")
        assert corrected.corrects_id == first.pk
        line = now.lines.get(code="correction")
        assert (line.amount, line.pays_id) == (Decimal("52.78"), corrected.pk)
        assert now.hours["total"] == "10"
        assert now.regular_rate in {"", "16"}  # the difference stays out of it


@pytest.mark.parametrize(
    ("rules", "cite"),
    # Bans and caps on taking pay back: read as each rule set's parameters say.
    [
        ("us-federal", "29 CFR 531.35 to 531.37"),
        ("us-california", "California Labor Code 221, 224"),
        ("ca-ontario", "Employment Standards Act, 2000 (Ontario), s. 13(5)(b)"),
        ("ca-alberta", "Employment Standards Code (Alberta), s. 12(3)"),
        ("ca-british-columbia", "Employment Standards Act (British Columbia), s. 21"),
    ],
)
def test_what_was_overpaid_is_not_taken_back_and_the_law_of_the_place_says_why(rules: str, cite: str):
    world = make_world(rules=rules)
    person = world.person("Overpaid")
    unit = world.unit("BOARD", face="left", layer=1)
    world.rate("BOARD", "0.40")
    entry = world.entry(unit, "1000", person)
    world.hours(person, "8")
    world.close()
    world.correct(entry, unit, "900", person)
    next_week(world, person)
    open_week = world.week(NEXT_MONDAY).pk
    with transaction.atomic(), world.scope():
        (late,) = week_preview(pay_week=open_week).late
        assert late.overpaid == Decimal("40.00")
        assert [cite in rule for rule in late.nothing_taken_back] == [True]
    world.close(NEXT_MONDAY)
    with transaction.atomic(), world.scope():
        said = Statement.objects.get(number=3).cautions
    assert any(sentence.endswith(")") and cite in sentence for sentence in said)


def test_a_lower_correction_is_shown_as_overpaid_and_nothing_is_taken_back():
    # No negative piece after approval, no offset across weeks: deductions are off (29 CFR 531.35 caps them; the
    # house's rule).
    world = make_world()
    person = world.person("Overpaid")
    unit = world.unit("BOARD", face="left", layer=1)
    world.rate("BOARD", "0.40")
    entry = world.entry(unit, "1000", person)
    world.hours(person, "10")
    world.close()
    world.correct(entry, unit, "900", person)
    next_week(world, person)
    world.close(NEXT_MONDAY)
    assert statements(world) == [
        (Decimal("400.00"), Decimal("400.00"), Decimal("0"), True),
        (Decimal("360.00"), Decimal("0.00"), Decimal("40.00"), False),
        (Decimal("160.00"), Decimal("160.00"), Decimal("0"), True),
    ]
    with transaction.atomic(), world.scope():
        said = Statement.objects.get(number=3).cautions
        assert any("comes to 40.00 less than was paid. Nothing is taken back" in sentence for sentence in said)


def test_what_was_overpaid_is_not_paid_a_second_time_by_a_later_correction():
    world = make_world()
    person = world.person("Down and up")
    unit = world.unit("BOARD", face="left", layer=1)
    world.rate("BOARD", "0.40")
    entry = world.entry(unit, "1000", person)
    world.hours(person, "10")
    world.close()
    lower = world.correct(entry, unit, "900", person)
    next_week(world, person)
    world.close(NEXT_MONDAY)
    world.correct(lower, unit, "1050", person)
    world.close(NEXT_MONDAY + timedelta(days=7), now=LATER + timedelta(days=7))
    # 400.00 were paid, 420.00 are due: 20.00, not 60.00.
    assert statements(world)[-2:] == [
        (Decimal("420.00"), Decimal("20.00"), Decimal("0"), False),
        (Decimal("20.00"), Decimal("0.00"), Decimal("0"), True),
    ]


def test_late_hours_are_priced_again_too():
    world = make_world()
    person = world.person("Late Hours")
    world.rate("BOARD", "0.40")
    world.entry(world.unit("BOARD", face="left", layer=1), "100", person)
    world.hours(person, "5")
    world.close()
    world.hours(person, "5", on=MONDAY + timedelta(days=1))
    next_week(world, person)
    world.close(NEXT_MONDAY)
    # 10 h x 7.25 = 72.50 (29 USC 206(a)(1)(C)) against 40.00 paid for pieces: 32.50 is added.
    assert statements(world)[1] == (Decimal("72.50"), Decimal("32.50"), Decimal("0"), False)


def test_nothing_is_corrected_twice():
    world = make_world()
    person = world.person("Once")
    unit = world.unit("BOARD", face="left", layer=1)
    world.rate("BOARD", "0.40")
    world.entry(unit, "1000", person)
    world.hours(person, "10")
    world.close()
    world.entry(unit, "125", person, now=LATER)
    next_week(world, person)
    world.close(NEXT_MONDAY)
    third = world.close(NEXT_MONDAY + timedelta(days=7), now=LATER + timedelta(days=7))
    assert (third.statements, third.corrections) == (0, 0)


def test_a_rate_set_later_does_not_change_what_was_paid():
    world = make_world()
    person = world.person("Kept Rate")
    unit = world.unit("BOARD", face="left", layer=1)
    world.rate("BOARD", "0.40")
    entry = world.entry(unit, "1000", person)
    world.hours(person, "10")
    world.close()
    world.rate("BOARD", "0.50", starts_on=MONDAY)
    world.correct(entry, unit, "1100", person)
    next_week(world, person)
    world.close(NEXT_MONDAY)
    # The corrected entry keeps the 0.40 that paid the one before it: 440.00. The open week's work is paid at 0.50.
    assert statements(world)[1][:2] == (Decimal("440.00"), Decimal("40.00"))
    assert statements(world)[2][:2] == (Decimal("240.00"), Decimal("200.00"))


def test_a_person_stopped_by_a_missing_rate_is_paid_as_a_late_week_once_it_is_set():
    world = make_world()
    paid, stopped = world.person("Paid"), world.person("Stopped")
    world.rate("BOARD", "0.40")
    world.entry(world.unit("BOARD", face="left", layer=1), "500", paid)
    world.entry(world.unit("STUDS"), "20", stopped)
    for person in (paid, stopped):
        world.hours(person, "8")
    first = world.close(not_paid=(stopped,))
    assert first.statements == 1
    assert [stop.name for stop in first.stopped] == ["Stopped"]
    assert "stand studs on Harrow Street Clinic, 2026-11-02, 20 each: no rate holds" in first.stopped[0].sentences[0]
    with transaction.atomic(), world.scope():
        assert PayWeek.objects.get(first_day=MONDAY).stopped[0]["person"] == stopped.pk

    still = world.close(NEXT_MONDAY)
    assert (still.statements, len(still.stopped)) == (0, 1)
    world.rate("STUDS", "6.00")
    third = world.close(NEXT_MONDAY + timedelta(days=7), now=LATER + timedelta(days=7))
    assert (third.statements, third.corrections, third.stopped) == (1, 1, ())
    assert statements(world)[1:] == [
        (Decimal("120.00"), Decimal("120.00"), Decimal("0"), False),
        (Decimal("120.00"), Decimal("0.00"), Decimal("0"), True),
    ]


def test_a_correction_uses_the_values_stored_with_the_week(monkeypatch: pytest.MonkeyPatch):
    world = make_world()
    person = world.person("Old Values")
    unit = world.unit("BOARD", face="left", layer=1)
    world.rate("BOARD", "0.40")
    world.entry(unit, "50", person)
    world.hours(person, "10")
    world.close()
    book = the_book()
    dearer = tuple(
        replace(value, value=value.value * 2, text=str(value.value * 2)) if value.name == "minimum_wage" else value
        for value in book.values
    )
    monkeypatch.setattr(law_values, "the_book", lambda: type(book)(dearer, book.rules))
    world.entry(unit, "25", person, now=LATER)
    next_week(world, person)
    world.close(NEXT_MONDAY)
    # Still 10 h x 7.25: the floor of the closed week does not move with a value mended since.
    assert statements(world)[1][:2] == (Decimal("72.50"), Decimal("0.00"))


def test_the_preview_lists_late_weeks_and_writes_nothing():
    world = make_world()
    person = world.person("Looked at")
    unit = world.unit("BOARD", face="left", layer=1)
    world.rate("BOARD", "0.40")
    world.entry(unit, "1000", person)
    world.hours(person, "10")
    world.close()
    world.entry(unit, "125", person, now=LATER)
    next_week(world, person)
    week = world.week(NEXT_MONDAY)
    with transaction.atomic(), world.scope():
        before = (Statement.objects.count(), LineAllotment.objects.count())
        preview = week_preview(pay_week=week.pk)
        assert (Statement.objects.count(), LineAllotment.objects.count()) == before
    assert [(late.name, late.first_day, late.gross, late.difference) for late in preview.late] == [
        ("Looked at", MONDAY, Decimal("450.00"), Decimal("50.00"))
    ]
    assert preview.gross == Decimal("210.00")
    assert preview.also_open is None
    # A week after it is open too, and both show what the first of them to close will pay.
    third = world.week(NEXT_MONDAY + timedelta(days=7))
    with transaction.atomic(), world.scope():
        after, first = week_preview(pay_week=third.pk), week_preview(pay_week=week.pk)
    assert (after.also_open, first.also_open) == (NEXT_MONDAY, NEXT_MONDAY + timedelta(days=7))
    assert [late.difference for late in after.late] == [Decimal("50.00")]
