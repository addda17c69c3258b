"""The lists of a wall in words: cut-outs from the right edge, studs counted once, what waits for what.

The worked room by hand (derived): the door of B stands from 31 13/16 to 69 13/16 in along its track and 84 in high;
the left face's first sheet runs from 1/4 to 48, its next to 80; board starts 1/2 in off the floor.
"""

from __future__ import annotations

import pytest

from framing.drawing.lists import cut_outs, level_order, sheet_table, stud_table, waits_for
from framing.length import inch
from tests.framing.drawing.drawn import PLANS, drawn, drawn_of
from tests.framing.floor import door, plan, wall


def test_cut_outs_of_the_worked_door():
    level = drawn("room")
    one = level.wall("B")
    found = {sheet.at: cut_outs(one, sheet, is_metric=False) for sheet in one.sheets_of("left", 1)}
    assert found == {
        inch(0, 1, 4): ['D1: 16 3/16" × 83 1/2", 31 9/16" in, 0" up'],
        inch(48): ['D1: 21 13/16" × 83 1/2", 0" in, 0" up'],
        inch(80): [],
    }


def test_a_wall_laid_out_from_its_far_end_is_measured_from_there():
    # Free-standing, 96 in, door from 60 to 90: 6 in from the far end. The sheet at that end is cut 6 in from its edge.
    level = drawn_of(plan(wall("A", (0, 0), (96, 0), layout_from="to", openings=[door("D1", "60", "30")])))
    one = level.wall("A")
    last = max(one.sheets_of("left", 1), key=lambda sheet: sheet.at + sheet.width)
    (words,) = cut_outs(one, last, is_metric=False)
    assert '6" in, 0" up' in words
    row = next(row for row in sheet_table(one, level).rows if row[0] == str(last.step))
    assert row[4] == '0"'


@pytest.mark.parametrize("name", PLANS)
def test_the_stud_list_counts_every_stud_once(name: str):
    level = drawn(name)
    for one in level.walls:
        rows = stud_table(one, level).rows
        assert sum(int(row[2]) for row in rows) == len(one.studs)
        assert sum(row[6].count(",") + 1 for row in rows) == len(one.studs)


@pytest.mark.parametrize("name", PLANS)
def test_the_sheet_list_holds_every_piece_in_the_order_of_hanging(name: str):
    level = drawn(name)
    for one in level.walls:
        steps = [int(row[0]) for row in sheet_table(one, level).rows]
        assert steps == sorted(sheet.step for sheet in one.sheets)


@pytest.mark.parametrize("name", PLANS)
def test_the_level_s_order_names_every_step_once(name: str):
    level = drawn(name)
    steps = []
    for said, _ in level_order(level):
        first, _, last = said.partition("–")
        steps += range(int(first), int(last or first) + 1)
    assert steps == sorted(sheet.step for one in level.walls for sheet in one.sheets)


def test_what_a_piece_waits_for_names_the_other_wall():
    level = drawn("room")
    one = level.wall("B")
    inside = next(sheet for sheet in one.sheets_of("right", 1) if sheet.at == inch(4, 1, 4))
    tie = next(sheet for sheet in level.wall("A").sheets_of("left", 1) if sheet.at == 0)
    (reason,) = waits_for(one, level)[inside.step]
    assert reason.startswith(f"after {tie.step} (A): it ties the loose stud of wall B")
