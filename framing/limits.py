"""How large a plan may be. What goes beyond is a mistake with a name, so that no file holds a machine for hours.

A plan is refused by what it would take to count it, before anything is counted: `pieces_about` reckons the studs,
tracks, pieces of board and rules of hanging of one wall, and what its shape costs beyond them.
"""

from __future__ import annotations

from framing.length import TICKS_PER_FOOT, Length, inch
from framing.plan import Wall
from framing.practice import FramingPractice

LARGEST_FILE = 32 * 1024 * 1024
"""Bytes of a plan file."""

LONGEST_WALL = 10_000 * TICKS_PER_FOOT
HIGHEST_WALL = 100 * TICKS_PER_FOOT
MOST_OPENINGS = 200
"""In one wall: what they cost grows with their square."""

MOST_COURSES = 40
"""Rows of board in one face."""

MOST_LENGTHS = 50
"""Stock lengths in one list."""

MOST_PIECES = 10_000_000
"""In one plan, of all levels, as `pieces_about` reckons: about 100,000 walls of an office floor. A plan at
this limit takes some minutes, whatever its walls are."""

MOST_NEAR = 20
"""Walls of a level that lie near each other, for each of its walls; a building has one or two."""

MOST_MISTAKES = 1000
"""Mistakes that are told at once."""

LEAST_STOCK = inch(12)
MOST_ALLOWED = inch(12)
"""The shortest stock that is cut from, and the largest allowance (a gap, a slot) that a practice may set."""


def most_courses(wall: Wall) -> int:
    """Rows of board in the wall's highest face."""
    boards = wall.type.left + wall.type.right
    rows = (max(board.lengths) if board.lay == "standing" else board.width for board in boards)
    return max((_up(wall.highest, row) for row in rows), default=0)


def pieces_about(wall: Wall, practice: FramingPractice) -> int:
    """About how many pieces a wall takes, and rules of hanging at its ends, weighed by what they cost."""
    kind, openings = wall.type, len(wall.openings)
    length = wall.length + 2 * kind.stud.web
    marks = _up(length, kind.spacing)
    steel = 2 * marks + 4 * _up(length, practice.track_stock) + 8 * (openings + 1)
    sheets = hung = 0
    for board in kind.left + kind.right:
        wide, high = max(board.lengths), board.width
        if board.lay == "standing":
            wide, high = high, wide
        courses = _up(wall.highest, high)
        sheets += courses * (_up(length, min(wide, practice.track_stock)) + 2 * openings + 2)
        sheets += marks * (wide // kind.spacing) // 20  # studs on which each joint may fall
        hung += courses
    pieces = steel + sheets + sheets * openings // 20 + hung * hung
    return _EACH + (pieces if wall.is_level_topped else 2 * pieces)


_EACH = 20  # what a wall costs by itself


def _up(length: Length, step: Length) -> int:
    return -(-length // step)
