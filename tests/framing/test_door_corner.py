"""Door corners: a door close beside a corner, where every part of the short leg has to find room.

Ground: common practice, no source. From the outer face the leg is the tab (the long wall's width X), the slot, the
loose stud, the space of one board, and the door stud: with 1 1/2 in stud flanges and 5/8 board always X + 4 1/4.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from tests.framing.floor import cautions, door, junctions, pieces, plan, size, studs, taken, wall, wall_of, wall_type

WIDTHS = {"162": "1.625", "250": "2.5", "362": "3.625", "600": "6", "800": "8"}


def corner(web: str, clear: Fraction, *, leg_web: str = "362", flange: str = "150", **keys: Any):
    """A long wall of width `web`, and a leg whose door stands `clear` of the long wall's steel."""
    types = {"P1": wall_type(web, flange), "LEG": wall_type(leg_web, flange)}
    at = Fraction(WIDTHS[web]) / 2 + clear
    return taken(
        plan(
            wall("LONG", (0, 0), (200, 0)),
            wall("LEG", (0, 0), (0, 120), type="LEG", openings=[door("D1", _inches(at), hinge="near")]),
            types=types,
            **keys,
        )
    )


def _inches(value: Fraction) -> str:
    whole, rest = divmod(value, 1)
    return f"{whole} {rest}" if rest else str(whole)


@pytest.mark.parametrize("web", WIDTHS)
def test_the_leg_is_four_and_a_quarter_and_the_long_walls_width(web):
    x = Fraction(WIDTHS[web])
    out = corner(web, Fraction("4.25"))
    (joint,) = junctions(out, "door corner")
    assert joint["through"] == "LONG"
    leg = pieces(out, "LEG", "bottom")[0]
    assert size(leg["length"]) == x + Fraction("4.25")
    assert leg["from_end"]["cut"] == "tab"
    assert size(leg["from_end"]["tab"]) == x
    assert {size(back) for back in leg["from_end"]["flanges_back"].values()} == {x + Fraction("0.625")}
    # tab, slot, then half a 1 1/2 in flange; and the door stud's middle half a flange before the opening
    assert studs(out, "LEG", "loose") == [x + Fraction("0.625") + Fraction("0.75")]
    assert studs(out, "LEG", "door")[0] == x + Fraction("4.25") - Fraction("0.75")
    assert cautions(out, "short leg") == []
    assert out["counts"]["door_corners"] == 1


@pytest.mark.parametrize("leg_web", ["250", "362", "600"])
@pytest.mark.parametrize("web", ["162", "362", "800"])
def test_walls_of_any_two_widths_may_meet_there(web, leg_web):
    out = corner(web, Fraction("4.25"), leg_web=leg_web)
    x, leg = Fraction(WIDTHS[web]), Fraction(WIDTHS[leg_web])
    assert size(pieces(out, "LEG", "bottom")[0]["length"]) == x + Fraction("4.25")
    assert size(wall_of(out, "LEG")["track_length"]) == 120 + x / 2
    assert size(wall_of(out, "LONG")["track_length"]) == 200 + leg / 2
    assert cautions(out, "short leg") == []


@pytest.mark.parametrize(
    ("clear", "by"),
    [("4.25", None), ("4.234375", "0.015625"), ("4", "0.25"), ("3", "1.25"), ("1.5", "2.75")],
)
def test_a_leg_too_short_by_any_amount_is_told_by_that_amount(clear, by):
    out = corner("362", Fraction(clear))
    found = cautions(out, "short leg")
    if by is None:
        assert found == []
        return
    (caution,) = found
    assert caution["by"] == by
    assert caution["opening"] == "D1"
    assert "LEG" in caution["walls"]
    assert "D1" in caution["sentence"] and "LEG" in caution["sentence"]


def test_narrower_stud_flanges_need_less():
    # 1 1/4 in flanges: 2 x 1.25 + 0.625 + 0.625 = 3 3/4
    assert cautions(corner("362", Fraction("3.75"), flange="125"), "short leg") == []
    (caution,) = cautions(corner("362", Fraction("3.5"), flange="125"), "short leg")
    assert caution["by"] == "0.25"


@pytest.mark.parametrize(("clear", "kind"), [("11.984375", "door corner"), ("12", "corner"), ("28", "corner")])
def test_a_door_is_beside_a_corner_when_less_than_a_foot_is_clear(clear, kind):
    out = corner("362", Fraction(clear))
    assert len(junctions(out, kind)) == 1
    assert out["counts"]["door_corners"] == (1 if kind == "door corner" else 0)
    assert out["counts"]["corners"] == 1 or kind == "door corner"


