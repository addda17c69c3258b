"""Board screws, recounted by hand from where sheets meet studs.

Ground: screws 12 in on centre at edges and in the field (NAVEDTRA 14044 p.5-8), 8 in over the first and last edge at
corners and ends, four into each track per 48 in sheet, every 24 in into a loose stud (common practice, no source).
A line of screws over a contact of c inches has ceil(c / spacing) + 1 screws, and its first and last are those into the
tracks: 3/8 in from a sheet's end, with board 1/2 in off the floor, they sit in the track's 1 1/4 in flange (derived).
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil

import pytest

from tests.framing.floor import Json, face_of, level, plan, room, sheets, size, taken, wall, wall_of, wall_type

EDGE = Fraction(3, 8)  # screws stay 3/8 in from a sheet's ends
CONTACT = Fraction(107)  # 9 ft wall: board from 1/2 in up, stud up to 107 1/2


def line(spacing: int, contact: Fraction = CONTACT) -> int:
    """Screws of one line between those into the two tracks."""
    return ceil((contact - 2 * EDGE) / spacing) - 1


def track(width: Fraction) -> int:
    """Bottom and top: one at each edge and every 16 in between, so four each for a 48 in sheet."""
    return 2 * (ceil(width / 16) + 1)


def recounted(out: Json, mark: str, face: str, layer: int = 1) -> int:
    """A face without openings: each sheet's edges and field studs, 8 in at the face's two ends, and both tracks."""
    at = [size(s["at"]) for s in level(out)["studs"] if s["wall"] == mark]
    laid = sheets(out, mark, face, layer)
    low = min(size(s["at"]) for s in laid)
    high = max(size(s["at"]) + size(s["width"]) for s in laid)
    total = 0
    for sheet in laid:
        start, end = size(sheet["at"]), size(sheet["at"]) + size(sheet["width"])
        field = [
            x
            for x in at
            if start < x < end and not (start == low and x == min(at)) and not (end == high and x == max(at))
        ]
        total += sum(line(12) for _ in field)
        total += line(8 if start == low else 12) + line(8 if end == high else 12)
        total += track(end - start)
    return total


def test_one_line_of_screws():
    # 107 in: 106 1/4 between the two in the tracks; at 12 in nine spaces, at 8 in fourteen
    assert (line(12), line(8)) == (8, 13)
    assert track(Fraction(48)) == 8


@pytest.fixture(scope="module")
def straight() -> Json:
    ends = {"from": "structure", "to": "structure"}
    return taken(plan(wall("A", (0, 0), (96, 0), ends=ends)))


def test_a_face_of_two_full_sheets_by_hand(straight):
    # Studs at 0.625, 16, 32, 48, 64, 80, 95.375. Each sheet: end 13, field 8 + 8, joint 8, tracks 8 = 45.
    two_full = [f for f in ("left", "right") if [s["width"] for s in sheets(straight, "A", f)] == ["48", "48"]]
    assert two_full, "one face starts with a full sheet"
    assert face_of(straight, "A", two_full[0])["board_screws"] == 2 * 45


@pytest.mark.parametrize("face", ["left", "right"])
def test_each_face_by_its_own_sheets(straight, face):
    assert face_of(straight, "A", face)["board_screws"] == recounted(straight, "A", face)


def test_a_wall_has_the_screws_of_its_faces(straight):
    told = [f["board_screws"] for f in wall_of(straight, "A")["faces"]]
    assert wall_of(straight, "A")["counts"]["board_screws"] == sum(told)


def test_a_second_layer_has_screws_of_its_own():
    ends = {"from": "structure", "to": "structure"}
    types = {"P1": wall_type(left=["B58", "B58"])}
    out = taken(plan(wall("A", (0, 0), (96, 0), ends=ends), types=types))
    for layer in (1, 2):
        assert face_of(out, "A", "left", layer)["board_screws"] == recounted(out, "A", "left", layer)


def test_the_loose_stud_is_fastened_through_the_other_walls_board_every_24_inches():
    # A's inside board stands in B's slot: 106 1/4 / 24 -> 5 spaces, 6 screws, counted on B beside its faces.
    out = taken(room(opening=False))
    extra = ceil((CONTACT - 2 * EDGE) / 24) + 1
    assert extra == 6
    for mark, more in (("A", 0), ("B", extra)):
        faces = sum(f["board_screws"] for f in wall_of(out, mark)["faces"])
        assert wall_of(out, mark)["counts"]["board_screws"] - faces == more
    assert face_of(out, "A", "left")["board_screws"] == recounted(out, "A", "left")
    assert face_of(out, "B", "right")["board_screws"] == recounted(out, "B", "right")


def test_outside_of_a_corner_the_lapping_walls_edge_is_fastened_to_the_corner_stud():
    # B's outside board covers the flat side of A's corner stud, 1/4 in from its edge: 8 in apart there (derived).
    # Studs of B in it: loose 4.875, layout 16, 32 and so on; all 12 in apart up to the free end's 8.
    out = taken(room(opening=False))
    at = [size(s["at"]) for s in level(out)["studs"] if s["wall"] == "B"]
    first, *others = sheets(out, "B", "left")
    inside = [x for x in at if x < size(first["at"]) + size(first["width"])]
    assert size(first["at"]) == Fraction(1, 4) and inside[0] == Fraction(39, 8)
    assert first["screws"] == line(8) + (len(inside) + bool(others)) * line(12) + track(size(first["width"]))


def test_board_that_runs_past_its_corner_stud_by_two_layers_is_fastened_to_it_at_the_end_spacing():
    # B's outside layers are 1 1/4 in; A's outermost board runs past its steel by that less 1/4, its corner stud stands
    # 5/8 in inside it: 8 in apart on that stud (derived).
    types = {"P1": wall_type(right=["B58", "B58"]), "P2": wall_type(left=["B58", "B58"])}
    out = taken(plan(wall("A", (0, 0), (120, 0)), wall("B", (0, 0), (0, 96), type="P2"), types=types))
    first = sheets(out, "A", "right", 2)[0]
    assert size(first["at"]) == -1
    end = size(first["at"]) + size(first["width"])
    at = [size(s["at"]) for s in level(out)["studs"] if s["wall"] == "A" and size(s["at"]) <= end]
    assert at[0] == Fraction(5, 8) and at[-1] == end
    assert first["screws"] == line(8) + len(at[1:]) * line(12) + track(end)  # the track starts at 0


def test_an_opening_takes_screws_away_and_its_jambs_bring_some():
    ends = {"from": "structure", "to": "structure"}
    window = {"mark": "W1", "kind": "window", "at": "33", "width": "30", "height": "48", "sill": "36"}
    plain = taken(plan(wall("A", (0, 0), (96, 0), ends=ends)))
    cut = taken(plan(wall("A", (0, 0), (96, 0), ends=ends, openings=[window])))
    # two lines (48 and half of nothing) lose 48 in of contact; two jamb studs bring two lines of their own
    assert cut["counts"]["board_screws"] != plain["counts"]["board_screws"]
    for face in ("left", "right"):
        assert face_of(cut, "A", face)["board_screws"] > 0
