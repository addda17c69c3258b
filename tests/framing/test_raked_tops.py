"""Under a raked top studs, joints and reasons follow the slope.

Ground: geometry (straight slopes), by hand.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from framing.plan import PlanMistakes
from tests.framing.floor import BOARD, Json, face_of, level, plan, size, taken, wall, wall_of


def raked(mark, start, end, low, high, **keys) -> Json:
    made = wall(mark, start, end, **keys)
    del made["height"]
    return made | {"height_from": low, "height_to": high}


def test_a_joint_is_taped_as_high_as_the_board_stands_there():
    # Rises 1 in for every 2: at 48 it is 120 high, at 16 and 80 104 and 136; board starts 1/2 in up.
    out = taken(plan(raked("A", (0, 0), (96, 0), "96", "144")), explain=True)
    for reason in wall_of(out, "A")["because"]["tape_in"]:
        place = {"4'-0\"": 48, "1'-4\"": 16, "5'-4\"": 64}
        words = reason["term"].split("joint at ")[1].split(": ")
        feet, inches = words[1].rstrip('"').split("'-")
        whole, _, part = inches.partition(" ")
        high = int(feet) * 12 + int(whole) + Fraction(part or 0)
        assert high == 96 + Fraction(place[words[0]], 2) - Fraction(1, 2)
    # left: one joint at 48; right, staggered: 16 and 64
    assert wall_of(out, "A")["counts"]["tape_in"] == "350.5"  # 119.5 + 103.5 + 127.5


def test_courses_are_taped_as_far_as_the_upper_one_reaches():
    # 120 in sheets from 1/2 in up: the upper course starts at 120 1/2, which the top (1 in 1 from 96) passes at 24 1/2.
    boards = {"B58": {**BOARD, "lengths": ["96", "120"]}}
    out = taken(plan(raked("A", (0, 0), (96, 0), "96", "192"), boards=boards), explain=True)
    terms = [r["term"] for r in wall_of(out, "A")["because"]["tape_in"] if " up: " in r["term"]]
    assert terms == [f"{face} face, 10'-0 1/2\" up: 5'-11 1/2\"" for face in ("left", "right")]  # 96 - 24.5 = 71.5


def test_a_corners_stud_is_cut_from_stock_that_reaches_it():
    # Rises 1 in for every 2 to 96 1/2 at x = 48. The corner stud stands at 48 + 1.8125 - 0.625 = 49.1875: 97.09375
    # high there, less 1/2 in.
    out = taken(plan(raked("A", (0, 0), (48, 0), "72 1/2", "96 1/2"), wall("B", (48, 0), (48, 40))))
    tallest = max(size(s["length"]) for s in level(out)["studs"] if s["wall"] == "A")
    assert tallest == Fraction("96.59375")
    assert wall_of(out, "A")["stud_stock_in"] == "108"


def test_a_corners_stud_longer_than_any_stock_is_refused():
    made = plan(raked("A", (0, 0), (48, 0), "264 1/2", "288 1/2"), wall("B", (48, 0), (48, 40)))
    with pytest.raises(PlanMistakes) as refused:
        taken(made)
    (sentence,) = refused.value.mistakes
    assert "wall A" in sentence
    assert "24'-0\"" in sentence


def test_the_reason_of_raked_board_names_both_ends_of_its_top():
    out = taken(plan(raked("A", (0, 0), (96, 0), "96", "144")), explain=True)
    (reason,) = face_of(out, "A", "left")["because"]
    assert reason["term"] == (
        'left face, layer 1: run 8\'-0", from 1/2" to 8\'-0" at its start and 12\'-0" at its end, '
        "less 0 sq ft of openings = 79.6667 sq ft"  # 96 x (120 - 1/2) / 144
    )
