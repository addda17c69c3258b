"""Files that are no whole IFC model get one clear sentence; damaged ones raise nothing else, whatever the damage."""

from __future__ import annotations

import random
import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from framing.plan import PlanMistakes
from framing.readers import is_model
from framing.readers.ifc import opened
from framing.readers.models import propose, read_model
from framing.readers.models.printed import imported_takeoff
from tests.framing.readers.made_ifc import Made


def rich() -> bytes:
    """A model with most of what the reader knows: bodies of several kinds, openings, doors, joints, quantities."""
    made = Made("IFC4", 25.4, (("Level 1", 0), ("Level 2", 3000)))
    one = made.wall(length=6000, tag="A", IsExternal=False, FireRating="1 hour")
    made.opening(one, 500, 900, 2100)
    made.opening(one, 3000, 900, 900, 900, fill="IfcWindow")
    two = made.wall((0, 0), (0, 1), 4000, body=made.plane_cut(made.box(4000, 120, 5000), (0, 0, 2743.2), (0, 0, -1)))
    made.joint(one, "ATSTART", two, "ATSTART")
    made.quantities(one, [("Length", 6000), ("NetSideArea", 12.0)])
    made.wall((0, 3000), axis=None, storey="Level 2", body=made.slab([(0, 0), (3000, 0), (3000, 2700), (0, 2400)], 120))
    made.wall((0, 3000), (1, 1), storey="Level 2", body=None)
    return made.file.to_string().encode()


SOUND = rich()


def refused(path, data: bytes) -> str:
    path.write_bytes(data)
    with pytest.raises(PlanMistakes) as caught:
        read_model(path)
    (sentence,) = caught.value.mistakes
    assert sentence.startswith(f"{path.name}: the model: ")
    return sentence


def is_accounted_for(path, data: bytes) -> bool:
    """Whether reading raises nothing but PlanMistakes, and every wall of what can be read is taken or left out."""
    path.write_bytes(data)
    try:
        model = read_model(path)
    except PlanMistakes as mistakes:
        return len(mistakes.mistakes) > 0
    printed = imported_takeoff(model)
    return model.elements <= printed["model"]["walls_taken"] + len(model.left_out)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is not an IFC file"),
        (b"PK\x03\x04rest", "is a zip archive. Unpack it"),
        (b'<?xml version="1.0"?><ifcXML/>', "is XML"),
        (b"\x00\x01\x02" * 50, "is not an IFC file"),
        (b"0\nSECTION\n", "is not an IFC file"),
        (SOUND[: len(SOUND) // 2], "is cut off: END-ISO-10303-21; is missing"),
        (SOUND.replace(b"'IFC4'", b"'IFC2X_FINAL'"), "is in schema 'IFC2X_FINAL', which is not read"),
        (SOUND.replace(b"'IFC4'", b"'IFC4X1'"), "is in schema 'IFC4X1', which is not read"),
        (SOUND.replace(b"'IFC4'", b"'CONFIG_CONTROL_DESIGN'"), "which is not read. Export it as IFC2X3 or IFC4"),
        (SOUND.replace(b"FILE_SCHEMA", b"FILE_SCHEME"), "does not name its schema"),
        (SOUND.replace(b"IFCUNITASSIGNMENT((", b"IFCUNITASSIGNMENT((#1,"), "names no length unit"),
    ],
)
def test_what_is_no_whole_model_gets_one_sentence(tmp_path, data, said):
    if b"(#1," in data:  # every length unit taken away
        data = data.replace(b".LENGTHUNIT.", b".MASSUNIT.")
    assert said in refused(tmp_path / "bad.ifc", data)


def test_a_file_over_the_size_limit_is_refused_unread(tmp_path, monkeypatch):
    monkeypatch.setattr(opened, "LARGEST", 1024)
    assert "more than the" in refused(tmp_path / "large.ifc", SOUND)


def test_too_many_walls_are_refused(tmp_path, monkeypatch):
    monkeypatch.setattr("framing.readers.ifc.read.MOST_WALLS", 3)
    assert "has 4 walls, more than the 3" in refused(tmp_path / "many.ifc", SOUND)


@pytest.mark.parametrize("suffix", [".ifc", ".IFC", ".ifczip", ".ifcxml", ".dxf", ".dwg"])
def test_names_of_models_are_known(suffix):
    assert is_model(f"a{suffix}")
    assert not is_model("a.json")


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    for path in (tmp_path / "none.ifc", tmp_path):
        with pytest.raises(PlanMistakes):
            read_model(path)


def test_the_sound_file_is_read(tmp_path):
    path = tmp_path / "sound.ifc"
    path.write_bytes(SOUND)
    model = read_model(path)
    assert len(model.sources) == 3
    assert propose(path)["types"]


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.randoms(use_true_random=False), st.integers(1, 12))
def test_no_mutation_of_bytes_raises_anything_else(tmp_path, rnd: random.Random, cuts: int):
    data = bytearray(SOUND)
    for _ in range(cuts):
        at = rnd.randrange(len(data))
        data[at : at + rnd.randrange(3)] = bytes(rnd.randrange(32, 127) for _ in range(rnd.randrange(3)))
    assert is_accounted_for(tmp_path / "mutated.ifc", bytes(data))


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.randoms(use_true_random=False), st.integers(1, 4))
def test_no_mutation_of_values_raises_anything_else(tmp_path, rnd: random.Random, changes: int):
    """References swapped, numbers blown up, values dropped: what still parses must still be read or left out."""
    lines = SOUND.split(b"\n")
    data_lines = [index for index, line in enumerate(lines) if line.startswith(b"#")]
    for _ in range(changes):
        index = rnd.choice(data_lines)
        line = lines[index]
        head, _, body = line.partition(b"(")
        parts = body.split(b",")
        at = rnd.randrange(len(parts))
        odd = [b"$", b"1.E300", b"-0.", b"1.E-300", b"()", b"'x'", b".T.", b"#%d" % rnd.randrange(1, 200), b"#99999"]
        parts[at] = rnd.choice(odd) + (b");" if at == len(parts) - 1 else b"")
        lines[index] = head + b"(" + b",".join(parts)
    assert is_accounted_for(tmp_path / "mutated.ifc", b"\n".join(lines))


def test_a_model_of_a_thousand_walls_is_read_in_seconds(tmp_path):
    made = Made()
    for number in range(1000):
        wall = made.wall((4000 * (number % 30), 1000 * (number // 30)), length=3500)
        made.opening(wall, 500, 900, 2100)
    path = made.save(tmp_path)
    start = time.process_time()
    model = read_model(path)
    assert len(model.sources) == 1000
    assert time.process_time() - start < 20


def test_errors_that_the_parser_reads_over_are_a_caution(tmp_path):
    path = tmp_path / "odd.ifc"
    path.write_bytes(SOUND.replace(b"IFCWALL(", b"IFCWALLX(", 1))
    (caution,) = [c for c in read_model(path).cautions[""] if c.kind == "damaged file"]
    assert "IFCWALLX" in caution.sentence
    path.write_bytes(SOUND)
    assert "damaged file" not in {caution.kind for caution in read_model(path).cautions[""]}
