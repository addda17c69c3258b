"""Tees: a wall ends against the side of another.

Ground: common practice, no source. The stem is cut square one slot short of the through wall's steel, its end stud is
loose (held by the through wall's board in the slot), and the through wall's board runs on behind it.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.framing.floor import (
    face_of,
    junctions,
    pieces,
    plan,
    run,
    size,
    studs,
    taken,
    wall,
    wall_of,
    wall_type,
)


def tee(through_web: str = "362", **practice: str):
    types = {"P1": wall_type(), "T": wall_type(through_web)}
    return taken(
        plan(
            wall("T1", (0, 0), (240, 0), type="T"),
            wall("S1", (120, 100), (120, 0)),
            types=types,
            practice=practice,
        )
    )


@pytest.mark.parametrize(
    ("web", "track"),
    [
        # 100 - half the through steel - 5/8
        ("162", "98.5625"),  # 1 5/8
        ("250", "98.125"),  # 2 1/2
        ("362", "97.5625"),  # 3 5/8
        ("600", "96.375"),  # 6
        ("800", "95.375"),  # 8
    ],
)
def test_the_stem_stops_one_slot_short_of_the_through_steel(web, track):
    out = tee(web)
    assert wall_of(out, "S1")["track_length"] == track
    for row in ("bottom", "top"):
        (piece,) = pieces(out, "S1", row)
        assert piece["length"] == track
        assert piece["to_end"]["cut"] == piece["from_end"]["cut"] == "square"


def test_the_through_wall_does_not_know_of_the_stem():
    out = tee()
    alone = taken(plan(wall("T1", (0, 0), (240, 0))))
    assert wall_of(out, "T1")["track_length"] == wall_of(alone, "T1")["track_length"] == "240"
    for face in ("left", "right"):
        assert face_of(out, "T1", face)["run_in"] == "240"
    assert studs(out, "T1", "layout") == studs(alone, "T1", "layout")


def test_the_stems_end_stud_is_loose():
    # Flush with the track's end: 97.5625 - 0.625 = 96.9375. The far end is free: its stud at 0.625.
    out = tee()
    assert studs(out, "S1", "loose") == [Fraction("96.9375")]
    assert studs(out, "S1", "end") == [Fraction("0.625")]
    # Layout marks 16 ... 80; at 96 the flange (95.375 to 96.625) would stand in the loose stud (96.3125 to 97.5625).
    assert studs(out, "S1", "layout") == [16, 32, 48, 64, 80]


@pytest.mark.parametrize("face", ["left", "right"])
def test_the_stems_board_meets_the_board_of_the_through_wall(face):
    # 97.5625 from the free end: there the through wall's 5/8 board begins, and there the track ends.
    out = tee()
    assert face_of(out, "S1", face)["run_in"] == "97.5625"
    assert run(out, "S1", face) == (0, Fraction("97.5625"))


def test_the_junction_is_a_tee_with_the_through_wall_named():
    (joint,) = junctions(tee(), "tee")
    assert joint["through"] == "T1"
    assert sorted(joint["walls"]) == ["S1", "T1"]
    assert len(junctions(tee(), "free end")) == 3


def test_a_wider_slot_shortens_the_stem_as_much():
    # practice slot 3/4: 100 - 1.8125 - 0.75
    assert wall_of(tee(slot="3/4"), "S1")["track_length"] == "97.4375"


def test_two_layers_on_the_side_of_the_stem_need_a_wider_slot():
    # Slot: the larger of the practice's 5/8 and the layers of the through wall's face on the stem's side: 2 x 5/8.
    # The stem comes from the left of the through wall (north of a wall that walks east).
    types = {"P1": wall_type(), "T": wall_type(left=["B58", "B58"]), "U": wall_type(right=["B58", "B58"])}
    stem = wall("S1", (120, 100), (120, 0))
    towards = taken(plan(wall("T1", (0, 0), (240, 0), type="T"), stem, types=types))
    away = taken(plan(wall("T1", (0, 0), (240, 0), type="U"), stem, types=types))
    assert wall_of(towards, "S1")["track_length"] == "96.9375"  # 100 - 1.8125 - 1.25
    assert wall_of(away, "S1")["track_length"] == "97.5625"


@pytest.mark.parametrize(("north", "south"), [(100, 80), (300, 280)])
def test_two_stems_on_both_sides_of_one_point_leave_the_through_wall_whole(north, south):
    # T1 is drawn through the point and both stems end there, so T1 runs through however long the stems are:
    # each is a tee, one slot short of T1's steel.
    out = taken(
        plan(
            wall("T1", (0, 0), (240, 0)),
            wall("S1", (120, north), (120, 0)),
            wall("S2", (120, -south), (120, 0)),
        )
    )
    less = Fraction("2.4375")  # half of 3 5/8 and the 5/8 slot
    assert size(wall_of(out, "T1")["track_length"]) == 240
    assert size(wall_of(out, "S1")["track_length"]) == north - less
    assert size(wall_of(out, "S2")["track_length"]) == south - less
    assert size(out["counts"]["track_in"]) == 2 * (240 + north + south - 2 * less)
    assert studs(out, "T1", "loose") == []
    assert len(studs(out, "S1", "loose")) == len(studs(out, "S2", "loose")) == 1


def test_a_line_drawn_to_the_face_and_one_to_the_centre_give_the_same_tee():
    # A stem drawn only to the through wall's steel face is the same wall: its end is that face less one slot.
    to_face = taken(plan(wall("T1", (0, 0), (240, 0)), wall("S1", (120, 100), (120, "1 13/16"))))
    assert wall_of(to_face, "S1")["track_length"] == "97.5625"


def test_board_is_said_to_run_on_behind_a_stem_only_where_the_through_wall_has_some():
    # The stem stands at y > 0, on T1's left; derived from which face is boarded.
    for face, behind in (
        ("left", "no board of T1 stands in the slot, for that face is open"),
        ("right", "the board of T1 runs on behind it"),
    ):
        types = {"P1": wall_type(), "T": wall_type(**{face: []})}
        out = taken(plan(wall("T1", (0, 0), (240, 0), type="T"), wall("S1", (120, 100), (120, 0)), types=types))
        (joint,) = junctions(out, "tee")
        assert joint["because"].endswith(f'one slot short (5/8") of the steel and {behind}')
