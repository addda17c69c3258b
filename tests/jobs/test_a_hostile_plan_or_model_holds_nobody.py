"""A plan, model or drawing made to hold its reader ends at bounds of its own, and whoever sent it gets a sentence.

Ground: derived; each file is made here and would otherwise take hours, or all the memory of the machine.
"""

from __future__ import annotations

import json
import resource
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from time import process_time

import ezdxf
import pytest

from jobs import counted_apart, geometry
from jobs.geometry import count_plan
from jobs.refusals import Invalid
from tests.framing.readers.made_ifc import Made
from tests.jobs.world import plan_bytes


def said(source: bytes, name: str) -> str:
    with pytest.raises(Invalid) as caught:
        count_plan(source, name)
    (mistake,) = caught.value.mistakes
    return mistake.sentence


def parts_of_parts(folder: Path) -> bytes:
    """60 parts, each of which is made of the same 60: 60^7 parts to look at."""
    made = Made()
    parts = [made._new("IfcBuildingElementPart", made.guid()) for _ in range(60)]
    for whole in (made.wall(body=None), *parts):
        made._new("IfcRelAggregates", made.guid(), None, None, None, whole, parts)
    return made.save(folder).read_bytes()


def curve_of_curves(folder: Path) -> bytes:
    """A curve of twice the curve before it, sixty times over; the first has one point."""
    made = Made()
    curve = made._new("IfcPolyline", [made.point(0, 0)] * 2)
    for _ in range(60):
        segments = [made._new("IfcCompositeCurveSegment", "CONTINUOUS", True, curve) for _ in range(2)]
        curve = made._new("IfcCompositeCurve", segments, False)
    profile = made._new("IfcArbitraryClosedProfileDef", "AREA", None, curve)
    up = made.direction(0, 0, 1)
    made.wall(body=made._new("IfcExtrudedAreaSolid", profile, made.frame(), up, 2700.0))
    return made.save(folder).read_bytes()


def union_of_unions(folder: Path) -> bytes:
    """A body of 2,400 sides united with itself, twelve times over: ten million faces."""
    made = Made()
    body = made.prism([(step, step % 7) for step in range(2400)], 2700)
    for _ in range(12):
        body = made._new("IfcBooleanResult", "UNION", body, body)
    made.wall(body=body)
    return made.save(folder).read_bytes()


def array_of_doors(folder: Path) -> bytes:
    """A block that holds another 900,000,000 times."""
    drawing = ezdxf.new("R2010")
    drawing.units = 1
    drawing.blocks.new("leaf").add_line((0, 0), (36, 0))
    many = {"row_count": 30_000, "column_count": 30_000, "row_spacing": 1, "column_spacing": 1}
    drawing.blocks.new("door").add_blockref("leaf", (0, 0), dxfattribs=many)
    drawing.modelspace().add_blockref("door", (30, 0))
    drawing.saveas(folder / "made.dxf")
    return (folder / "made.dxf").read_bytes()


@pytest.mark.parametrize(
    ("made", "name"),
    [(parts_of_parts, "parts.ifc"), (curve_of_curves, "curves.ifc"), (array_of_doors, "doors.dxf")],
)
def test_what_holds_its_reader_is_refused_at_the_bound(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, made: Callable[[Path], bytes], name: str
) -> None:
    monkeypatch.setattr(counted_apart, "MOST_SECONDS", 3)
    sentence = said(made(tmp_path), name)
    assert sentence == f"{name}: the model: takes too long to count. Export it again, the storeys or the walls alone."


def test_what_takes_too_much_memory_takes_none_of_ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(counted_apart, "MOST_SECONDS", 60)
    monkeypatch.setattr(counted_apart, "MOST_MEMORY", 640 * 1024**2)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    # Where memory ends in the kernel of geometry, that kernel may get by: then the body alone is not read.
    try:
        counted = count_plan(union_of_unions(tmp_path), "bodies.ifc")
    except Invalid as refusal:
        assert "too much memory" in str(refusal)
    else:
        assert counted.levels == [] or not any(level["walls"] for level in counted.levels)
        assert counted.cautions
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 200 * 1024, "none of it in this process"


