"""A door in the stem of a tee: slot and one stud flange have to stand clear of the through wall's steel.

Ground: common practice, no source: 5/8 + 1 1/4 = 1 7/8 in.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.framing.floor import cautions, door, junctions, pieces, plan, size, taken, wall


def stem(clear: str):
    """A stem drawn from the through wall's centre, its door `clear` in from that wall's steel face."""
    at = Fraction(29, 16) + Fraction(clear)
    whole, rest = divmod(at, 1)
    return taken(
        plan(
            wall("T1", (0, 0), (240, 0)),
            wall("S1", (120, 0), (120, 100), openings=[door("D1", f"{whole} {rest}" if rest else str(whole))]),
        )
    )


@pytest.mark.parametrize(("clear", "by"), [("1.875", None), ("3", None), ("1.859375", "0.015625"), ("1", "0.875")])
def test_less_than_slot_and_flange_is_told_by_the_amount(clear, by):
    out = stem(clear)
    assert len(junctions(out, "tee")) == 1
    assert junctions(out, "door corner") == []
    found = cautions(out, "door beside a tee")
    assert [c["by"] for c in found] == ([] if by is None else [by])
    for caution in found:
        assert caution["opening"] == "D1"
        assert "S1" in caution["walls"]


def test_the_short_piece_of_track_is_what_is_left_of_the_clear_space():
    # 3 in clear: less the 5/8 slot, 2 3/8 of bottom track up to the door
    first = pieces(stem("3"), "S1", "bottom")[0]
    assert size(first["length"]) == Fraction("2.375")


def test_a_door_in_the_through_wall_is_no_door_beside_a_tee():
    out = taken(
        plan(
            wall("T1", (0, 0), (240, 0), openings=[door("D1", "125")]),
            wall("S1", (120, 0), (120, 100)),
        )
    )
    assert cautions(out, "door beside a tee") == []
