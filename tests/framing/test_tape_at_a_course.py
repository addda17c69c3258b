"""Tape runs where two sheets meet and nowhere else.

Ground: geometry; common practice, no source: tape over every joint of the outermost layer.
"""

from __future__ import annotations

import pytest

from tests.framing.floor import BOARD, door, plan, taken, wall, wall_of

ENDS = {"ends": {"from": "structure", "to": "structure"}}


@pytest.mark.parametrize(
    ("height", "tape"),
    [
        # courses of 48 in from 1/2 in up meet at 48 1/2 and 96 1/2, over 100 in, each side
        ("48 1/2", 2 * (62 + 100)),  # the lower joint stops at the opening, whose head is on it
        ("84", 2 * (62 + 100)),  # the lower joint is cut by the opening
        ("40", 2 * (100 + 100)),  # the lower joint runs over the head
        ("96 1/2", 2 * (62 + 62)),
    ],
)
def test_joints_of_courses_stop_at_an_opening(height, tape):
    boards = {"B58": {**BOARD, "lay": "lying"}}
    out = taken(plan(wall("A", (0, 0), (100, 0), openings=[door("D1", "30", height=height)], **ENDS), boards=boards))
    assert wall_of(out, "A")["counts"]["tape_in"] == str(tape)


def test_a_course_above_the_one_over_the_door_does_not_pass_over_it():
    # 96 in sheets under a 16 ft wall, two courses: only the lower one passes the head of a 12 ft opening
    boards = {"B58": {**BOARD, "lengths": ["96"]}}
    made = plan(
        wall("A", (0, 0), (240, 0), height="16'-0\"", openings=[door("D1", "48", width="144")], **ENDS), boards=boards
    )
    out = taken(made)
    over = [
        s
        for s in out["levels"][0]["sheets"]
        if float(s["bottom"]) <= 84 < float(s["bottom"]) + float(s["height"])
        and float(s["at"]) < 192
        and float(s["at"]) + float(s["width"]) > 48
    ]
    assert wall_of(out, "A")["counts"]["over_opening_pieces"] == len(over)
    assert all(s["bottom"] in ("0.5", "84") for s in over)