def test_nothing_of_the_sites_secrets_reaches_the_reader(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    given: dict[str, str] = {}
    run = counted_apart.subprocess.run
    monkeypatch.setattr(
        counted_apart.subprocess, "run", lambda *call, **how: given.update(how["env"]) or run(*call, **how)
    )
    said(b"no model", "clinic.ifc")
    assert given.keys() == {"PATH", "PYTHONUTF8", "OPENBLAS_NUM_THREADS"}


def test_a_curve_that_is_a_part_of_itself_leaves_its_wall_out(tmp_path: Path) -> None:
    made = Made()
    curve = made._new("IfcCompositeCurve", None, False)
    curve.Segments = [made._new("IfcCompositeCurveSegment", "CONTINUOUS", True, curve)]
    profile = made._new("IfcArbitraryClosedProfileDef", "AREA", None, curve)
    made.wall(body=made._new("IfcExtrudedAreaSolid", profile, made.frame(), made.direction(0, 0, 1), 2700.0))
    counted = count_plan(made.save(tmp_path).read_bytes(), "clinic.ifc")
    assert any("cannot be read" in caution["sentence"] for caution in counted.cautions)


def test_a_block_kilometres_wide_is_no_opening_and_breaks_nothing(tmp_path: Path) -> None:
    drawing = ezdxf.new("R2010")
    drawing.units = 1
    drawing.blocks.new("door").add_line((0, 0), (1e7, 0))
    drawing.modelspace().add_blockref("door", (30, 0))
    drawing.modelspace().add_line((0, 0), (240, 0), dxfattribs={"layer": "WALLS"})
    drawing.saveas(tmp_path / "made.dxf")
    assert "height is not said" in said((tmp_path / "made.dxf").read_bytes(), "clinic.dxf")


@pytest.mark.parametrize("is_model", [True, False])
def test_a_plan_of_too_many_walls_for_a_job_is_refused_before_it_is_counted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, is_model: bool
) -> None:
    monkeypatch.setattr(geometry, "MOST_WALLS", 2)
    if is_model:
        made = Made()
        for number in range(3):
            made.wall((0, 3000 * number))
        source, name = made.save(tmp_path).read_bytes(), "clinic.ifc"
    else:
        source, name = (Path(__file__).parents[2] / "fixtures" / "demo" / "plan.json").read_bytes(), "clinic.json"
        monkeypatch.setattr(geometry, "LITTLE_PIECES", 0)
    assert " walls, more than the 2 of a job" in said(source, name)


def long_walls(walls: int) -> bytes:
    """A kilobyte or ten: walls of two miles, each of some 30,000 pieces."""
    drawn = [
        {"mark": f"W{n}", "type": "P1", "from": [0, 60 * n], "to": [120_000, 60 * n], "height": "240"}
        for n in range(walls)
    ]
    return plan_bytes(levels=[{"name": "Level 1", "walls": drawn}])


def test_a_small_plan_of_too_many_pieces_ends_at_the_bound_and_not_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(counted_apart, "MOST_SECONDS", 1)
    here = process_time()
    assert (
        said(long_walls(60), "long.json")
        == "long.json: the plan: takes too long to count. Split it into several, by levels or wings."
    )
    assert process_time() - here < 1, "of this process"


@pytest.mark.parametrize("name", ["LITTLE_BYTES", "LITTLE_PIECES"])
def test_a_plan_is_the_same_counted_here_or_apart(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    here = count_plan(plan_bytes(), "room.json")
    monkeypatch.setattr(geometry, name, 0)
    apart = count_plan(plan_bytes(), "room.json")
    assert json.dumps(asdict(apart), sort_keys=True) == json.dumps(asdict(here), sort_keys=True)
    mistaken = plan_bytes(levels=[{"name": "Level 1", "walls": [{"mark": "A"}]}])
    monkeypatch.undo()
    with pytest.raises(Invalid) as expected:
        count_plan(mistaken, "room.json")
    monkeypatch.setattr(geometry, name, 0)
    with pytest.raises(Invalid) as found:
        count_plan(mistaken, "room.json")
    assert found.value.mistakes == expected.value.mistakes
