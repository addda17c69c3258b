"""Where four walls meet in a cross, the same line runs through whatever order they are listed in.

Ground: common practice, no source: one line runs through, the walls of the other stop one slot short of its steel.
Lengths by hand: 100 - 1 13/16 - 5/8 = 97 9/16 for 3 5/8 in steel and a 5/8 in slot.
"""

from __future__ import annotations

from itertools import permutations

import pytest

from framing.plan import PlanMistakes
from tests.framing.floor import junctions, plan, taken, wall, wall_of, wall_type

FOUR = {
    "A1": wall("A1", (-100, 0), (0, 0)),
    "A2": wall("A2", (0, 0), (100, 0)),
    "B1": wall("B1", (0, -100), (0, 0)),
    "B2": wall("B2", (0, 0), (0, 100)),
}


def lengths(out):
    return {mark: wall_of(out, mark)["track_length"] for mark in FOUR}


@pytest.mark.parametrize("order", list(permutations(FOUR)))
def test_of_four_equal_walls_the_line_listed_first_runs_through(order):
    out = taken(plan(*(FOUR[mark] for mark in order)))
    through = order[0][0]
    assert lengths(out) == {mark: "100" if mark[0] == through else "97.5625" for mark in FOUR}
    (cross,) = junctions(out, "cross")
    assert cross["through"] == order[0]
    assert sorted(cross["walls"]) == sorted([order[0], *(mark for mark in FOUR if mark[0] != through)])
    assert len(junctions(out, "in line")) == 1


@pytest.mark.parametrize("pair", [("A1", "B1"), ("A1", "B2"), ("A2", "B1"), ("A2", "B2")])
@pytest.mark.parametrize("which", [0, 1])
def test_the_plans_word_on_one_pair_holds_for_the_whole_cross(pair, which):
    out = taken(plan(*FOUR.values(), junctions=[{"walls": list(pair), "through": pair[which]}]))
    through = pair[which][0]
    assert lengths(out) == {mark: "100" if mark[0] == through else "97.5625" for mark in FOUR}


def test_a_plan_that_runs_both_lines_through_is_refused():
    words = [{"walls": ["A1", "B1"], "through": "A1"}, {"walls": ["A2", "B2"], "through": "B2"}]
    with pytest.raises(PlanMistakes) as refused:
        taken(plan(*FOUR.values(), junctions=words))
    (sentence,) = refused.value.mistakes
    assert "A1 and B2" in sentence
    assert "one crossing" in sentence


def test_two_walls_in_line_told_to_run_through_a_whole_one_interrupt_it():
    # C is drawn in one; the plan runs B1, and so B2 in line with it, through: C stops on both sides, 2 x 2 7/16 less.
    out = taken(
        plan(
            wall("C", (-100, 0), (100, 0)),
            FOUR["B1"],
            FOUR["B2"],
            junctions=[{"walls": ["C", "B2"], "through": "B2"}],
        )
    )
    assert [wall_of(out, mark)["track_length"] for mark in ("C", "B1", "B2")] == ["195.125", "100", "100"]


@pytest.mark.parametrize("is_turned", [False, True])
def test_a_stem_at_the_joint_of_two_widths_stops_short_of_the_wider(is_turned):
    # A 3 5/8 and a 6 in wall in line at x = 100: the stem stands before both, so 100 - 3 - 5/8.
    line = [wall("A", (0, 0), (100, 0)), wall("B", (100, 0), (200, 0), type="P6")]
    types = {"P1": wall_type(), "P6": wall_type("600")}
    out = taken(plan(*(line[::-1] if is_turned else line), wall("S", (100, 100), (100, 0)), types=types))
    assert wall_of(out, "S")["track_length"] == "96.375"
    (tee,) = junctions(out, "tee")
    assert tee["through"] == "B"