def test_the_leg_laps_even_where_it_is_the_longer_wall_listed_first():
    at = "6 1/16"  # 1 13/16 + 4 1/4
    types = {"P1": wall_type(flange="150")}
    out = taken(
        plan(
            wall("LEG", (0, 0), (0, 240), openings=[door("D1", at, hinge="near")]),
            wall("LONG", (0, 0), (100, 0)),
            types=types,
        )
    )
    (joint,) = junctions(out, "door corner")
    assert joint["through"] == "LONG"
    # nothing is said of which wall is longer: here it is the leg's
    assert joint["because"] == (
        "a door stands beside the corner in wall LEG: the leg beside it laps, so wall LONG runs through"
    )
    assert pieces(out, "LEG", "bottom")[0]["from_end"]["cut"] == "tab"


def test_the_far_jamb_counts_as_well_as_the_near_one_whatever_the_hinge():
    # Drawn from the far end: the opening's far jamb stands beside the corner at the `to` end; 120 - 6.0625 - 38.
    for hinge in ("near", "far"):
        types = {"P1": wall_type(flange="150")}
        out = taken(
            plan(
                wall("LONG", (0, 0), (200, 0)),
                wall("LEG", (0, 120), (0, 0), openings=[door("D1", "75 15/16", hinge=hinge)]),
                types=types,
            )
        )
        (joint,) = junctions(out, "door corner")
        assert joint["through"] == "LONG"
        last = pieces(out, "LEG", "bottom")[-1]
        assert last["length"] == "7.875"  # X + 4 1/4
        assert last["to_end"]["cut"] == "tab"
        assert cautions(out, "short leg") == []


def test_a_hinge_not_stated_changes_nothing_that_is_counted():
    stated = corner("362", Fraction("4.25"))
    types = {"P1": wall_type(flange="150"), "LEG": wall_type(flange="150")}
    silent = taken(
        plan(
            wall("LONG", (0, 0), (200, 0)),
            wall("LEG", (0, 0), (0, 120), type="LEG", openings=[door("D1", "6 1/16")]),
            types=types,
        )
    )
    assert silent["counts"] == stated["counts"]


def test_an_override_is_obeyed_with_a_caution():
    asked = [{"walls": ["LONG", "LEG"], "through": "LEG"}]
    out = corner("362", Fraction("4.25"), junctions=asked)
    (joint,) = junctions(out, "door corner")
    assert joint["through"] == "LEG"
    assert pieces(out, "LONG", "bottom")[0]["from_end"]["cut"] == "tab"
    assert pieces(out, "LEG", "bottom")[0]["from_end"]["cut"] == "square"
    told = [c for c in out["levels"][0]["cautions"] if {"LONG", "LEG"} <= set(c["walls"])]
    assert told, "an override against the practice has to be told"


def test_a_window_beside_a_corner_makes_no_door_corner():
    window = {"mark": "W1", "kind": "window", "at": "6", "width": "36", "height": "48", "sill": "36"}
    out = taken(plan(wall("LONG", (0, 0), (200, 0)), wall("LEG", (0, 0), (0, 120), openings=[window])))
    assert junctions(out, "door corner") == []
    assert len(junctions(out, "corner")) == 1


def test_a_door_corner_pays_the_slot_of_two_layers():
    # Two layers on the long wall's inside face: slot 1 1/4, so tab 3.625 and flanges back 4.875;
    # the leg needs 1.5 + 1.5 + 1.25 + one board of 5/8 = 4 7/8 clear.
    types = {"P1": wall_type(flange="150", left=["B58", "B58"])}
    leg_type = wall_type(flange="150")

    def leg(at: str):
        return taken(
            plan(
                wall("LONG", (0, 0), (200, 0)),
                wall("LEG", (0, 0), (0, 120), type="LEG", openings=[door("D1", at, hinge="near")]),
                types={**types, "LEG": leg_type},
            )
        )

    enough = leg("6 11/16")  # 1.8125 + 4.875
    assert cautions(enough, "short leg") == []
    assert {size(b) for b in pieces(enough, "LEG", "bottom")[0]["from_end"]["flanges_back"].values()} == {
        Fraction("4.875")
    }
    (caution,) = cautions(leg("6 1/16"), "short leg")
    assert caution["by"] == "0.625"
