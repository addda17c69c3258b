"""A bad plan is refused whole, with every mistake at once: level, wall, opening, field, value, reason, next step.

Ground: the plan file's own description; nothing here rests on the engine's wording beyond the things it must name.
"""

from __future__ import annotations

import json
import re
from copy import deepcopy
from typing import Any

import pytest

from framing.plan import PlanMistakes
from framing.readers import read_plan
from tests.framing.floor import Json, door, plan, room, wall, wall_type


def mistakes(made: Any) -> list[str]:
    text = made if isinstance(made, (str, bytes)) else json.dumps(made)
    with pytest.raises(PlanMistakes) as caught:
        read_plan(text.encode() if isinstance(text, str) else text)
    told = [str(m) for m in caught.value.mistakes]
    assert told
    for sentence in told:
        assert re.search(r"[.\"')]\s+\S.*\.$|\. \S", sentence), f"no next step: {sentence}"
    return told


def must_be_told(made: Any, *named: str) -> str:
    """The only mistake of a plan, which names all of `named`."""
    told = mistakes(made)
    assert len(told) == 1, told
    for name in named:
        assert name in told[0], (name, told[0])
    return told[0]


def with_wall(**keys: Any) -> Json:
    made = room()
    made["levels"][0]["walls"][1].update(keys)
    return made


def with_door(**keys: Any) -> Json:
    made = room()
    made["levels"][0]["walls"][1]["openings"][0].update(keys)
    return made


def test_an_opening_past_the_walls_end():
    # B is 96 in; 60 + 38 = 98: 2 in past
    must_be_told(with_door(at="60"), "Level 1", "wall B", "opening D1", "5'-0\"", "3'-2\"", '2"', "8'-0\"")


def test_openings_over_one_another():
    made = room()
    made["levels"][0]["walls"][1]["openings"].append(door("D2", "60", width="30"))
    must_be_told(made, "Level 1", "wall B", "opening D2", "D1", "5'-0\"")


def test_openings_that_only_touch_are_no_mistake():
    made = room()
    made["levels"][0]["walls"][1]["openings"].append(door("D2", "68", width="20"))
    assert read_plan(json.dumps(made).encode()).levels


def test_an_opening_higher_than_the_wall():
    must_be_told(with_door(height="109"), "Level 1", "wall B", "opening D1", "height", "9'-1\"")


def test_a_door_with_a_sill():
    must_be_told(with_door(sill="4", height="80"), "Level 1", "wall B", "opening D1", "sill", '4"')


def test_a_wall_of_no_length():
    made = plan(wall("A", (0, 0), (120, 0)), wall("Z", (300, 300), (300, 300)))
    must_be_told(made, "Level 1", "wall Z", "from", "to")


def test_walls_on_one_line_that_overlap():
    made = plan(wall("A", (0, 0), (120, 0)), wall("B", (100, 0), (200, 0)))
    must_be_told(made, "Level 1", "wall B", "wall A", "1'-8\"")  # by 20 in
    backwards = plan(wall("A", (0, 0), (120, 0)), wall("B", (200, 0), (100, 0)))
    must_be_told(backwards, "Level 1", "wall A", "wall B", "1'-8\"")


def test_a_wall_drawn_twice():
    must_be_told(
        plan(wall("A", (0, 0), (120, 0)), wall("B", (120, 0), (0, 0))), "Level 1", "wall A", "wall B", "10'-0\""
    )


def test_a_mark_used_twice():
    must_be_told(plan(wall("A", (0, 0), (120, 0)), wall("A", (0, 200), (120, 200))), "Level 1", "wall A", "mark")
    doors = [door("D1", "10"), door("D1", "70")]
    must_be_told(plan(wall("A", (0, 0), (120, 0), openings=doors)), "Level 1", "wall A", "opening D1", "mark")


def test_two_levels_of_one_name():
    made = room()
    made["levels"].append(deepcopy(made["levels"][0]))
    assert any("Level 1" in told and "name" in told for told in mistakes(made))


