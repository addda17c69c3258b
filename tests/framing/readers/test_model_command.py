"""`manage.py takeoff` with a model or a drawing, as its user meets it; plan files load none of the heavy libraries."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.framing.floor import room
from tests.framing.readers.made_dxf import Drawing
from tests.framing.readers.made_ifc import Made
from tests.framing.test_takeoff_command import run


@pytest.fixture
def model(tmp_path) -> Path:
    made = Made("IFC2X3", 304.8)
    wall = made.wall(length=3048, tag="A-1")
    made.opening(wall, 1000, 914.4, 2133.6)
    made.quantities(wall, [("Length", 3048.0)], "BaseQuantities")
    made.wall((0, 3000), layers=(("Concrete", 200.0),), type_name="Core")
    return made.save(tmp_path)


def test_a_model_prints_one_object_with_what_was_left_out(model):
    done = run(str(model), "--json")
    assert (done.returncode, done.stderr) == (0, "")
    found = json.loads(done.stdout)
    (wall,) = found["levels"][0]["walls"]
    assert (wall["mark"], wall["stated"]["length_in"], wall["measured"]["length_in"]) == ("A-1", "120", "120")
    assert len(wall["source_id"]) == 22
    (out,) = found["left_out"]
    assert out.keys() == {"id", "what", "reason"}
    assert found["model"]["kind"] == "IFC2X3"


def test_the_text_starts_with_how_the_model_was_read(model):
    done = run(str(model))
    assert done.returncode == 0
    head = done.stdout.splitlines()
    assert head[0] == "Read from IFC2X3 (unit: foot), types from the reader's proposal: 1 of 2 walls taken."
    assert "has a layer of concrete" in done.stdout
    assert "Take-off: made.ifc" in done.stdout


def test_types_are_proposed_corrected_and_used(model, tmp_path):
    done = run(str(model), "--propose-types")
    assert done.returncode == 0
    value = json.loads(done.stdout)
    value["wall_types"]["P362"]["spacing"] = "24"
    types = tmp_path / "types.json"
    types.write_text(json.dumps(value))
    at_16, at_24 = (json.loads(run(str(model), "--json", *more).stdout) for more in ((), ("--types", str(types))))
    assert at_24["counts"]["studs"] < at_16["counts"]["studs"]
    assert at_24["model"]["types_from"] == "types.json"


def test_a_drawing_without_heights_ends_with_the_next_step_and_with_them_is_counted(tmp_path):
    made = Drawing()
    made.run([(0, 0), (240, 0), (240, 144)])
    types = made.types(tmp_path)
    done = run(str(tmp_path / "made.dxf"))
    assert done.returncode == 2
    assert "height is not said" in done.stderr
    assert "1 mistake; nothing was counted." in done.stderr
    done = run(str(tmp_path / "made.dxf"), "--types", str(types), "--json")
    assert len(json.loads(done.stdout)["levels"][0]["walls"]) == 2


@pytest.mark.parametrize("name", ["bad.ifc", "bad.dxf", "bad.ifczip", "bad.dwg"])
def test_what_is_no_model_is_refused_in_one_sentence(tmp_path, name):
    path = tmp_path / name
    path.write_bytes(b"not a model at all")
    done = run(str(path), "--json")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"{name}: the ")
    assert "Traceback" not in done.stderr


def test_types_beside_a_plan_file_are_refused(tmp_path):
    path = tmp_path / "room.json"
    path.write_text(json.dumps(room()))
    done = run(str(path), "--types", str(path))
    assert done.returncode == 2
    assert "are for models (.ifc) and drawings (.dxf)" in done.stderr


def test_a_plan_file_loads_no_reader_of_models():
    code = (
        "import sys; from framing.readers import is_model, read_plan; import framing.takeoff, framing.printed; "
        "print([name for name in sys.modules if name.startswith(('ifcopenshell', 'ezdxf')) "
        "or name == 'framing.readers.models'])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
