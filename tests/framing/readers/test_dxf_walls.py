"""Lines on named layers of a drawing as walls: the same room in every unit; what is no straight line is listed."""

from __future__ import annotations

import json

import pytest

from framing.junctions import find_junctions
from framing.length import inch
from framing.plan import PlanMistakes
from framing.readers.models import propose, read_model
from framing.readers.models.printed import imported_takeoff, imported_text
from tests.framing.readers.made_dxf import Drawing


def reasons(model):
    return {one.id: one.reason for one in model.left_out}


@pytest.mark.parametrize("unit", ["in", "ft", "mm", "cm", "m"])
def test_the_same_room_in_every_unit(tmp_path, unit):
    made = Drawing(unit)
    made.run([(0, 0), (240, 0), (240, 144), (0, 144)], close=True)
    made.wall((120, 0), (120, 144))
    model = made.read(tmp_path)
    (level,) = model.plan.levels
    assert [wall.length for wall in level.walls] == [inch(n) for n in (240, 144, 240, 144, 144)]
    assert {wall.height_from for wall in level.walls} == {inch(108)}
    found = find_junctions(level, model.plan.practice)
    assert sorted(one.kind for one in found.found) == ["corner"] * 4 + ["tee"] * 2
    assert not found.cautions
    assert not model.left_out


def test_walls_carry_their_handles_and_the_text_lists_what_was_left_out(tmp_path):
    made = Drawing()
    line = made.wall((0, 0), (120, 0))
    arc = made.space.add_arc((0, 0), 50, 0, 90, dxfattribs={"layer": "A-WALL-PRTN"})
    made.space.add_circle((0, 0), 5, dxfattribs={"layer": "A-FURN"})
    found = imported_takeoff(made.read(tmp_path))
    assert found["levels"][0]["walls"][0]["source_id"] == line.dxf.handle
    assert found["levels"][0]["walls"][0]["stated"] == {}
    text = imported_text(found)
    assert "1 of 2 walls taken" in text
    assert f"{arc.dxf.handle}  ARC on layer A-WALL-PRTN" in text
    assert "layer A-FURN  1 entity" in text


def test_each_kind_of_line_that_is_no_wall_has_its_reason(tmp_path):
    made = Drawing()
    layer = {"layer": "A-WALL-PRTN"}
    made.wall((0, 0), (120, 0))
    made.wall((0, 50), (0, 50))
    rising = made.space.add_line((0, 80, 0), (100, 80, 30), dxfattribs=layer)
    curved = made.space.add_lwpolyline([(0, 100, 0, 0, 0.5), (100, 100)], dxfattribs=layer)
    spline = made.space.add_spline([(0, 0), (1, 5), (9, 9)], dxfattribs=layer)
    text = made.space.add_text("wall", dxfattribs=layer)
    multi = made.space.add_mline([(0, 200), (100, 200)], dxfattribs=layer)
    model = made.read(tmp_path)
    assert len(model.plan.levels[0].walls) == 1
    found = reasons(model)
    assert found[rising.dxf.handle] == "rises from end to end"
    assert found[curved.dxf.handle].startswith("is curved between")
    assert found[spline.dxf.handle] == "is curved"
    assert found[text.dxf.handle] == "is no line (a TEXT)"
    assert "multiline" in found[multi.dxf.handle]
    assert "has no length" in found.values()


def test_a_line_drawn_twice_counts_once_either_way_round(tmp_path):
    made = Drawing()
    first = made.wall((0, 0), (120, 0))
    second = made.wall((120, 0), (0, 0))
    model = made.read(tmp_path)
    assert len(model.plan.levels[0].walls) == 1
    assert reasons(model)[second.dxf.handle] == f"is drawn twice: it lies on {first.dxf.handle} from end to end"


def test_lines_that_overlap_in_part_are_left_out_with_the_engines_reason(tmp_path):
    made = Drawing()
    made.wall((0, 0), (120, 0))
    second = made.wall((60, 0), (180, 0))
    assert "overlaps wall" in reasons(made.read(tmp_path))[second.dxf.handle]


def test_two_lines_as_far_apart_as_a_walls_faces_are_a_caution(tmp_path):
    made = Drawing()
    made.wall((0, 0), (120, 0))
    made.wall((0, 4.875), (120, 4.875))
    made.wall((0, 100), (120, 100))
    model = made.read(tmp_path)
    assert [c.kind for c in model.cautions[""]] == ["two lines"]
    assert "4.88 in (123.8 mm) apart" in model.cautions[""][0].sentence


