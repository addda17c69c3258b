"""Which kinds of wall become which of our types: what is proposed, what is left out and why, what a person corrects."""

from __future__ import annotations

import json

import pytest

from framing.length import inch
from framing.plan import PlanMistakes
from framing.readers.models import propose, read_model
from tests.framing.readers.made_ifc import BOARDS, Made, the_reason


def proposal(made, tmp_path):
    return propose(made.save(tmp_path))


def row(made, tmp_path):
    (found,) = proposal(made, tmp_path)["types"]
    return found


def given(tmp_path, value):
    path = tmp_path / "types.json"
    path.write_text(json.dumps(value))
    return path


def test_the_proposal_read_back_gives_the_same_plan(tmp_path):
    made = Made()
    made.wall(length=4000)
    made.wall((0, 0), (0, 1), layers=(*BOARDS, ("Gypsum board", 12.7)), type_name="Two layers")
    plain = made.read(tmp_path)
    types = given(tmp_path, proposal(made, tmp_path))
    corrected = read_model(tmp_path / "made.ifc", types)
    assert corrected.plan == plain.plan
    assert corrected.types_from == "types.json"
    assert "proposed types" in {caution.kind for caution in plain.cautions[""]}
    assert "" not in corrected.cautions


@pytest.mark.parametrize(
    ("common", "reason"),
    [
        ({"IsExternal": True}, "is an external wall"),
        ({"LoadBearing": True}, "is load-bearing"),
        ({"IsExternal": True, "LoadBearing": True}, "is an external wall and is load-bearing"),
    ],
)
def test_external_and_load_bearing_walls_are_left_out_unless_a_person_takes_them(tmp_path, common, reason):
    made = Made()
    made.wall(**common)
    assert the_reason(made.read(tmp_path)) == reason
    value = proposal(made, tmp_path)
    value["types"][0]["take"] = True
    assert len(read_model(tmp_path / "made.ifc", given(tmp_path, value)).plan.levels[0].walls) == 1


def test_one_kind_with_and_without_a_flag_are_two_rows(tmp_path):
    made = Made()
    made.wall()
    made.wall((0, 3000), LoadBearing=True)
    rows = proposal(made, tmp_path)["types"]
    assert [(one["flags"], one["take"]) for one in rows] == [([], True), (["load-bearing"], False)]


@pytest.mark.parametrize(
    ("name", "layers", "reason"),
    [
        ("Foundation wall", BOARDS, "is a foundation"),
        ("Roof parapet", BOARDS, "is a parapet"),
        (
            "Party",
            (("Plasterboard", 15.9), ("Metal Stud", 41.3), ("Concrete Block", 190.0)),
            "has a layer of concrete block",
        ),
        ("Wood framed", BOARDS, "is framed in wood"),
        ("Odd", (("Plasterboard", 12.5), ("Metal Stud", 75.0)), "has a stud layer of 75 mm, a web that is not stocked"),
        ("Plain", (("Default Wall", 200.0),), "has no layer of steel studs"),
    ],
)
def test_what_is_not_ours_says_why(tmp_path, name, layers, reason):
    made = Made()
    made.wall(type_name=name, layers=layers)
    assert reason in the_reason(made.read(tmp_path))


def test_predefined_types_of_the_schema_are_flags(tmp_path):
    made = Made("IFC4")
    made.wall().PredefinedType = "PARAPET"
    made.wall((0, 3000)).PredefinedType = "SHEAR"
    model = made.read(tmp_path)
    assert [one.reason for one in model.left_out] == ["is a parapet", "is a shear wall"]


def test_board_on_one_face_two_layers_and_insulation_are_seen(tmp_path):
    made = Made()
    layers = (("Gypsum board", 12.5), ("Plasterboard", 12.5), ("Metal Stud", 63.5), ("Mineral wool", 30.0))
    made.wall(layers=layers)
    value = proposal(made, tmp_path)
    (kind,) = value["wall_types"].values()
    assert (kind["stud"], kind["left"], kind["right"], kind["insulated"]) == (
        "250S125-18",
        ["1/2 board", "1/2 board"],
        [],
        True,
    )


def test_a_board_of_no_stocked_thickness_keeps_its_own(tmp_path):
    made = Made()
    made.wall(layers=(("Plasterboard", 15.0), ("Metal Stud", 92.0), ("Plasterboard", 15.0)))
    wall = made.read(tmp_path).plan.levels[0].walls[0]
    assert wall.type.left[0].thickness == 15 * 3_200_000


