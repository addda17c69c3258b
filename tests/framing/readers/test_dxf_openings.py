"""Inserted blocks of a drawing as openings in the nearest wall line: turned, mirrored, scaled, with attributes."""

from __future__ import annotations

import json

import pytest

from framing.length import inch
from framing.plan import DOOR
from framing.readers.models import read_model
from tests.framing.readers.made_dxf import Drawing


@pytest.fixture
def made():
    drawing = Drawing()
    drawing.wall((0, 0), (240, 0))
    drawing.wall((240, 0), (240, 144))
    return drawing


def openings(model, wall=0):
    return [(o.kind, o.at, o.width, o.height, o.sill) for o in model.plan.levels[0].walls[wall].openings]


def only_reason(model):
    (one,) = model.left_out
    return one.reason


def test_a_door_block_is_as_wide_as_its_own_outline(made, tmp_path):
    made.insert(made.door(), (30, 0))
    assert openings(made.read(tmp_path)) == [(DOOR, inch(30), inch(38), inch(84), 0)]


def test_turned_and_mirrored_doors_stand_where_they_are_drawn(made, tmp_path):
    name = made.door()
    made.insert(name, (100, 0), 180)  # from 62 to 100
    made.insert(name, (160, 0), xscale=-1)  # from 122 to 160
    made.insert(name, (240, 40), 90)  # up the other wall
    model = made.read(tmp_path)
    assert [at for _, at, *_ in openings(model)] == [inch(62), inch(122)]
    assert openings(model, 1) == [(DOOR, inch(40), inch(38), inch(84), 0)]


def test_a_block_one_unit_wide_is_scaled_to_its_width(made, tmp_path):
    made.insert(made.door("DOOR-UNIT", 1), (30, 0), xscale=36, yscale=36)
    assert openings(made.read(tmp_path)) == [(DOOR, inch(30), inch(36), inch(84), 0)]


def test_a_base_point_off_the_hinge_is_allowed_for(made, tmp_path):
    name = made.door()
    made.document.blocks.get(name).block.dxf.base_point = (19, 0, 0)
    made.insert(name, (60, 0))
    assert openings(made.read(tmp_path))[0][1:3] == (inch(41), inch(38))


def test_attributes_state_width_height_and_sill(made, tmp_path):
    insert = made.insert(made.door("WINDOW-A", 36), (30, 0))
    for tag, text in (("WIDTH", "4'-0\""), ("HEIGHT", "48"), ("SILL", "32"), ("NUMBER", "101")):
        insert.add_attrib(tag, text)
    assert openings(made.read(tmp_path, opening_height=None)) == [("window", inch(30), inch(48), inch(48), inch(32))]


def test_bare_numbers_of_a_metric_drawings_attributes_are_millimetres(tmp_path):
    made = Drawing("mm")
    made.wall((0, 0), (240, 0))
    made.insert(made.door(), (30, 0)).add_attrib("HEIGHT", "2133.6")
    assert openings(made.read(tmp_path))[0][3] == inch(84)


def test_an_attribute_that_is_no_length_leaves_the_block_out(made, tmp_path):
    made.insert(made.door(), (30, 0)).add_attrib("HEIGHT", "tall")
    assert only_reason(made.read(tmp_path)).startswith("states a height of 'tall', which cannot be read as a length")


def test_jambs_written_in_the_types_file_go_before_the_outline(made, tmp_path):
    made.insert(made.door(), (30, 0))
    types = made.types(tmp_path)
    value = json.loads(types.read_text())
    value["blocks"][0] |= {"from": "-1", "to": "39"}
    types.write_text(json.dumps(value))
    assert openings(read_model(tmp_path / "made.dxf", types))[0][1:3] == (inch(29), inch(40))


def test_a_block_without_a_height_a_wall_or_a_width_is_left_out(made, tmp_path):
    made.insert(made.door(), (30, 0))
    assert "has no height" in only_reason(made.read(tmp_path, opening_height=None))
    made = Drawing()
    made.wall((0, 0), (240, 0))
    made.insert(made.door(), (30, 40))
    assert "stands in no wall line (the nearest that runs with it is 40.00 in (1016.0 mm) away)" in only_reason(
        made.read(tmp_path)
    )
    made = Drawing()
    made.wall((0, 0), (240, 0))
    made.document.blocks.new("DOOR-EMPTY")
    made.insert("DOOR-EMPTY", (30, 0))
    assert "shows no width" in only_reason(made.read(tmp_path))


def test_blocks_that_are_not_openings_or_hold_walls_or_are_arrays_are_listed(made, tmp_path):
    made.document.blocks.new("CHAIR").add_line((0, 0), (20, 0))
    chair = made.insert("CHAIR", (50, 50))
    made.document.blocks.new("UNIT").add_line((0, 0), (20, 0), dxfattribs={"layer": "A-WALL-PRTN"})
    unit = made.insert("UNIT", (50, 50))
    many = made.insert(made.door(), (30, 0), column_count=3, column_spacing=50)
    model = made.read(tmp_path)
    reasons = {one.id: one.reason for one in model.left_out}
    # the layer of CHAIR's insert is named as one of doors: it is taken for a door and has no place in a wall
    assert "stands in no wall line" in reasons[chair.dxf.handle]
    assert "stands in no wall line" in reasons[unit.dxf.handle]
    assert "is an array of blocks" in reasons[many.dxf.handle]


def test_walls_inside_a_block_are_never_dropped_in_silence(made, tmp_path):
    made.document.blocks.new("UNIT").add_line((0, 0), (20, 0), dxfattribs={"layer": "A-WALL-PRTN"})
    made.insert("UNIT", (50, 50), layer="0")
    assert only_reason(made.read(tmp_path)) == "is a block with wall lines in it; explode it"


def test_an_opening_that_the_engine_refuses_takes_its_wall_out_with_the_reason(made, tmp_path):
    name = made.door()
    made.insert(name, (30, 0))
    made.insert(name, (50, 0))
    assert "lies over opening D1" in only_reason(made.read(tmp_path))
