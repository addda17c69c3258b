"""Walls end where their author drew them and run to each other in the plan; each counts on the level it stands on."""

from __future__ import annotations

import pytest

from framing.junctions import find_junctions
from framing.length import inch
from tests.framing.readers.made_ifc import BOARDS, Made, the_reason

THICK = 123.825
HALF = THICK / 2
TEN_FEET = 3048.0


def kinds_of(model):
    (level,) = model.plan.levels
    found = find_junctions(level, model.plan.practice)
    assert not found.mistakes
    return sorted(junction.kind for junction in found.found), found


@pytest.mark.parametrize("reach", [-HALF, 0.0, HALF], ids=["near face", "centre", "far face"])
@pytest.mark.parametrize("is_stated", [False, True])
def test_an_end_at_the_other_walls_near_face_centre_or_far_face_is_the_same_tee(tmp_path, reach, is_stated):
    made = Made()
    through = made.wall(length=2 * TEN_FEET)
    stem = made.wall((TEN_FEET, -reach), (0, 1), TEN_FEET + reach)
    if is_stated:
        made.joint(stem, "ATSTART", through, "ATPATH")
    model = made.read(tmp_path)
    kinds, found = kinds_of(model)
    assert kinds == ["free end", "free end", "free end", "tee"]
    assert not found.cautions
    second = model.plan.levels[0].walls[1]
    assert (second.start, second.end) == ((inch(120), 0), (inch(120), inch(120)))


@pytest.mark.parametrize("lap", [0, 1, 2])
def test_corners_are_the_same_whoever_runs_to_the_outside(tmp_path, lap):
    made = Made()
    starts = {0: (-HALF, HALF), 1: (HALF, -HALF), 2: (0.0, 0.0)}[lap]
    made.wall((starts[0], 0), (1, 0), TEN_FEET - starts[0])
    made.wall((0, starts[1]), (0, 1), TEN_FEET - starts[1])
    model = made.read(tmp_path)
    kinds, found = kinds_of(model)
    assert kinds == ["corner", "free end", "free end"]
    assert not found.cautions
    assert [wall.length for wall in model.plan.levels[0].walls] == [inch(120), inch(120)]


def test_openings_keep_their_place_when_ends_are_run_to_the_corner(tmp_path):
    made = Made()
    made.wall((0, 0), (0, 1), TEN_FEET)
    leg = made.wall((HALF, 0), (1, 0), TEN_FEET)
    made.opening(leg, 254.0 - HALF, 965.2, 2133.6)
    (door,) = made.read(tmp_path).plan.levels[0].walls[1].openings
    assert door.at == inch(10)


def test_walls_that_go_on_in_one_line_meet_in_the_middle_of_their_gap(tmp_path):
    made = Made()
    made.wall(length=TEN_FEET)
    made.wall((TEN_FEET + 10, 0), length=TEN_FEET)
    model = made.read(tmp_path)
    kinds, found = kinds_of(model)
    assert kinds == ["free end", "free end", "in line"]
    assert not found.cautions


def test_a_stated_joint_of_far_walls_is_not_bent_to_meet(tmp_path):
    made = Made()
    one = made.wall(length=TEN_FEET)
    two = made.wall((TEN_FEET + 900, 0), (0, 1), TEN_FEET)
    made.joint(one, "ATEND", two, "ATSTART")
    model = made.read(tmp_path)
    assert model.plan.levels[0].walls[0].length == inch(120)


def test_oblique_walls_meet_at_their_crossing(tmp_path):
    made = Made()
    made.wall(length=2 * TEN_FEET)
    made.wall((TEN_FEET, HALF), (1, 1), TEN_FEET)
    model = made.read(tmp_path)
    kinds, found = kinds_of(model)
    assert kinds == ["free end", "free end", "free end", "tee"]
    assert not found.cautions


def test_walls_of_other_storeys_do_not_meet(tmp_path):
    made = Made(storeys=(("Level 1", 0), ("Level 2", 3000)))
    made.wall(length=TEN_FEET)
    made.wall((0, 0), (0, 1), storey="Level 2")
    model = made.read(tmp_path)
    assert [(level.name, len(level.walls)) for level in model.plan.levels] == [("Level 1", 1), ("Level 2", 1)]


def test_a_wall_filed_under_another_storey_stands_where_it_stands(tmp_path):
    made = Made(storeys=(("Level 1", 0), ("Level 2", 3000)))
    made.wall(base=2512, height=3388)
    model = made.read(tmp_path)
    (level,) = model.plan.levels
    assert (level.name, level.walls[0].height_from) == ("Level 2", 2900 * 3_200_000)
    assert {"other level", "below the floor"} <= {caution.kind for caution in model.cautions["Level 2"]}


def test_a_wall_on_its_own_floor_stays_there_however_high_it_is(tmp_path):
    made = Made(storeys=(("Level 1", 0), ("Level 2", 3000)))
    made.wall(height=6500)
    (level,) = made.read(tmp_path).plan.levels
    assert level.name == "Level 1"


def test_a_wall_that_hangs_under_the_ceiling_is_left_out(tmp_path):
    made = Made(storeys=(("Level 1", 0), ("Level 2", 3000)))
    made.wall(base=2600, height=400)
    made.wall((0, 3000), base=2750, height=250)
    model = made.read(tmp_path)
    assert len(model.left_out) == 2
    assert all("it hangs and is no partition from floor up" in one.reason for one in model.left_out)


def test_walls_in_no_storey_are_put_on_the_level_of_their_base(tmp_path):
    made = Made(storeys=(("Level 1", 0), ("Level 2", 3000)))
    made.wall(storey=None, base=3000)
    assert made.read(tmp_path).plan.levels[0].name == "Level 2"


def test_a_model_without_storeys_has_a_level_for_each_floor_that_walls_stand_on(tmp_path):
    made = Made(storeys=())
    made.wall(storey=None)
    made.wall((0, 1000), storey=None, base=100)
    made.wall(storey=None, base=3000)
    model = made.read(tmp_path)
    assert [(level.name, len(level.walls)) for level in model.plan.levels] == [("Floor 1", 2), ("Floor 2", 1)]


def test_storeys_of_one_name_stay_apart(tmp_path):
    made = Made(storeys=(("Level 1", 0), ("Upper", 3000)))
    made.storeys["Upper"].Name = "Level 1"
    made.wall()
    made.wall(storey="Upper")
    model = made.read(tmp_path)
    assert [level.name for level in model.plan.levels] == ["Level 1", "Level 1 2"]


def test_a_part_that_is_a_wall_itself_is_counted_with_its_whole(tmp_path):
    made = Made()
    whole = made.wall()
    part = made.wall((0, 0), layers=BOARDS[:1], storey=None)
    made.file.create_entity("IfcRelAggregates", made.guid(), None, None, None, whole, [part])
    model = made.read(tmp_path)
    assert len(model.plan.levels[0].walls) == 1
    assert the_reason(model) == f"is a part of wall {whole.GlobalId} and is counted with it"


def test_a_chain_of_placements_without_an_end_is_left_out(tmp_path):
    made = Made()
    wall = made.wall()
    wall.ObjectPlacement.PlacementRelTo = wall.ObjectPlacement
    assert "levels deep" in the_reason(made.read(tmp_path))
