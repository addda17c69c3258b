"""Published estimating rules, as a check that stands beside the exact count.

Handbooks count by the running foot and by rates per 1,000 square feet. The engine does not count that way; these
rules answer "is that about what a handbook would say?". Sources disagree on consumption, so rates are
values with their source, chosen by name, never mixed. Everything is an exact fraction; what is ordered rounds up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

TEXTBOOK = "Estimating in Building Construction (Peterson and Dagostino)"
CARPENTRY = "Modern Carpentry (2022 ed.)"
PI = Fraction(3_141_592_654, 1_000_000_000)  # rounded at the ninth decimal: a bead's area to far less than a drop


@dataclass(frozen=True, slots=True)
class Rate:
    """Consumption per 1,000 sq ft of board surface."""

    name: str
    unit: str
    per_1000_sqft: Fraction
    source: str

    def of(self, area_sqft: Fraction) -> Fraction:
        """How much `area_sqft` of board takes, exact."""
        return area_sqft * self.per_1000_sqft / 1000


TAPE = Rate("tape", "ft", Fraction(380), f"{TEXTBOOK} p.203")
COMPOUND = Rate("compound", "gal", Fraction(5), f"{TEXTBOOK} p.203, ready mixed")
SCREWS = Rate("screws", "each", Fraction(1000), f"{TEXTBOOK} p.203")


@dataclass(frozen=True, slots=True)
class Waste:
    """What is ordered over the count, in per cent."""

    percent: Fraction
    source: str

    def on(self, quantity: Fraction) -> Fraction:
        """The quantity and its waste, exact."""
        return quantity * (100 + self.percent) / 100


STUD_WASTE = Waste(Fraction(5), f"{TEXTBOOK} p.199")
TRACK_WASTE = Waste(Fraction(8), f"{TEXTBOOK} p.199")
BOARD_WASTE = Waste(Fraction(5), f"{TEXTBOOK} p.203 Ex 16-3")
TAPE_WASTE = Waste(Fraction(10), f"{TEXTBOOK} p.203")
PLATE_WASTE = Waste(Fraction(10), f"{CARPENTRY} sec 11.15")


@dataclass(frozen=True, slots=True)
class StudExtras:
    """Studs added to the spacing count for each place that needs more than one."""

    corner: int
    intersection: int
    opening: int
    source: str


STEEL_EXTRAS = StudExtras(corner=2, intersection=2, opening=3, source=f"{TEXTBOOK} p.199")
CARPENTRY_EXTRAS = StudExtras(corner=2, intersection=2, opening=2, source=f"{CARPENTRY} sec 11.15.1")


def studs_in_a_run(length_ft: Fraction, spacing_in: Fraction) -> int:
    """Spaces rounded up, and one more for the end. Source: Estimating in Building Construction p.157."""
    return ceil(length_ft * 12 / spacing_in) + 1


def studs_by_the_foot(length_ft: Fraction, spacing_in: Fraction) -> int:
    """Spaces only, no end stud: the extras carry it. Source: Modern Carpentry sec 11.15.1 (3/4 x L at 16 in)."""
    return ceil(length_ft * 12 / spacing_in)


def extra_studs(extras: StudExtras, *, corners: int = 0, intersections: int = 0, openings: int = 0) -> int:
    """Studs beyond the spacing count, by the named rule."""
    return corners * extras.corner + intersections * extras.intersection + openings * extras.opening


def ordered(quantity: Fraction, waste: Waste) -> int:
    """Whole pieces to order for a quantity of pieces and its waste."""
    return ceil(waste.on(quantity))


def stock_pieces(total_ft: Fraction, stock_ft: Fraction, waste: Waste) -> int:
    """Whole lengths of stock for a running length and its waste; takes no account of how it is cut."""
    return ceil(waste.on(total_ft) / stock_ft)


def wall_surface(length_ft: Fraction, height_ft: Fraction, sides: int) -> Fraction:
    """Square feet of board, openings not taken out, as the handbooks have it."""
    return length_ft * height_ft * sides


def rounded_surface(area_sqft: Fraction, to: int = 1000) -> int:
    """A surface rounded up to whole thousands before rates are applied. Source: the same textbook, p.203."""
    return ceil(area_sqft / to) * to


def sheets(area_sqft: Fraction, sheet_sqft: Fraction = Fraction(32)) -> int:
    """Whole sheets for a surface: 4 x 8 ft unless told."""
    return ceil(area_sqft / sheet_sqft)


def sheets_per_side(length_ft: Fraction, sides: int, sheet_width_ft: Fraction = Fraction(4)) -> int:
    """Standing sheets as high as the wall, rounded up for each side by itself."""
    return ceil(length_ft / sheet_width_ft) * sides


def screws_per_sheet(lines: int, line_in: Fraction, spacing_in: Fraction) -> int:
    """`lines` framing members behind a sheet, each with a screw at both ends and every `spacing_in` between."""
    return lines * (ceil(line_in / spacing_in) + 1)


def track_pins(length_in: Fraction) -> int:
    """Pins in one unbroken piece of track: 2 in from each end and at most 24 in apart.

    Source: Ontario Building Code 9.24.3.1 (about 50 mm from ends, at most 610 mm apart); the number is derived.
    """
    return max(ceil((length_in - 4) / 24), 0) + 1


def feet_per_tube(cubic_inches: Fraction, bead_diameter_in: Fraction) -> Fraction:
    """Feet of round sealant bead from a cartridge: 18.3 cu in holds 10.1 oz (a sealant supplier's page)."""
    return cubic_inches / (12 * PI * bead_diameter_in**2 / 4)


@dataclass(frozen=True, slots=True)
class Beside:
    """One published figure beside the exact one, in the same unit."""

    name: str
    unit: str
    handbook: Fraction
    counted: Fraction
    source: str

    @property
    def ratio(self) -> Fraction | None:
        """Counted over published, or None where the handbook says nothing is needed."""
        return self.counted / self.handbook if self.handbook else None


def beside_the_count(
    *,
    wall_lengths_ft: Sequence[Fraction],
    net_board_sqft: Fraction,
    spacing_in: Fraction,
    corners: int,
    intersections: int,
    openings: int,
    counted_studs: int,
    counted_track_ft: Fraction,
    counted_board_screws: int,
    counted_tape_ft: Fraction,
    counted_compound_gal: Fraction,
) -> tuple[Beside, ...]:
    """The handbook's figures for a floor beside the engine's own. Lengths in feet, areas in square feet.

    A large difference is a question to ask of the plan, not a fault of either: handbooks take openings as solid.
    """
    base = sum(studs_in_a_run(length, spacing_in) for length in wall_lengths_ft)
    extra = extra_studs(STEEL_EXTRAS, corners=corners, intersections=intersections, openings=openings)
    track = 2 * sum(wall_lengths_ft, Fraction(0))
    return (
        Beside("studs", "each", Fraction(base + extra), Fraction(counted_studs), STEEL_EXTRAS.source),
        Beside("track", "ft", track, counted_track_ft, TRACK_WASTE.source),
        Beside("board screws", "each", SCREWS.of(net_board_sqft), Fraction(counted_board_screws), SCREWS.source),
        Beside("tape", "ft", TAPE.of(net_board_sqft), counted_tape_ft, TAPE.source),
        Beside("compound", "gal", COMPOUND.of(net_board_sqft), counted_compound_gal, COMPOUND.source),
    )
