"""The handbook check: published worked examples by the published rules, beside the exact counts.

Sources beside each row. "Textbook" is Estimating in Building Construction (Peterson and Dagostino), read on its pages'
copies; the Gypsum Association's and the codes' rows were read in official texts; `derived` is own arithmetic from them.
"""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from framing import handbook as hb
from tests.framing.floor import door, plan, size, taken, wall


def test_spaces_and_one_more():
    # Textbook p.157 Ex 13-11: 148 ft at 16 in -> 111 spaces -> 112 studs. Trade pages: 14 ft 6 in -> 12; 16 ft -> 13.
    assert hb.studs_in_a_run(F(148), F(16)) == 112
    assert hb.studs_in_a_run(F(29, 2), F(16)) == 12
    assert hb.studs_in_a_run(F(16), F(16)) == 13


def test_two_more_studs_for_each_corner():
    # Textbook p.157 Ex 13-12: 4 three-stud corners -> 8
    assert hb.extra_studs(hb.STEEL_EXTRAS, corners=4) == 8


def test_steel_studs_of_the_commercial_example():
    # Textbook p.199: base 246 (its own count, taken as input: 325 ft 4 in alone gives 245), 13 openings x 3,
    # 11 intersections x 2, 4 interior corners x 2 -> 315; 5 % waste -> order 331
    extra = hb.extra_studs(hb.STEEL_EXTRAS, corners=4, intersections=11, openings=13)
    assert 246 + extra == 315
    assert hb.ordered(F(315), hb.STUD_WASTE) == 331
    # derived: 20 ft 8 in of 6 in steel -> 17 studs, order 18 as the book does
    assert hb.studs_in_a_run(F(62, 3), F(16)) == 17
    assert hb.ordered(F(17), hb.STUD_WASTE) == 18


@pytest.mark.parametrize(
    ("feet", "inches", "both", "pieces"),
    [(325, 4, F(1952, 3), 36), (20, 8, F(124, 3), 3)],  # 650 ft 8 in and 41 ft 4 in
)
def test_track_of_the_commercial_example(feet, inches, both, pieces):
    # Textbook p.199: top and bottom, 8 % waste, 20 ft lengths
    total = 2 * (feet + F(inches, 12))
    assert total == both
    assert hb.stock_pieces(total, F(20), hb.TRACK_WASTE) == pieces


def test_rates_of_the_commercial_example():
    # Textbook p.203: 346 ft x 10 ft x 2 sides, rounded up to 7,000 sq ft
    area = F(hb.rounded_surface(hb.wall_surface(F(346), F(10), 2)))
    assert area == 7000
    assert hb.TAPE.of(area) == 2660
    assert hb.stock_pieces(hb.TAPE.of(area), F(50), hb.TAPE_WASTE) == 59
    assert hb.COMPOUND.of(area) == 35
    assert hb.SCREWS.of(area) == 7000


def test_sheets_of_the_house_example():
    # Textbook p.203 Ex 16-3, 4 x 8 sheets: walls 148 ft one side, 149 ft both sides, ceiling 24 x 50 ft
    outer = hb.sheets(hb.wall_surface(F(148), F(8), 1))
    inner = hb.sheets(hb.wall_surface(F(149), F(8), 2))
    ceiling = hb.sheets(F(24 * 50))
    assert (outer, inner, ceiling) == (37, 75, 38)
    # 5 % waste on 112 and on 38
    assert hb.ordered(F(outer + inner), hb.BOARD_WASTE) == 118
    assert hb.ordered(F(ceiling), hb.BOARD_WASTE) == 40


def test_corner_bead_of_the_house_example():
    # Textbook p.203 Ex 16-3: outside corners of 8 ft walls, 8 ft pieces: three corners, three pieces
    no_waste = hb.Waste(F(0), "the example adds none")
    assert hb.stock_pieces(F(3 * 8), F(8), no_waste) == 3


def test_gable_ends_join_the_walls_before_sheets_are_counted():
    # Textbook p.163: 1,184 + 72 = 1,256 sq ft -> 39.25 -> 40
    assert hb.sheets(F(1184 + 72)) == 40


