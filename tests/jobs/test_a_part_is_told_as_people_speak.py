"""Sheets, feet of wall and studs become exact quantities by stated rules tied to the wall's own counts.

Figures are derived: wall A's left face of the test world is 121.8125 in by 107.5 in without an opening (90.9364 sq ft);
wall B's faces have a door of 38 in that takes 83.5 in of board from the floor gap up. The rules are the house's own.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from jobs.models import Entry, Receipt
from jobs.refusals import Invalid, OverClaim, UuidReused
from jobs.requests import FEET, SHEETS, STUDS, EntryRequest, PartAsked
from jobs.selectors.spoken_parts import spoken_of_units
from jobs.services.entries import entry_batch_log, entry_correct, entry_log
from jobs.services.entry_state import EntryAnswer
from jobs.spoken import number_said
from jobs.tenancy import organisation_scope
from tests.jobs.world import NOW, World, entry, unit_now


def part(world: World, unit: int | None, said: PartAsked, **changes: Any) -> EntryRequest:
    return entry(world, unit, None, part=said, **changes)


def logged(world: World, unit: int, said: PartAsked) -> Decimal:
    return entry_log(actor=world.foreman, request=part(world, unit, said), now=NOW).quantity


@pytest.mark.parametrize(
    ("said", "value", "in_feet"),
    [
        ("12.5", Fraction(25, 2), False),
        ("1,250", Fraction(1250), False),
        ("10 1/2", Fraction(21, 2), False),
        ("3/8", Fraction(3, 8), False),
        ("12'-6\"", Fraction(25, 2), True),
        ("12′-6 1⁄2″", Fraction(301, 24), True),
        ("8'", Fraction(8), True),
    ],
)
def test_a_number_is_read_exactly_as_it_is_said(said: str, value: Fraction, in_feet: bool):
    found = number_said(said)
    assert found is not None
    assert (found.value, found.in_feet) == (value, in_feet)


@pytest.mark.parametrize("said", ["", "twelve", "1/0", "-3", "1e3", "6\" 2'", "12' 6 7", "1" * 61])
def test_what_is_no_number_is_not_guessed(said: str):
    assert number_said(said) is None


def test_sheets_by_number_are_their_own_areas_and_together_the_face(world: World):
    unit = world.unit("A", "BOARD", "left")
    # Steps 2, 1 and 3 of the hanging order: 48, 48 and 25.8125 in wide, 107.5 in high; derived: 48 x 107.5 / 144.
    first = logged(world, unit, PartAsked(SHEETS, steps=(2,)))
    assert first == Decimal("35.8333")
    second = logged(world, unit, PartAsked(SHEETS, steps=(1, 3)))
    assert first + second == unit_now(world, unit).measured == Decimal("90.9364")


def test_an_opening_is_left_out_of_the_sheets_it_lies_in(world: World):
    unit = world.unit("B", "BOARD", "left")
    with organisation_scope(world.organisation):
        spoken = spoken_of_units([unit])[unit]
    nets = {sheet.step: sheet.net for sheet in spoken.sheets}
    # Derived: the door spans 31.8125 to 69.8125 in; sheets 0.25 to 48, 48 to 80 and 80 to 97.8125 in.
    height, cut = Fraction("107.5"), Fraction("83.5")
    assert nets[10] == (Fraction("47.75") * height - (48 - Fraction("31.8125")) * cut) / 144
    assert nets[7] == (32 * height - (Fraction("69.8125") - 48) * cut) / 144
    assert nets[8] == Fraction("17.8125") * height / 144
    assert spoken.sheets_add_up


def test_sheets_by_count_are_equal_parts_and_the_last_takes_the_crumb(world: World):
    unit = world.unit("A", "BOARD", "left")
    parts = [logged(world, unit, PartAsked(SHEETS, Fraction(1))) for _ in range(3)]
    # Derived: 90.9364 / 3 = 30.31213..., so two parts of 30.3121 leave 30.3122.
    assert parts == [Decimal("30.3121"), Decimal("30.3121"), Decimal("30.3122")]
    assert unit_now(world, unit).done == unit_now(world, unit).measured


def test_feet_of_wall_are_a_part_of_the_face_s_length(world: World):
    unit = world.unit("A", "BOARD", "left")
    # Derived: 5 ft of 121.8125 in: 90.9364 x 60 / 121.8125 = 44.79168...
    assert logged(world, unit, PartAsked(FEET, Fraction(5))) == Decimal("44.7917")
    assert logged(world, world.unit("A", "TRACK"), PartAsked(FEET, Fraction(25, 2))) == Decimal("12.5")


def test_studs_are_what_studs_are_measured_in(world: World):
    assert logged(world, world.unit("A", "STUDS"), PartAsked(STUDS, Fraction(4))) == 4


@pytest.mark.parametrize(
    ("mark", "operation", "face", "said", "names"),
    [
        ("A", "TRACK", "", PartAsked(SHEETS, Fraction(1)), "feet"),
        ("A", "STUDS", "", PartAsked(FEET, Fraction(1)), "studs"),
        ("A", "BOARD", "left", PartAsked(SHEETS, steps=(99,)), "1, 2, 3"),
        ("A", "BOARD", "left", PartAsked(SHEETS, steps=(1,), plan=7), "newest is 1"),
    ],
)
def test_what_is_not_told_so_is_refused_with_the_ways_that_are(
    world: World, mark: str, operation: str, face: str, said: PartAsked, names: str
):
    with pytest.raises(Invalid) as refused:
        logged(world, world.unit(mark, operation, face), said)
    assert refused.value.mistakes[0].path == "part"
    assert names in refused.value.mistakes[0].sentence


def test_never_past_what_is_left(world: World):
    unit = world.unit("A", "BOARD", "left")
    with pytest.raises(OverClaim):
        logged(world, unit, PartAsked(FEET, Fraction(11)))
    with pytest.raises(OverClaim):
        logged(world, unit, PartAsked(SHEETS, Fraction(4)))


def test_a_sheet_is_logged_once_until_its_entry_is_corrected(world: World):
    unit = world.unit("A", "BOARD", "left")
    first = entry_log(actor=world.foreman, request=part(world, unit, PartAsked(SHEETS, steps=(1,))), now=NOW)
    with pytest.raises(OverClaim) as refused:
        logged(world, unit, PartAsked(SHEETS, steps=(1, 2)))
    assert f"sheet 1 was logged by entry {first.uuid}" in refused.value.mistakes[0].sentence
    other = PartAsked(SHEETS, steps=(3,))
    entry_correct(actor=world.foreman, request=part(world, None, other, replaces=first.uuid), now=NOW)
    assert logged(world, unit, PartAsked(SHEETS, steps=(1,))) == Decimal("35.8333")


def test_what_was_said_is_kept_and_explained(world: World):
    unit = world.unit("A", "BOARD", "left")
    request = part(world, unit, PartAsked(SHEETS, steps=(2,)))
    answer = entry_log(actor=world.foreman, request=request, now=NOW)
    assert entry_log(actor=world.foreman, request=request, now=NOW) == answer
    assert answer.because[0].term == "sheets 2: 35.8333 = 35.8333 sq ft, rounded half up to four decimals"
    with organisation_scope(world.organisation):
        kept = Entry.objects.get(uuid=request.uuid)
        receipt = Receipt.objects.get(uuid=request.uuid)
    assert kept.said == {"unit": "sheets", "steps": [2], "plan": 1}
    assert receipt.request["part"] == {"unit": "sheets", "steps": [2], "plan": None}
    assert receipt.request["quantity"] is None
    with pytest.raises(UuidReused) as reused:
        entry_log(actor=world.foreman, request=entry(world, unit, None, uuid=request.uuid), now=NOW)
    assert {mistake.path for mistake in reused.value.mistakes} == {"quantity", "part"}


def test_a_correction_in_the_same_batch_may_tell_a_part_too(world: World):
    first = part(world, world.unit("A", "BOARD", "left"), PartAsked(SHEETS, steps=(1,)))
    second = part(world, None, PartAsked(SHEETS, steps=(1, 2)), replaces=first.uuid)
    answers = entry_batch_log(actor=world.foreman, requests=[second, first], now=NOW)
    assert [one.quantity for one in answers if isinstance(one, EntryAnswer)] == [Decimal("71.6667"), Decimal("35.8333")]
