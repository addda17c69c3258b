"""A building model or a drawing is imported into a job as a plan is; what its reader did not take is told.

Ground: the models are made here with the format's own library; lengths worked by hand.
"""

from __future__ import annotations

import pytest

from jobs.geometry import count_plan
from jobs.models import PlanRevision, Wall, WorkUnit
from jobs.refusals import Invalid
from jobs.services.plans import plan_import
from jobs.tenancy import organisation_scope
from tests.framing.readers.made_ifc import Made
from tests.jobs.world import NOW, World


@pytest.fixture
def model(tmp_path) -> bytes:
    """A stud partition of 120 in with a doorway, and a concrete wall that no framer builds."""
    made = Made("IFC4", 1.0)
    wall = made.wall(length=3048, tag="A-1")
    made.opening(wall, 1000, 914.4, 2133.6)
    made.wall((0, 3000), layers=(("Concrete", 200.0),), type_name="Core")
    return made.save(tmp_path).read_bytes()


def test_a_model_is_counted_with_what_was_left_out(model: bytes):
    counted = count_plan(model, "clinic.IFC")
    assert counted.reader == "ifc"
    (wall,) = counted.levels[0]["walls"]
    assert (wall["mark"], wall["line_length"]) == ("A-1", "120")  # 3048 mm
    (told,) = [caution for caution in counted.cautions if caution["kind"] == "left out"]
    assert "concrete" in told["sentence"]
    assert told.keys() >= {"kind", "sentence", "walls", "opening", "level"}


@pytest.mark.parametrize(("sent", "said"), [("East wing.IFC", "East wing.ifc"), ("..\\a:b?.ifc", ".._a_b_.ifc")])
def test_cautions_name_the_file_as_its_sender_does_as_far_as_is_safe(model: bytes, sent: str, said: str):
    proposed = [one["sentence"] for one in count_plan(model, sent).cautions if one["kind"] == "proposed types"]
    assert proposed[0].startswith(f"{said.strip('. ')}: ")


def test_an_imported_model_makes_work_units_once(world: World, model: bytes):
    def imported() -> PlanRevision:
        return plan_import(actor=world.owner, job=world.job, source=model, source_name="clinic.ifc", now=NOW)

    first = imported()
    with organisation_scope(world.organisation):
        (wall,) = Wall.objects.filter(level__job_id=world.job, mark="A-1")
        before = WorkUnit.objects.filter(wall=wall).count()
        assert before > 0
        assert any(caution["kind"] == "left out" for caution in first.cautions)
    assert imported().pk == first.pk, "the same file again is no new revision"
    with organisation_scope(world.organisation):
        assert WorkUnit.objects.filter(wall=wall).count() == before


@pytest.mark.parametrize("name", ["clinic.ifc", "clinic.dxf", "clinic.dwg", "clinic.ifczip"])
def test_what_is_no_model_is_refused_by_its_own_name(name: str):
    with pytest.raises(Invalid) as caught:
        count_plan(b"no model at all", name)
    (mistake,) = caught.value.mistakes
    assert mistake.sentence.startswith(f"{name}: ")
