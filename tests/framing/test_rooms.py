"""Rooms are the spaces that the walls of a plan close, with their clear floor between the surfaces of their board.

Independent measure: shapely unites the walls' bodies, steel and board; what they leave of the shell, or the holes they
enclose, are the rooms. How many there are: shapely.polygonize of the drawn lines. By hand: the closet in the corner.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from shapely.geometry import LineString, Polygon, box
from shapely.ops import polygonize, unary_union

from fixtures.demo.floor import PLAN_FILE
from framing.faces import walks_of
from framing.junctions import find_junctions
from framing.length import SQUARE_TICKS_PER_SQUARE_FOOT, TICKS_PER_INCH
from framing.plan import Level, Wall
from framing.readers import read_plan
from framing.rooms import BY_SHELL, BY_STRUCTURE, BY_WALLS, OUTSIDE, Rooms, rooms_of, turns
from tests.framing.floor import Json, door, plan, wall, wall_type
from tests.framing.test_plan_moves import floors, moved

SQUARE_INCHES = 144


def level_of(made: Json | bytes) -> tuple[Level, Rooms]:
    read = read_plan(made if isinstance(made, bytes) else json.dumps(made).encode())
    level = read.levels[0]
    return level, rooms_of(level.walls, find_junctions(level, read.practice))


def sqft(rooms: Rooms) -> list[float]:
    return sorted(float(room.area / SQUARE_TICKS_PER_SQUARE_FOOT) for room in rooms.rooms)


def ends(one: Wall) -> tuple[tuple[float, float], tuple[float, float]]:
    return ((one.start.x / TICKS_PER_INCH, one.start.y / TICKS_PER_INCH),
            (one.end.x / TICKS_PER_INCH, one.end.y / TICKS_PER_INCH))  # fmt: skip


def body(one: Wall, walls: Iterable[Wall]) -> Polygon:
    """Steel and board of a wall along x or y, drawn on into the outer corner of each corner that it makes."""
    (ax, ay), (bx, by) = ends(one)
    along = ((bx > ax) - (bx < ax), (by > ay) - (by < ay))
    half = one.type.stud.web / TICKS_PER_INCH / 2
    left = half + sum(board.thickness for board in one.type.left) / TICKS_PER_INCH
    right = half + sum(board.thickness for board in one.type.right) / TICKS_PER_INCH
    grown = []
    for point in ((ax, ay), (bx, by)):
        met = [other for other in walls if other is not one and point in ends(other) and across(other, along)]
        widths = [
            other.type.stud.web / 2
            + max(sum(b.thickness for b in face) for face in (other.type.left, other.type.right))
            for other in met
        ]
        grown.append(max(widths, default=0.0) / TICKS_PER_INCH)
    ax, ay = ax - along[0] * grown[0], ay - along[1] * grown[0]
    bx, by = bx + along[0] * grown[1], by + along[1] * grown[1]
    normal = (-along[1], along[0])
    corners = [(x + normal[0] * out, y + normal[1] * out) for (x, y), outs in (((ax, ay), (left, -right)),
               ((bx, by), (-right, left))) for out in outs]  # fmt: skip
    return Polygon(corners)


def across(other: Wall, along: tuple[int, int]) -> bool:
    (ax, _), (bx, _) = ends(other)
    return (ax == bx) == (along[1] == 0)


def test_the_demo_floors_rooms_are_what_its_walls_leave_of_the_shell():
    # The shell is 100 x 54 ft from (0, 0): fixtures/demo/floor.py.
    level, rooms = level_of(PLAN_FILE.read_bytes())
    left = box(0, 0, 1200, 648).difference(unary_union([body(one, level.walls) for one in level.walls]))
    areas = sorted(part.area / SQUARE_INCHES for part in left.geoms)
    assert len(rooms.rooms) == len(areas) == 34
    assert sqft(rooms) == pytest.approx(areas, abs=1e-4)
    assert {room.closed_by for room in rooms.rooms} == {BY_WALLS, BY_STRUCTURE, BY_SHELL}


@settings(max_examples=25, deadline=None)
@given(floors())
def test_rooms_of_any_floor_are_the_holes_in_its_walls(floor):
    level, rooms = level_of(floor)
    drawn = unary_union([LineString(ends(one)) for one in level.walls])
    assert len(rooms.rooms) == len(list(polygonize(drawn)))
    whole = unary_union([body(one, level.walls) for one in level.walls])
    holes = [Polygon(ring).area / SQUARE_INCHES for ring in whole.interiors]
    assert sqft(rooms) == pytest.approx(sorted(holes), abs=1e-4)


@settings(max_examples=15, deadline=None)
@given(floors())
def test_every_stretch_of_every_face_is_walked_once(floor):
    read = read_plan(json.dumps(floor).encode())
    walls = read.levels[0].walls
    found: dict[tuple[int, str], list[tuple[int, int]]] = {}
    for walk in walks_of(walls, find_junctions(read.levels[0], read.practice)):
        for one in walk.stretches:
            found.setdefault((one.wall, one.face), []).append((one.low, one.high))
    assert len(found) == 2 * len(walls)
    for (index, _), parts in found.items():
        parts.sort()
        assert parts[0][0] <= 0 and parts[-1][1] >= walls[index].length - TICKS_PER_INCH
        assert all(one[1] == two[0] for one, two in pairwise(parts))


CLOSET = plan(
    wall("S", (0, 0), (240, 0)),
    wall("E", (240, 0), (240, 180)),
    wall("N", (240, 180), (0, 180)),
    wall("W", (0, 180), (0, 0)),
    # a closet of 60 by 48 in the corner at (0, 0), centre to centre
    wall("C1", (60, 0), (60, 48)),
    wall("C2", (60, 48), (0, 48), openings=[door("D1", "12")]),
)
THICK = Fraction(29, 8) + 2 * Fraction(5, 8)  # 3 5/8 steel and 5/8 board on both faces: 4 7/8


def test_a_closet_by_hand():
    level, rooms = level_of(CLOSET)
    closet = (60 - THICK) * (48 - THICK)
    # the closet's two walls stand on the floor around it: their outer surfaces are half a thickness further out
    around = (240 - THICK) * (180 - THICK) - (60 * 48)
    areas = {room.number: room.area / TICKS_PER_INCH**2 for room in rooms.rooms}
    assert sorted(areas.values()) == [closet, around]
    marks = {one.mark: place for place, one in enumerate(level.walls)}
    small = min(areas, key=lambda number: areas[number])
    assert rooms.at(marks["C1"], "left", 24 * TICKS_PER_INCH) == small
    assert rooms.at(marks["S"], "left", 30 * TICKS_PER_INCH) == small
    assert rooms.at(marks["S"], "left", 100 * TICKS_PER_INCH) == 3 - small
    assert rooms.at(marks["S"], "right", 100 * TICKS_PER_INCH) == OUTSIDE
    order = turns(rooms, len(level.walls))
    assert order[small] < order[3 - small] < order[OUTSIDE]


def test_walls_that_stand_free_in_a_room_belong_to_it():
    made = plan(*CLOSET["levels"][0]["walls"][:4], wall("F", (100, 80), (160, 80)), wall("G", (160, 80), (160, 120)))
    level, rooms = level_of(made)
    (room,) = rooms.rooms
    assert {one.wall for one in room.stretches} == set(range(6))
    assert rooms.at(4, "left", TICKS_PER_INCH) == rooms.at(4, "right", TICKS_PER_INCH) == 1
    islands = unary_union([body(one, level.walls) for one in level.walls[4:]]).area
    clear = float((240 - THICK) * (180 - THICK)) - islands
    assert float(room.area) / TICKS_PER_INCH**2 == pytest.approx(clear, abs=1e-6)


def bay(**keys: Any) -> Json:
    """Two partitions that butt a shell along y = 0, joined 10 ft in front of it."""
    return plan(
        wall("A", (0, 120), (0, 0), ends={"from": "auto", "to": "structure"}),
        wall("B", (144, 120), (144, 0), ends={"from": "auto", "to": "structure"}),
        wall("C", (0, 120), (144, 120)),
        **keys,
    )


def test_existing_work_closes_a_room_square_to_the_walls_that_butt_it():
    _, rooms = level_of(bay())
    (room,) = rooms.rooms
    assert room.closed_by == BY_STRUCTURE
    assert room.area / TICKS_PER_INCH**2 == (144 - THICK) * (120 - THICK / 2)


def test_a_corner_of_the_shell_closes_a_room_of_two_walls():
    made = plan(
        wall("A", (100, 80), (100, 0), ends={"from": "auto", "to": "structure"}),
        wall("B", (100, 80), (0, 80), ends={"from": "auto", "to": "structure"}),
    )
    _, rooms = level_of(made)
    (room,) = rooms.rooms
    assert room.closed_by == BY_SHELL
    assert room.area / TICKS_PER_INCH**2 == (100 - THICK / 2) * (80 - THICK / 2)


def test_a_wall_that_closes_nothing_has_no_room():
    _, rooms = level_of(plan(wall("A", (0, 0), (240, 0)), wall("B", (120, 0), (120, 100))))
    assert rooms.rooms == []
    assert rooms.at(0, "left", TICKS_PER_INCH) == OUTSIDE


def test_layers_of_board_are_taken_off_the_floor():
    types = {"P1": wall_type(left=["B58", "B58"], right=["B58"])}
    _, one = level_of(bay())
    _, two = level_of(bay(types=types))
    # A is walked from its top down: its right face looks into the bay, as B's left does; C's right does
    thicker = one.rooms[0].area - two.rooms[0].area
    assert thicker > 0
    assert thicker / TICKS_PER_INCH**2 == Fraction(5, 8) * (120 - THICK / 2)


@settings(max_examples=15, deadline=None)
@given(floors())
def test_a_floor_turned_or_mirrored_has_the_same_rooms(floor):
    # Turned by the angle of a 3-4-5 triangle, where every length stays exact.
    _, straight = level_of(floor)
    _, turned = level_of(moved(floor, lambda x, y: ((3 * x - 4 * y) / 5, (4 * x + 3 * y) / 5)))
    _, mirrored = level_of(moved(floor, lambda x, y: (-x, y), mirror=True))
    assert sqft(turned) == pytest.approx(sqft(straight), abs=1e-6)
    assert sqft(mirrored) == sqft(straight)


def test_rooms_of_walls_that_cross_and_of_walls_in_line():
    # A cross of two walls in a room of 240 by 180 makes four; the outer wall at y = 0 is drawn in two.
    made = plan(
        wall("S1", (0, 0), (90, 0)),
        wall("S2", (90, 0), (240, 0)),
        *CLOSET["levels"][0]["walls"][1:4],
        wall("X", (0, 90), (240, 90)),
        wall("Y", (120, 0), (120, 180)),
    )
    _, rooms = level_of(made)
    areas = [room.area / TICKS_PER_INCH**2 for room in rooms.rooms]
    assert areas == [(120 - THICK) * (90 - THICK)] * 4
