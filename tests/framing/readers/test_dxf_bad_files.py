"""Files that are no whole drawing get one clear sentence; damaged ones raise nothing else, whatever the damage."""

from __future__ import annotations

import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from framing.plan import PlanMistakes
from framing.readers.dxf import opened
from framing.readers.models import propose, read_model
from framing.readers.models.printed import imported_takeoff
from tests.framing.readers.made_dxf import Drawing


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sound")
    made = Drawing()
    made.run([(0, 0), (240, 0), (240, 144), (0, 144)], close=True)
    made.wall((120, 0), (120, 144))
    made.insert(made.door(), (30, 0)).add_attrib("HEIGHT", "84")
    types = made.types(folder)
    return (folder / "made.dxf").read_bytes(), types


def refused(path, data):
    path.write_bytes(data)
    for read in (read_model, propose):
        with pytest.raises(PlanMistakes) as caught:
            read(path)
    (sentence,) = caught.value.mistakes
    assert sentence.startswith(f"{path.name}: the drawing: ")
    return sentence


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is not a DXF file"),
        (b"PK\x03\x04rest", "is a zip archive. Unpack it"),
        (b"AC1032\x00\x00", "is a DWG file, which is not read. Save it as DXF"),
        (b"0\x00\x01\x02SECTION", "is binary"),
        (b"ISO-10303-21;", "is not a DXF file"),
        (b"0\nSECTION\n2\nENTITIES\n", "is cut off: EOF is missing"),
        (b"0\nSECTION\nnot a code\nENTITIES\n0\nEOF\n", "cannot be parsed"),
    ],
)
def test_what_is_no_whole_drawing_gets_one_sentence(tmp_path, data, said):
    assert said in refused(tmp_path / "bad.dxf", data)


def test_half_a_drawing_is_refused(tmp_path, sound):
    data, _ = sound
    assert "is cut off" in refused(tmp_path / "half.dxf", data[: len(data) // 2])


def test_a_file_over_the_size_limit_is_refused_unread(tmp_path, monkeypatch, sound):
    monkeypatch.setattr(opened, "LARGEST", 1024)
    assert "more than the" in refused(tmp_path / "large.dxf", sound[0])


def test_a_missing_file_is_refused(tmp_path):
    with pytest.raises(PlanMistakes):
        read_model(tmp_path / "none.dxf")


def is_accounted_for(path, data, types):
    """Whether reading raises nothing but PlanMistakes, and every line of what can be read is taken or left out."""
    path.write_bytes(data)
    try:
        model = read_model(path, types)
    except PlanMistakes as mistakes:
        return len(mistakes.mistakes) > 0
    printed = imported_takeoff(model)
    return model.elements <= printed["model"]["walls_taken"] + len(model.left_out)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.randoms(use_true_random=False), st.integers(1, 10))
def test_no_mutation_of_entities_raises_anything_else(tmp_path, sound, rnd: random.Random, changes: int):
    data, types = sound
    start = data.index(b"ENTITIES")
    lines = data[start:].split(b"\n")
    for _ in range(changes):
        odd = [b"", b"1e308", b"nan", b"inf", b"-1", b"LINE", b"INSERT", b"0", b"x", b"10", b"999999999999"]
        lines[rnd.randrange(1, len(lines) - 3)] = rnd.choice(odd)
    assert is_accounted_for(tmp_path / "mutated.dxf", data[:start] + b"\n".join(lines), types)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.randoms(use_true_random=False), st.integers(1, 10))
def test_no_mutation_of_bytes_raises_anything_else(tmp_path, sound, rnd: random.Random, cuts: int):
    data, types = sound
    changed = bytearray(data)
    for _ in range(cuts):
        at = rnd.randrange(len(changed) - 10)
        changed[at : at + rnd.randrange(3)] = bytes(rnd.randrange(256) for _ in range(rnd.randrange(3)))
    assert is_accounted_for(tmp_path / "mutated.dxf", bytes(changed), types)


def test_errors_that_the_parser_reads_over_are_a_caution_and_print_nothing(tmp_path, sound, capfd):
    data, types = sound
    path = tmp_path / "odd.dxf"
    path.write_bytes(data.replace(b"\nCLASS\n", b"\nODDTYPE\n", 1))
    (caution,) = [c for c in read_model(path, types).cautions[""] if c.kind == "damaged file"]
    assert "ODDTYPE" in caution.sentence
    assert capfd.readouterr() == ("", "")