def test_a_wall_without_layers_is_guessed_from_its_thickness_and_the_row_says_so(tmp_path):
    made = Made()
    made.wall(layers=(), body=made.box(3000, 123.8, 2743.2))
    found = row(made, tmp_path)
    assert (found["take"], found["steel"]) == (True, [{"layer": 0, "type": "P362"}])
    assert "names no layers" in found["because"]


def test_fire_rating_is_carried_through(tmp_path):
    made = Made()
    made.wall(FireRating="1 hour")
    made.wall((0, 3000), type_name="Other", FireRating="_FIRE-RATING_")
    one, two = made.read(tmp_path).plan.levels[0].walls
    assert (one.type.fire_rated, two.type.fire_rated) == (True, False)


def test_two_rows_of_steel_are_two_walls_of_one_element(tmp_path):
    made = Made()
    layers = (*BOARDS[:2], ("Air", 50.0), *BOARDS[1:])
    wall = made.wall(layers=layers, tag="77")
    model = made.read(tmp_path)
    one, two = model.plan.levels[0].walls
    assert [one.mark, two.mark] == ["77-1", "77-2"]
    assert one.source_id == two.source_id == wall.GlobalId
    assert abs(one.start.y - two.start.y) == round((92.075 + 50.0) * 3_200_000)
    assert ([len(one.type.left), len(one.type.right)], [len(two.type.left), len(two.type.right)]) == ([1, 0], [0, 1])


def test_steel_off_the_middle_is_drawn_where_it_stands(tmp_path):
    made = Made("IFC4", 25.4)
    made.wall(layers=(("Plasterboard", 15.875), ("Metal Stud", 92.075)), length=3048)
    wall = made.read(tmp_path).plan.levels[0].walls[0]
    assert wall.start.y == wall.end.y == -inch(0, 5, 16)


def test_a_kind_that_the_file_does_not_name_is_left_out(tmp_path):
    made = Made()
    made.wall()
    value = proposal(made, tmp_path)
    value["types"][0]["model_type"] = "Something else"
    model = read_model(tmp_path / "made.ifc", given(tmp_path, value))
    assert the_reason(model) == "is of a kind that types.json does not name: Partition"
    assert {caution.kind for caution in model.cautions[""]} == {"nothing taken"}


def test_a_wall_with_fewer_layers_than_its_kind_is_left_out(tmp_path):
    made = Made()
    made.wall()
    value = proposal(made, tmp_path)
    value["types"][0]["steel"][0]["layer"] = 4
    reason = the_reason(read_model(tmp_path / "made.ifc", given(tmp_path, value)))
    assert reason == "has 3 layers; its kind's steel is in layer 4"


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda v: v.update(format="other"), "format"),
        (lambda v: v.update(colour="red"), "colour"),
        (lambda v: v["types"][0].update(take="yes"), "take"),
        (lambda v: v["types"][0].update(steel=[]), "names no steel"),
        (lambda v: v["types"][0]["steel"][0].update(type="P999"), "no wall type of this file"),
        (lambda v: v["types"][0]["steel"][0].update(layer="two"), "layer"),
        (lambda v: v["types"].append(v["types"][0]), "given twice"),
        (lambda v: v["wall_types"]["P362"].update(stud="round"), "stud"),
        (lambda v: v.update(types="all"), "types"),
    ],
)
def test_a_wrong_mapping_file_is_refused_with_the_place(tmp_path, change, sentence):
    made = Made()
    made.wall()
    value = proposal(made, tmp_path)
    change(value)
    with pytest.raises(PlanMistakes) as caught:
        read_model(tmp_path / "made.ifc", given(tmp_path, value))
    assert any(sentence in one for one in caught.value.mistakes), caught.value.mistakes
    assert all(one.startswith("types.json: ") for one in caught.value.mistakes)


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b"\xff", b'{"a": 1, "a": 2}'])
def test_what_is_no_mapping_file_is_refused(tmp_path, content):
    made = Made()
    made.wall()
    made.save(tmp_path)
    path = tmp_path / "types.json"
    path.write_bytes(content)
    with pytest.raises(PlanMistakes):
        read_model(tmp_path / "made.ifc", path)
