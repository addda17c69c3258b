"""The order list says what a supplier sells: lengths, whole sheets by length, boxes, tubes, rolls.

Grounds: derived by hand; sizes of boxes, tubes and rolls are the practice's own.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from framing.printed import takeoff_text
from tests.framing.floor import Json, plan, room, size, taken, wall


def lines(made: Json) -> dict[str, Json]:
    return {line["product"]: line for line in taken(made)["order"]}


def test_screws_and_pins_come_in_whole_boxes():
    made = room() | {"practice": {"board_screws_per_box": 250, "pins_per_box": 7}}
    order = lines(made)
    for product, per_box in (("board screws", 250), ("track pins", 7), ("framing screws", 1000)):
        line = order[product]
        assert line["per_box"] == per_box
        assert (line["boxes"] - 1) * per_box < line["count"] <= line["boxes"] * per_box
    assert "boxes" not in order["joint tape"]


def test_the_text_reads_as_one_would_say_it():
    text = takeoff_text(taken(room()))
    screws, tape = lines(room())["board screws"], lines(room())["joint tape"]
    assert f"{screws['boxes']} box of 1,000 for {screws['count']}" in text
    assert f"{tape['count']} roll of 250 ft" in text
    assert "tube of 10.1 oz" in text
    assert "10'-0\"  " in text
    assert "sheets" in text
    long = takeoff_text(taken(plan(wall("A", (0, 0), (4000, 0)))))
    assert "rolls of 250 ft" in long
    assert "tubes of 10.1 oz" in long


def test_a_skim_coat_without_a_joint_to_tape_still_takes_compound():
    # derived: one sheet upright on each face of a wall of 4 ft by 8 ft; level 5 skims
    # faces and free ends, (2 x 48 + 2 x 4.875) x 95.5 / 144 = 70.1 sq ft
    order = lines(plan(wall("A", (0, 0), (48, 0), height="8'-0\"", finish_level=5)))
    assert "joint tape" not in order
    assert order["joint compound"]["count"] == 1
    assert "70.1 sq ft" in order["joint compound"]["because"]


@pytest.mark.parametrize(("height", "longest"), [("8'-0\"", "96"), ("9'-0\"", "108"), ("9'-6\"", "120")])
def test_no_stud_is_bought_longer_than_some_wall_needs(height, longest):
    made = plan(wall("A", (0, 0), (200, 0), height=height))
    studs = [line for line in taken(made)["order"] if line["product"] == "362S125-18"]
    assert {line["stock_length"] for line in studs} == {longest}


def test_studs_take_the_least_length_of_all_stock_that_the_walls_need():
    # derived: low walls of 4'-6" beside a high one of 9'-6" (needs 10 ft): a 54 - 1/2 in stud is cut twice from 108,
    # not once from 96
    low = [wall(mark, (0, y), (200, y), height="4'-6\"") for mark, y in (("L", 60), ("M", 120))]
    out = taken(plan(wall("A", (0, 0), (200, 0), height="9'-6\""), *low))
    bought = {size(x["stock_length"]): x["count"] for x in out["order"] if x["product"] == "362S125-18"}
    lengths = [size(stud["length"]) for stud in out["levels"][0]["studs"]]
    short = sum(1 for length in lengths if length == Fraction("53.5"))
    assert sum(1 for length in lengths if length == Fraction("113.5")) + short == len(lengths)
    assert bought == {Fraction(120): len(lengths) - short, Fraction(108): short // 2} | (
        {Fraction(96): 1} if short % 2 else {}
    )
