"""What is wrong with a plan is told in one go: a wall of which something cannot be read is looked at for all the rest.

Ground: the plan file's own description ("all of them are reported at once, not only the first").
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.framing.floor import Json, door, plan, wall
from tests.framing.test_plan_mistakes import mistakes, must_be_told


def assert_told(made: Any, *expected: tuple[str, ...]) -> None:
    """Exactly these mistakes, each named by all of its words, in any order."""
    told = mistakes(made)
    assert len(told) == len(expected), told
    for words in expected:
        assert any(all(word in sentence for word in words) for sentence in told), (words, told)


def test_a_wall_of_an_unknown_type_is_looked_at_for_its_openings():
    made = plan(
        wall("A", (0, 0), (120, 0), type="P9", openings=[door("D1", "100"), door("D2", "10"), door("D3", "20")])
    )
    assert_told(
        made,
        ("wall A", "type", "P9"),
        ("wall A, opening D1", "past the wall"),
        ("wall A, opening D3", "lies over opening D2"),
    )


def test_an_unknown_type_hides_neither_length_nor_overlap():
    made = plan(
        wall("A", (0, 0), (120, 0), type="P9"),
        wall("B", (60, 0), (180, 0)),
        wall("C", (0, 99), (0, 99), type="P9"),
    )
    assert_told(
        made,
        ("wall A", "type"),
        ("wall C", "type"),
        ("wall A", "overlaps wall B", "5'-0\""),
        ("wall C", "no length"),
    )


def test_a_height_that_cannot_be_read_brings_no_other_with_it():
    made = plan(wall("A", (0, 0), (120, 0), height="tall", openings=[door("D1", "30", sill="4"), door("D2", "100")]))
    assert_told(made, ("wall A", "height", "tall"), ("opening D1", "off the floor"), ("opening D2", "past the wall"))


def test_an_end_that_cannot_be_read_leaves_the_height_to_be_looked_at():
    made = plan(wall("A", (0, 0), (120, 0), to=[120, "far"], height="30'-0\"", openings=[door("D1", "500")]))
    assert_told(made, ("wall A", "to", "far"), ("wall A", "height", "longest stud"))


def test_an_opening_that_cannot_be_read_leaves_the_others_to_be_looked_at():
    made = plan(wall("A", (0, 0), (120, 0), openings=[door("D1", "near"), door("D2", "100")]))
    assert_told(made, ("opening D1", "at", "near"), ("opening D2", "past the wall"))


def test_junctions_wait_until_every_wall_is_read():
    # A wall whose type is unknown is still in the way of others, but how they meet cannot be told without it.
    sharp = wall("B", (0, 0), (120, 20))
    assert_told(plan(wall("A", (0, 0), (120, 0), type="P9"), sharp), ("wall A", "type"))


@pytest.mark.parametrize("format_word", ["piecewall plan 2", "other", 1, None])
def test_another_format_is_said_alone(format_word: Any):
    made = plan(wall("A", (0, 0), (0, 0))) | {"format": format_word, "author": "me", "storeys": []}
    assert "piecewall plan 1" in must_be_told(made, "format")


def test_missing_levels_are_said_once():
    made: Json = plan(wall("A", (0, 0), (120, 0)))
    del made["levels"]
    must_be_told(made, "levels", "missing")
    must_be_told(plan() | {"levels": []}, "levels", "no level")