def test_an_unknown_type():
    must_be_told(with_wall(type="P9"), "Level 1", "wall B", "type", "P9", "P1")


def test_an_unknown_board():
    must_be_told(plan(wall("A", (0, 0), (90, 0)), types={"P1": wall_type(left=["B99"])}), "P1", "left", "B99", "B58")


def test_a_stud_that_does_not_fit_its_track():
    types = {"P1": {**wall_type(), "track": "600T125-18"}}
    told = mistakes(plan(wall("A", (0, 0), (90, 0)), types=types))
    assert any("362S125-18" in t and "600T125-18" in t and "web" in t for t in told)


@pytest.mark.parametrize("stud", ["362X125-18", "362T125-18", "3 5/8", "", "000S125-18", 362])
def test_a_designator_that_is_none(stud):
    types = {"P1": {**wall_type(), "stud": stud}}
    told = mistakes(plan(wall("A", (0, 0), (90, 0)), types=types))
    assert any("P1" in t and "stud" in t for t in told)


def test_a_height_no_stock_stud_reaches():
    # 24 ft is the longest stud in stock: 24'-0 1/2" of wall still stands, 24'-1" does not
    assert read_plan(json.dumps(with_wall(height="24'-0 1/2\"")).encode()).levels
    must_be_told(with_wall(height="24'-1\""), "Level 1", "wall B", "height", "24'-1\"", "24'-0\"")


def test_a_slot_smaller_than_the_boards_that_pass_it():
    # A's inside face has two layers, 1 1/4 in; the plan sets the slot to 5/8
    made = room()
    made["wall_types"]["P1"]["left"] = ["B58", "B58"]
    made["practice"] = {"slot": "5/8"}
    told = must_be_told(made, "slot", '5/8"', '1 1/4"')
    assert "A" in told
    made["practice"] = {"slot": "1 1/4"}
    assert read_plan(json.dumps(made).encode()).levels


@pytest.mark.parametrize(
    ("path", "key"),
    [
        ((), "levls"),
        (("boards", "B58"), "colour"),
        (("wall_types", "P1"), "studs"),
        (("levels", 0), "wall"),
        (("levels", 0, "walls", 1), "heigth"),
        (("levels", 0, "walls", 1, "openings", 0), "handing"),
        (("levels", 0, "junctions", 0), "thru"),
        (("practice",), "slott"),
    ],
)
def test_an_unknown_key_is_an_error_never_ignored(path, key):
    made = room()
    made["practice"] = {}
    at: Any = made
    for step in path:
        at = at[step]
    at[key] = "1"
    must_be_told(made, key)


@pytest.mark.parametrize(
    ("make", "names"),
    [
        (lambda v: with_wall(height=v), ("Level 1", "wall B", "height")),
        (lambda v: with_door(width=v), ("Level 1", "wall B", "opening D1", "width")),
        (lambda v: with_door(at=v), ("Level 1", "wall B", "opening D1", "at")),
        (lambda v: with_wall(to=[0, v]), ("Level 1", "wall B", "to")),
    ],
)
@pytest.mark.parametrize("value", ["nine feet", "9'-", "9'-13", "1/0", None, True, [], {}, "3 5/8 mm 2", "1e9999"])
def test_a_length_that_cannot_be_read_names_its_place(make, names, value):
    told = mistakes(make(value))
    assert any(all(name in t for name in names) for t in told), told
    if isinstance(value, str):
        assert any(value in t for t in told)


@pytest.mark.parametrize("value", ["0", "-84", 0, -3])
@pytest.mark.parametrize("field", ["width", "height"])
def test_an_opening_of_no_size(field, value):
    told = mistakes(with_door(**{field: value}))
    assert any(all(name in t for name in ("Level 1", "wall B", "opening D1", field)) for t in told)


@pytest.mark.parametrize("key", ["mark", "type", "from", "to", "height"])
def test_a_wall_that_lacks_something_it_needs(key):
    made = room()
    del made["levels"][0]["walls"][1][key]
    told = mistakes(made)
    assert any("Level 1" in t and key in t for t in told)


