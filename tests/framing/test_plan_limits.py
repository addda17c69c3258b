"""How large a plan may be: what goes beyond is refused by name, in a moment, before anything is counted.

Ground: `framing.limits`, stated for users in the README; the times are derived (what a small machine does in a tenth of
what is allowed here).
"""

from __future__ import annotations

import json
import time

import pytest

from framing import limits
from framing.count import count_level
from framing.limits import LONGEST_WALL, MOST_PIECES, pieces_about
from framing.plan import PlanMistakes
from framing.readers import read_plan
from tests.framing.floor import Json, plan, wall
from tests.framing.test_plan_mistakes import mistakes, must_be_told


def test_a_wall_may_be_ten_thousand_feet_long_and_no_longer():
    long = LONGEST_WALL // 81_280_000  # inches
    assert read_plan(json.dumps(plan(wall("A", (0, 0), (long, 0)))).encode())
    told = must_be_told(plan(wall("A", (0, 0), (long + 1, 0))), "Level 1", "wall A", "10000'-1\"", "10000'-0\"")
    assert "several walls in line" in told


def test_a_wall_may_be_a_hundred_feet_high_and_no_higher():
    made = plan(wall("A", (0, 0), (120, 0), height="1201"), practice={"stud_stock": ["1400"]})
    must_be_told(made, "Level 1", "wall A", "100'-1\"", "100'-0\"")


def test_rows_of_board_without_end_are_refused():
    made = plan(wall("A", (0, 0), (120, 0), height="1000"), practice={"stud_stock": ["1400"]})
    made["boards"]["B58"]["lengths"] = ["12"]
    must_be_told(made, "wall A", "rows of board", "40")


def test_a_list_of_stock_lengths_has_an_end():
    made = plan(wall("A", (0, 0), (120, 0)), practice={"stud_stock": [str(96 + n) for n in range(51)]})
    must_be_told(made, "practice", "stud_stock", "51", "50")


def grid(number: int, length: int, apart: int) -> Json:
    return plan(*(wall(f"W{n}", (0, n * apart), (length, n * apart)) for n in range(number)))


def test_a_plan_of_too_many_pieces_is_refused_at_once():
    began = time.process_time()
    told = must_be_told(grid(700, 119_000, 60), "Level 1", "pieces", f"{MOST_PIECES:,}")
    assert "split" in told
    assert time.process_time() - began < 5


def test_what_is_reckoned_is_no_less_than_what_is_counted():
    read = read_plan(json.dumps(grid(20, 1000, 60)).encode())
    level = count_level(read.levels[0], read.practice)
    counted = sum(len(one.track) + len(one.studs) + len(one.sheets) for one in level.walls)
    assert counted <= sum(pieces_about(one.wall, read.practice) for one in level.walls) < 5 * counted


def test_a_level_whose_walls_are_drawn_many_times_over_is_refused_at_once():
    began = time.process_time()
    made = plan(*(wall(f"W{n}", (0, 0), (120, 0)) for n in range(20_000)))
    told = must_be_told(made, "Level 1", "wall W", "other walls")
    assert "copies" in told
    assert time.process_time() - began < 20


def test_many_stems_at_one_long_wall_cost_what_they_would_elsewhere():
    stems = [wall(f"S{n}", (40 + 20 * n, 0), (40 + 20 * n, 60)) for n in range(400)]
    read = read_plan(json.dumps(plan(wall("A", (0, 0), (8200, 0)), *stems)).encode())
    level = count_level(read.levels[0], read.practice)
    assert sum(junction.kind == "tee" for junction in level.joined.found) == 400


@pytest.mark.parametrize(
    "walls",
    [
        [{"mark": f"W{n}", "colour": n} for n in range(3000)],
        [0] * 3000,
        [wall("A", (0, 0), (120, 0), openings=[{"mark": n} for n in range(3000)])],
    ],
)
def test_mistakes_without_end_are_told_up_to_a_thousand(walls: list[object]):
    told = mistakes(plan(*walls))  # type: ignore[arg-type]
    assert len(told) == limits.MOST_MISTAKES + 1
    assert told[-1].startswith("There are more mistakes than these 1000.")


def test_geometry_mistakes_without_end_are_told_up_to_a_thousand():
    walls = [wall(f"W{n}", (0, 50 * n), (120, 50 * n), openings=[door_past()]) for n in range(1500)]
    told = mistakes(plan(*walls))
    assert len(told) == limits.MOST_MISTAKES + 1


def door_past() -> Json:
    return {"mark": "D1", "kind": "door", "at": "110", "width": "38", "height": "84"}


def test_names_in_a_sentence_have_an_end():
    made = plan(wall("A", (0, 0), (120, 0), type="P9"))
    one = made["wall_types"]["P1"]
    made["wall_types"] = {f"T{n}": one for n in range(500)}
    with pytest.raises(PlanMistakes) as caught:
        read_plan(json.dumps(made).encode())
    assert "and 480 more" in str(caught.value)
    assert len(str(caught.value)) < 400