def test_three_plates_of_a_plan():
    # Modern Carpentry sec 11.15 p.269: 240 ft, 3 plates, 10 % -> 792 ft -> 57 pieces of 14 ft
    assert hb.PLATE_WASTE.on(F(240 * 3)) == 792
    assert hb.stock_pieces(F(240 * 3), F(14), hb.PLATE_WASTE) == 57


def test_studs_by_the_foot_and_two_for_each_place():
    # Modern Carpentry sec 11.15.1: 240 ft at 16 in, 12 corners, 10 intersections, 20 openings -> 180 + 84; 24 in: L / 2
    extra = hb.extra_studs(hb.CARPENTRY_EXTRAS, corners=12, intersections=10, openings=20)
    assert hb.studs_by_the_foot(F(240), F(16)) + extra == 264
    assert hb.studs_by_the_foot(F(240), F(24)) == 120


def test_standing_sheets_rounded_for_each_side():
    # derived, and the textbook's own order: 87 a side, 174, 5 % -> 183 (once rounded at the end it would be 182)
    assert hb.sheets_per_side(F(346), 2) == 174
    assert hb.ordered(F(174), hb.BOARD_WASTE) == 183


@pytest.mark.parametrize(
    ("lines", "line", "spacing", "each", "per_1000", "sheet"),
    [
        (4, 96, 16, 28, 875, 32),
        (4, 96, 12, 36, 1125, 32),
        (3, 96, 12, 27, 844, 32),
        (10, 48, 16, 40, 833, 48),
        (10, 48, 12, 50, 1042, 48),
        (7, 48, 12, 35, 729, 48),
    ],
)
def test_screws_in_a_sheet_by_its_spacing(lines, line, spacing, each, per_1000, sheet):
    # derived from the code's spacings (12 in; 16 in on walls with studs at 16 in); 40 and 50 also in a trade article
    assert hb.screws_per_sheet(lines, F(line), F(spacing)) == each
    assert round(F(each * 1000, sheet)) == per_1000


@pytest.mark.parametrize(("feet", "pins"), [(4, 3), (8, 5), (10, 6), (12, 7), (20, 11), (30, 16), (346, 174)])
def test_pins_in_an_unbroken_track(feet, pins):
    # derived from Ontario Building Code 9.24.3.1
    assert hb.track_pins(F(feet * 12)) == pins


@pytest.mark.parametrize(
    ("cubic_inches", "diameter", "feet"),
    [
        (F("18.3"), F(1, 4), "31.1"),
        (F("18.3"), F(3, 8), "13.8"),
        (F("18.3"), F(1, 2), "7.8"),
        (F("52.3"), F(1, 4), "88.8"),
        (F("52.3"), F(3, 8), "39.5"),
        (F("52.3"), F(1, 2), "22.2"),
    ],
)
def test_feet_of_bead_from_a_tube(cubic_inches, diameter, feet):
    # derived from a sealant supplier's volumes (10.1 oz cartridge 18.3 cu in; 29 oz 52.3 cu in), round bead
    assert round(hb.feet_per_tube(cubic_inches, diameter), 1) == F(feet)


def test_the_handbook_stands_beside_an_exact_count():
    # 100 ft of wall, two doors: the handbook's studs are 76 + 6 and its track 200 ft; ours are counted.
    made = plan(wall("A", (0, 0), (1200, 0), openings=[door("D1", "100"), door("D2", "600")]))
    out = taken(made)
    counts = out["counts"]
    rows = {
        row.name: row
        for row in hb.beside_the_count(
            wall_lengths_ft=[F(100)],
            net_board_sqft=size(counts["board_net_sqft"]),
            spacing_in=F(16),
            corners=0,
            intersections=0,
            openings=2,
            counted_studs=counts["studs"],
            counted_track_ft=size(counts["track_in"]) / 12,
            counted_board_screws=counts["board_screws"],
            counted_tape_ft=size(counts["tape_in"]) / 12,
            counted_compound_gal=size(counts["tape_in"]) / 12 / 76,
        )
    }
    assert rows["studs"].handbook == 82
    assert rows["track"].handbook == 200
    for name in ("studs", "track"):
        ratio = rows[name].ratio
        assert ratio is not None and F(9, 10) <= ratio <= F(11, 10), name
    assert all(row.source for row in rows.values())