def test_the_drawn_line_may_be_a_face_of_the_steel(tmp_path):
    made = Drawing()
    made.wall((0, 0), (120, 0))
    types = made.types(tmp_path)
    value = json.loads(types.read_text())
    value["layers"][0]["line"] = "left"
    types.write_text(json.dumps(value))
    wall = read_model(tmp_path / "made.dxf", types).plan.levels[0].walls[0]
    assert wall.start.y == wall.end.y == -inch(1, 13, 16)


def test_layers_may_be_levels_and_types_of_their_own(tmp_path):
    made = Drawing()
    made.wall((0, 0), (120, 0), "WALL-1")
    made.wall((0, 0), (144, 0), "WALL-2")
    types = made.types(tmp_path)
    value = json.loads(types.read_text())
    value["wall_types"]["P600"] = value["wall_types"]["P362"] | {"stud": "600S125-18", "track": "600T125-18"}
    value["layers"][1] |= {"level": "Level 2", "type": "P600", "height": "12'-0\""}
    types.write_text(json.dumps(value))
    one, two = read_model(tmp_path / "made.dxf", types).plan.levels
    assert (two.name, two.walls[0].type.name, two.walls[0].height_from) == ("Level 2", "P600", inch(144))
    assert one.walls[0].height_from == inch(108)


def test_a_turned_and_a_mirrored_polyline_are_the_same_room(tmp_path):
    made = Drawing()
    room = made.run([(0, 0), (120, 0), (120, 144), (0, 144)], close=True)
    room.dxf.extrusion = (0, 0, -1)  # drawn from below: x runs the other way
    model = made.read(tmp_path)
    assert sorted(wall.length for wall in model.plan.levels[0].walls) == [inch(120)] * 2 + [inch(144)] * 2
    assert min(point.x for wall in model.plan.levels[0].walls for point in (wall.start, wall.end)) == -inch(120)


def test_heights_are_never_guessed(tmp_path):
    made = Drawing()
    made.wall((0, 0), (120, 0))
    with pytest.raises(PlanMistakes) as caught:
        read_model(made.save(tmp_path))
    (sentence,) = caught.value.mistakes
    assert "layer A-WALL-PRTN: height is not said" in sentence
    assert "--propose-types" in sentence


def test_a_drawing_without_a_unit_asks_for_it_and_takes_it_from_the_types_file(tmp_path):
    made = Drawing("")
    made.wall((0, 0), (120, 0))
    with pytest.raises(PlanMistakes) as caught:
        made.read(tmp_path)
    assert "unit is not said" in caught.value.mistakes[0]
    model = made.read(tmp_path, drawing_unit="in")
    assert model.plan.levels[0].walls[0].length == inch(120)


def test_a_unit_against_the_headers_is_used_with_a_caution(tmp_path):
    made = Drawing("in")
    made.wall((0, 0), (120, 0))
    model = made.read(tmp_path, drawing_unit="cm")
    assert model.plan.levels[0].walls[0].length == 1200 * 3_200_000
    assert "unit" in {caution.kind for caution in model.cautions[""]}


def test_a_drawing_without_a_layer_of_walls_says_so(tmp_path):
    made = Drawing()
    made.wall((0, 0), (120, 0), "LINES")
    with pytest.raises(PlanMistakes) as caught:
        made.read(tmp_path)
    assert "name no layer of walls" in caught.value.mistakes[0]


def test_the_proposal_names_every_layer_and_block_with_its_count(tmp_path):
    made = Drawing()
    made.wall((0, 0), (120, 0))
    made.wall((0, 0), (0, 120), "A-WALL-EXTR")
    made.insert(made.door(), (10, 0))
    made.insert("DOOR-38", (70, 0))
    made.document.blocks.new("CHAIR").add_line((0, 0), (20, 0))
    made.insert("CHAIR", (50, 50), layer="A-FURN")
    value = propose(made.save(tmp_path))
    assert [(row["layer"], row["lines"], row["take"]) for row in value["layers"]] == [
        ("A-WALL-PRTN", 1, True),
        ("A-WALL-EXTR", 1, False),
    ]
    door, chair = value["blocks"]
    assert (door["block"], door["kind"], door["inserts"], door["take"], door["from"], door["to"]) == (
        "DOOR-38", "door", 2, True, '0"', "3'-2\"",
    )  # fmt: skip
    assert chair["take"] is False
