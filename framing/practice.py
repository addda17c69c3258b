"""How a firm builds: every allowance and spacing that a count rests on, each with its source.

A plan may override any field by name. `SOURCES` says where each default comes from; a field without a source
cannot be added (a test compares the two).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from framing.length import Length, inch

COMMON_PRACTICE = "common practice, no source"
HIGHEST_FINISH = 5


@dataclass(frozen=True, slots=True)
class FramingPractice:
    """Lengths in ticks, counts as whole numbers. Defaults are named and sourced in `SOURCES`."""

    floor_gap: Length = inch(0, 1, 2)
    slot: Length = inch(0, 5, 8)
    bead_gap: Length = inch(0, 1, 4)
    stud_short: Length = inch(0, 1, 2)
    door_corner_within: Length = inch(12)
    snap: Length = inch(1)
    tee_backing: bool = False
    track_stock: Length = inch(120)
    stud_stock: tuple[Length, ...] = tuple(inch(feet * 12) for feet in (8, 9, 10, 12, 14, 16, 18, 20, 24))
    bead_stock: tuple[Length, ...] = (inch(96), inch(120))
    useful_offcut: Length = inch(24)
    splice_clear: Length = inch(12)
    splice_shortest: Length = inch(24)
    splice_apart: Length = inch(24)
    head_bend: Length = inch(6)
    pin_from_end: Length = inch(2)
    pin_spacing: Length = inch(24)
    screw_field: Length = inch(12)
    screw_edge: Length = inch(12)
    screw_end_edge: Length = inch(8)
    screw_from_edge: Length = inch(0, 3, 8)
    track_screw_spacing: Length = inch(16)
    loose_stud_screw: Length = inch(24)
    joint_from_opening: Length = inch(6)
    high_board_from: Length = inch(120)
    stud_end_screws: int = 2
    head_track_screws: int = 4
    sealant_beads: int = 1
    sealant_feet_per_tube: Fraction = field(default=Fraction(311, 10))
    tape_feet_per_roll: int = 250
    finish_level: int = 4
    compound_feet_per_gallon: int = 76
    skim_square_feet_per_gallon: int = 100
    compound_gallons_per_pail: int = 5
    open_edge_first: bool = True
    framing_screws_per_box: int = 1000
    board_screws_per_box: int = 1000
    pins_per_box: int = 100


SOURCES: dict[str, str] = {
    "floor_gap": f"{COMMON_PRACTICE}; NAVEDTRA 14044 p.5-6 accepts 1/2 in at top and bottom",
    "slot": COMMON_PRACTICE,
    "bead_gap": COMMON_PRACTICE,
    "stud_short": "Ontario Building Code 9.24.3.2(1): at least 12 mm between stud and top track",
    "door_corner_within": COMMON_PRACTICE,
    "snap": COMMON_PRACTICE,
    "tee_backing": COMMON_PRACTICE,
    "track_stock": COMMON_PRACTICE,
    "stud_stock": COMMON_PRACTICE,
    "bead_stock": COMMON_PRACTICE,
    "useful_offcut": f"{COMMON_PRACTICE}: shorter ones are scrap",
    "splice_clear": COMMON_PRACTICE,
    "splice_shortest": COMMON_PRACTICE,
    "splice_apart": COMMON_PRACTICE,
    "head_bend": "Ontario Building Code 9.24.3.2(3)-(4): bent up at least 150 mm at each end",
    "pin_from_end": "Ontario Building Code 9.24.3.1: about 50 mm from the ends",
    "pin_spacing": "Ontario Building Code 9.24.3.1: at most 610 mm apart on interior walls",
    "screw_field": "NAVEDTRA 14044 p.5-8: 12 in on centre",
    "screw_edge": COMMON_PRACTICE,
    "screw_end_edge": f"{COMMON_PRACTICE}; fire listing U419 item 6: 8 in on vertical edges",
    "screw_from_edge": "2018 IRC Table R702.3.6 note d: at least 3/8 in from edges and ends",
    "track_screw_spacing": f"{COMMON_PRACTICE}: four into each track per 48 in sheet",
    "loose_stud_screw": COMMON_PRACTICE,
    "joint_from_opening": "NAVEDTRA 14044 p.5-6: no vertical joint within 6 in of an opening's edge",
    "high_board_from": "trade association's estimating guide: board above 10 ft is priced apart",
    "stud_end_screws": f"{COMMON_PRACTICE}: one through each flange",
    "head_track_screws": f"{COMMON_PRACTICE}: two at each bent end",
    "sealant_beads": COMMON_PRACTICE,
    "sealant_feet_per_tube": "derived: 10.1 oz cartridge of 18.3 cu in, round 1/4 in bead",
    "tape_feet_per_roll": COMMON_PRACTICE,
    "finish_level": f"{COMMON_PRACTICE}: flat paint under common light; levels as in GA-214, ASTM C840 (from memory)",
    "compound_feet_per_gallon": (
        "derived: 5 gal and 380 ft of tape per 1,000 sq ft (Estimating in Building Construction p.203); home guides "
        "have about twice the compound"
    ),
    "skim_square_feet_per_gallon": "trade exam page: 1 gal spread over about 100 sq ft",
    "compound_gallons_per_pail": f"{COMMON_PRACTICE}; the same textbook counts in 5 gal",
    "open_edge_first": (
        "GA-216 and ASTM C840, application over steel framing: the leading edge goes on the open edge of the stud's "
        "flange first (from memory, the text was not read)"
    ),
    "framing_screws_per_box": COMMON_PRACTICE,
    "board_screws_per_box": COMMON_PRACTICE,
    "pins_per_box": COMMON_PRACTICE,
}

# Lengths, whole numbers, lists of lengths, yes/no: how a plan file's override of each field is read.
LENGTHS = frozenset(
    [
        "floor_gap",
        "slot",
        "bead_gap",
        "stud_short",
        "door_corner_within",
        "snap",
        "track_stock",
        "useful_offcut",
        "splice_clear",
        "splice_shortest",
        "splice_apart",
        "head_bend",
        "pin_from_end",
        "pin_spacing",
        "screw_field",
        "screw_edge",
        "screw_end_edge",
        "screw_from_edge",
        "track_screw_spacing",
        "loose_stud_screw",
        "joint_from_opening",
        "high_board_from",
    ]
)
LENGTH_LISTS = frozenset({"stud_stock", "bead_stock"})
WHOLE_NUMBERS = frozenset(
    [
        "stud_end_screws",
        "head_track_screws",
        "sealant_beads",
        "tape_feet_per_roll",
        "finish_level",
        "compound_feet_per_gallon",
        "skim_square_feet_per_gallon",
        "compound_gallons_per_pail",
        "framing_screws_per_box",
        "board_screws_per_box",
        "pins_per_box",
    ]
)
YES_OR_NO = frozenset({"tee_backing", "open_edge_first"})
MAY_BE_ZERO = frozenset(
    [
        "floor_gap",
        "bead_gap",
        "stud_short",
        "snap",
        "splice_clear",
        "splice_shortest",
        "splice_apart",
        "screw_from_edge",
        "joint_from_opening",
        "stud_end_screws",
        "head_track_screws",
        "sealant_beads",
        "door_corner_within",
        "finish_level",
    ]
)
