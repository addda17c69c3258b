"""Quantities that a file states stand beside ours; what differs is a caution, what can be mistaken is not taken."""

from __future__ import annotations

import pytest

from framing.readers.models.printed import imported_takeoff, imported_text
from tests.framing.readers.made_ifc import Made

AREA = 3.048 * 2.7432


@pytest.fixture
def made():
    return Made("IFC4", 304.8)


def printed(made, tmp_path):
    return imported_takeoff(made.read(tmp_path))


def wall_of(found):
    return found["levels"][0]["walls"][0]


def differences(found):
    return [c for c in found["levels"][0]["cautions"] if c["kind"] == "stated differs"]


def test_what_the_file_states_and_what_it_measures_stand_beside_our_counts(made, tmp_path):
    wall = made.wall(length=3048, height=2743.2)
    made.quantities(wall, [("Length", 3048), ("Height", 2743.2), ("Width", 123.825), ("NetSideArea", AREA)])
    found = printed(made, tmp_path)
    beside = wall_of(found)
    assert beside["source_id"] == wall.GlobalId
    sizes = {"length_in": "120", "height_in": "108", "width_in": "4.875", "net_area_sqft": "90"}
    assert beside["stated"] == sizes | {"from": "Qto_WallBaseQuantities"}
    assert beside["measured"] == sizes
    assert differences(found) == []
    assert found["model"]["walls_taken"] == found["model"]["walls_in_file"] == 1


def test_areas_are_in_the_files_own_area_unit_whatever_its_length_unit(tmp_path):
    for mm in (1.0, 1000.0, 25.4, 304.8):
        made = Made("IFC2X3", mm)
        wall = made.wall(length=3048, height=2743.2)
        made.quantities(wall, [("NetSideArea", AREA)], "BaseQuantities")
        assert wall_of(printed(made, tmp_path))["stated"]["net_area_sqft"] == "90"


def test_a_quantity_in_a_unit_of_its_own_is_read_in_it(made, tmp_path):
    wall = made.wall(length=3048, height=2743.2)
    made.quantities(wall, [("Length", 1.0), ("NetSideArea", AREA)])
    length = made.file.by_type("IfcQuantityLength")[0]
    length.Unit = made.file.create_entity("IfcSIUnit", None, "LENGTHUNIT", "CENTI", "METRE")
    length.LengthValue = 304.8
    assert wall_of(printed(made, tmp_path))["stated"]["length_in"] == "120"


def test_each_difference_is_a_caution_with_its_size_and_geometry_is_counted(made, tmp_path):
    wall = made.wall(length=3048, height=2743.2)
    made.quantities(wall, [("Length", 3048 + 25.4), ("Height", 2743.2 + 0.9), ("Width", 100.0), ("NetSideArea", 9.0)])
    found = printed(made, tmp_path)
    assert [c.get("by") for c in differences(found)] == ["1", "0.938", None]
    assert wall_of(found)["line_length"] == "120"


def test_a_name_stated_twice_with_two_values_is_not_taken(made, tmp_path):
    wall = made.wall(length=3048, height=2743.2)
    made.quantities(wall, [("NetSideArea", AREA * 1e6), ("NetSideArea", AREA), ("Length", 3048), ("Length", 3048)])
    made.properties(wall, "Dimensions", {"Area": AREA})
    found = printed(made, tmp_path)
    assert wall_of(found)["stated"] == {"length_in": "120", "from": "Qto_WallBaseQuantities"}
    assert [c["kind"] for c in found["levels"][0]["cautions"] if c["kind"].startswith("stated")] == ["stated twice"]


def test_names_in_another_language_and_the_exporters_own_area_are_read(made, tmp_path):
    wall = made.wall(length=3048, height=2743.2)
    made.quantities(wall, [("Länge", 3048), ("Höhe", 2743.2), ("Dicke", 123.825)], "Mengen")
    made.properties(wall, "Abmessungen", {"Fläche": AREA})
    stated = wall_of(printed(made, tmp_path))["stated"]
    assert (stated["length_in"], stated["height_in"], stated["width_in"], stated["net_area_sqft"]) == (
        "120",
        "108",
        "4.875",
        "90",
    )


def test_nothing_stated_is_an_empty_object(made, tmp_path):
    made.wall()
    assert wall_of(printed(made, tmp_path))["stated"] == {}


def test_the_text_says_what_was_left_out_and_why(made, tmp_path):
    made.wall()
    out = made.wall((0, 3000), type_name="Core", layers=(("Concrete", 200.0),))
    text = imported_text(printed(made, tmp_path))
    assert "1 of 2 walls taken" in text
    assert "has a layer of concrete" in text
    assert out.GlobalId in text
