"""The piles of a level add up to what is bought for it, lie where they are used, and are said in text and crew book.

Ground: arithmetic on the print alone; what lies where is worked by hand for a closet in the corner of a room.
"""

from __future__ import annotations

import json
from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fixtures.demo.floor import PLAN_FILE
from framing.printed import takeoff_text
from framing.readers import read_plan
from framing.rooms import OUTSIDE
from framing.stocking import shared_out
from framing.takeoff import takeoff
from tests.framing.floor import Json, level, plan, size, taken, wall
from tests.framing.test_plan_moves import floors
from tests.framing.test_rooms import CLOSET


def piles(one: Json) -> Counter[tuple[str, str | None]]:
    """What all piles of a level hold, by product and length."""
    found: Counter[tuple[str, str | None]] = Counter()
    for stock in (*(room["stock"] for room in one["rooms"]), one["stock_elsewhere"]):
        for pile in stock:
            assert pile["count"] > 0
            found[pile["product"], pile.get("stock_length")] += pile["count"]
    return found


def add_up(out: Json) -> None:
    whole: Counter[tuple[str, str | None]] = Counter()
    for one in out["levels"]:
        own = piles(one)
        whole += own
        for name in ("board_screws", "framing_screws"):
            assert own[name.replace("_", " "), None] == one["counts"][name]
        assert own["track pins", None] == one["counts"]["pins"]
        sheets = {
            (s["board"], line["stock_length"]): line["count"] for s in one["board_stock"] for line in s["lengths"]
        }
        assert {key: own[key] for key in sheets} == sheets
    for line in out["order"]:
        if "stock_length" in line:
            assert whole[line["product"], line["stock_length"]] == line["count"], line


@settings(max_examples=15, deadline=None)
@given(floors())
def test_the_piles_of_any_floor_add_up_to_its_order(floor):
    add_up(taken(floor))


def test_the_piles_of_the_demo_floor_add_up_to_its_order():
    add_up(json.loads(json.dumps(takeoff(read_plan(PLAN_FILE)))))


def test_two_levels_are_stocked_apart_and_add_up():
    made = plan(*CLOSET["levels"][0]["walls"])
    made["levels"].append({"name": "Level 2", "walls": [wall("A", (0, 0), (200, 0)), wall("B", (0, 0), (0, 90))]})
    out = taken(made)
    add_up(out)
    assert out["levels"][1]["rooms"] == []
    assert out["levels"][1]["stock_elsewhere"]


def test_steel_lies_in_the_larger_room_and_board_where_it_hangs():
    corners = [(80, 60), (140, 60), (140, 108), (80, 108)]
    box = [wall(f"I{i}", corners[i], corners[(i + 1) % 4]) for i in range(4)]
    one = level(taken(plan(*CLOSET["levels"][0]["walls"][:4], *box)))
    closet, around = sorted(one["rooms"], key=lambda room: size(room["area_sqft"]))
    assert {pile["product"] for pile in closet["stock"]} == {"B58", "board screws"}
    assert {pile["product"] for pile in around["stock"]} > {"362T125-18", "362S125-18", "track pins"}
    # the backs of the outer walls look into no room: their board lies elsewhere
    assert {pile["unit"] for pile in one["stock_elsewhere"]} == {"sheet", "each"}
    assert {pile["product"] for pile in one["stock_elsewhere"]} == {"B58", "board screws"}


def test_a_rooms_object_says_its_faces_and_a_place_on_its_floor():
    one = level(taken(CLOSET))
    closet = min(one["rooms"], key=lambda room: size(room["area_sqft"]))
    assert {(part["wall"], part["face"]) for part in closet["faces"]} == {
        ("S", "left"), ("W", "left"), ("C1", "left"), ("C2", "left")}  # fmt: skip
    x, y = (size(part) for part in closet["at"])
    assert 2 < x < 58 and 2 < y < 46
    # S is walked from 0 to 240, its track starts 1 13/16 before: the closet takes the first 60 in of its line
    (along,) = [part for part in closet["faces"] if part["wall"] == "S"]
    assert size(along["to"]) - size(along["from"]) == 60
    assert sorted(room["turn"] for room in one["rooms"]) == [1, 2]


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 500), st.dictionaries(st.integers(OUTSIDE, 9), st.integers(1, 10**12), min_size=1))
def test_a_number_is_shared_out_whole_and_nearly_by_weight(count, weights):
    shares = shared_out(count, weights)
    total = sum(weights.values())
    assert sum(shares.values()) == count
    for room, weight in weights.items():
        assert abs(shares[room] - Fraction(count * weight, total)) < 1


@pytest.mark.parametrize("made", [CLOSET, plan(wall("A", (0, 0), (100, 0)))], ids=["rooms", "none"])
def test_the_text_says_rooms_and_piles(made):
    out = taken(made)
    text = takeoff_text(out)
    one = level(out)
    assert "rooms in the order of hanging, and what to drop in each" in text
    for room in one["rooms"]:
        assert f"  room {room['room']}: " in text
    assert ("its walls close no room" in text) == (not one["rooms"])
    assert "board B58: " in text