def test_both_ways_of_saying_the_height():
    told = mistakes(with_wall(height_from="9'-0\"", height_to="10'-0\""))
    assert any("Level 1" in t and "wall B" in t and "height" in t for t in told)
    half = with_wall(height_from="9'-0\"")
    del half["levels"][0]["walls"][1]["height"]
    assert any("height_to" in t for t in mistakes(half))


@pytest.mark.parametrize(
    ("key", "value"),
    [("line", "middle"), ("layout_from", "left"), ("ends", {"from": "loose"}), ("ends", {"start": "free"})],
)
def test_a_word_that_is_none_of_those_allowed(key, value):
    told = mistakes(with_wall(**{key: value}))
    assert any("wall B" in t for t in told)


def test_a_junction_of_walls_that_do_not_meet_or_are_not_there():
    apart = plan(
        wall("A", (0, 0), (120, 0)),
        wall("B", (0, 300), (120, 300)),
        junctions=[{"walls": ["A", "B"], "through": "A"}],
    )
    assert any("A" in t and "B" in t for t in mistakes(apart))
    assert any("Q" in t for t in mistakes(room(junctions=[{"walls": ["A", "Q"], "through": "A"}])))
    assert any("through" in t for t in mistakes(room(junctions=[{"walls": ["A", "B"], "through": "C"}])))


def test_everything_is_told_at_once():
    made = plan(
        wall("A", (0, 0), (120, 0), type="P9"),
        wall("B", (0, 0), (0, 96), height="nine", openings=[door("D1", "30", width="x")]),
        wall("Z", (50, 50), (50, 50), colour="red"),
    )
    told = "\n".join(mistakes(made))
    for named in ("P9", "nine", "opening D1", "wall Z", "colour"):
        assert named in told


def test_mistakes_of_measure_are_told_together_too():
    made = plan(
        wall("A", (0, 0), (120, 0), openings=[door("D1", "100"), door("D2", "20", height="200")]),
        wall("B", (0, 300), (96, 300), openings=[door("D3", "90")]),
        wall("C", (0, 600), (96, 600), height="40'-0\""),
    )
    told = mistakes(made)
    for named in ("D1", "D2", "D3", "wall C"):
        assert any(named in t for t in told), (named, told)


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b"3",
        b"\xff\xfe\x00",
        b'{"format": "piecewall plan 2"}',
        b"{}",
        b'{"format": "piecewall plan 1", "format": "piecewall plan 1"}',
        b"[" * 100_000,
        b'{"format": NaN}',
    ],
)
def test_a_text_that_is_no_plan(text):
    assert mistakes(text)


def test_numbers_keep_their_own_digits():
    # 0.1 in is exact as typed, not as a binary float: ten of them are one inch.
    made = json.dumps(plan(wall("A", (0, 0), ("X", 0)))).replace('"X"', "120.1")
    level = read_plan(made.encode()).levels[0]
    assert (
        level.walls[0].length * 10
        == read_plan(json.dumps(plan(wall("A", (0, 0), (1201, 0)))).encode()).levels[0].walls[0].length
    )


@pytest.mark.parametrize("key", ["k" * 1_000_000, "half \ud800", "turned \u202e around", "two\nlines"])
def test_a_files_own_words_are_told_short_and_on_one_line(key):
    # A sentence is printed, and shown on a page: neither takes halves of characters.
    for made in (plan(wall("A", (0, 0), (120, 0), **{key: 1})), plan(wall(key, (0, 0), (120, 0)))):
        for sentence in mistakes(made):
            assert len(sentence) < 500
            assert sentence.isprintable()
    twice = f'{{"a": 1, {json.dumps(key)}: 1, {json.dumps(key)}: 2}}'
    assert all(sentence.isprintable() and len(sentence) < 500 for sentence in mistakes(twice.encode()))
