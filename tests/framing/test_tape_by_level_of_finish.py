"""Tape, bead and compound by level of finish: of each face, and where two faces meet.

Ground: the levels 0 to 5 of GA-214 and ASTM C840, from memory: level 0 asks for no taping and no corner bead, level 5
for a skim coat over the whole surface. That the higher level holds where two faces meet: common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil

import pytest

from framing.plan import PlanMistakes
from tests.framing.floor import Json, plan, printed, room, size, taken, wall, wall_of

LEVELS = range(1, 6)
HEIGHT = Fraction(108) - Fraction(1, 2)  # board of a 9 ft wall, 1/2 in off the floor


def finished(**faces: int) -> Json:
    """The worked room with levels of finish on wall A."""
    made = room(opening=False)
    made["levels"][0]["walls"][0] |= faces
    return made


def tape(counts: Json) -> dict[int, Fraction]:
    """Inches of tape by level, those that have some."""
    found = {level: size(counts[f"tape_level_{level}_in"]) for level in LEVELS}
    assert sum(found.values()) == size(counts["tape_in"])
    return {level: length for level, length in found.items() if length}


def terms(made: Json, mark: str, count: str) -> list[str]:
    return [reason["term"] for reason in wall_of(taken(made, explain=True), mark)["because"].get(count, [])]


def test_without_a_word_all_tape_is_of_the_practices_level():
    made = room()
    usual = size(taken(made)["counts"]["tape_in"])
    assert tape(taken(made)["counts"]) == {4: usual}
    assert tape(taken(made | {"practice": {"finish_level": 2}})["counts"]) == {2: usual}


def test_each_face_has_its_own_level():
    by_level = tape(wall_of(taken(finished(left_finish_level=5, right_finish_level=3)), "A")["counts"])
    assert set(by_level) == {3, 5}
    assert all(term.startswith("left face") for term in terms(finished(left_finish_level=5), "A", "tape_level_5_in"))
    one, both = finished(finish_level=3, left_finish_level=5), finished(left_finish_level=5, right_finish_level=3)
    assert taken(one) == taken(both)


@pytest.mark.parametrize(("of_a", "of_b", "holds"), [(5, 4, 5), (3, 4, 4), (0, 2, 2)])
def test_the_higher_level_holds_in_an_inside_angle(of_a, of_b, holds):
    made = finished(finish_level=of_a)
    made["levels"][0]["walls"][1]["finish_level"] = of_b
    told = terms(made, "B", f"tape_level_{holds}_in")
    assert [term for term in told if term.startswith("with wall A")] == ["with wall A: 8'-11 1/2\""]
    assert sum(term.startswith("with wall A") for term in terms(made, "B", "tape_in")) == 1


def test_level_0_has_neither_tape_nor_bead():
    out = taken(room() | {"practice": {"finish_level": 0}})
    assert (out["counts"]["tape_in"], out["counts"]["bead_in"]) == ("0", "0")
    assert not {"joint tape", "joint compound", "corner bead"} & {line["product"] for line in out["order"]}


def test_a_bead_stands_where_one_of_its_faces_is_finished():
    beads = size(taken(finished(finish_level=4))["counts"]["bead_in"])
    # A's free end has a bead at each face; the outside corner is B's too
    assert beads - size(taken(finished(left_finish_level=0))["counts"]["bead_in"]) == HEIGHT
    assert beads - size(taken(finished(finish_level=0))["counts"]["bead_in"]) == 2 * HEIGHT


def test_compound_of_several_levels_is_the_sum_of_each():
    stands = {"ends": {"from": "structure", "to": "structure"}}
    made = plan(
        wall("A", (0, 0), (120, 0), left_finish_level=5, right_finish_level=1, **stands),
        wall("B", (0, 200), (120, 200), finish_level=3, **stands),
        practice={"compound_gallons_per_pail": 1},
    )
    out = taken(made)
    by_level = tape(out["counts"])
    surface = 120 * HEIGHT / 144
    assert out["counts"]["skim_sqft"] == printed(surface)
    (line,) = [line for line in out["order"] if line["product"] == "joint compound"]
    coats = by_level[5] + by_level[3] + by_level[1] / 3
    assert line["count"] == ceil(coats / 12 / 76 + surface / 100)
    for part in ("finish level 1: ", "finish level 3: ", "finish level 5: ", "skim coat over"):
        assert part in line["because"]


@pytest.mark.parametrize("level", [6, -1, True, "4", 4.5])
def test_no_other_level_is_taken(level):
    with pytest.raises(PlanMistakes) as refused:
        taken(finished(left_finish_level=level))
    (sentence,) = refused.value.mistakes
    for part in ("wall A", "left_finish_level", "0 to 5"):
        assert part in sentence
