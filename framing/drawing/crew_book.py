"""The crew book of a level: cover, plan, details, then each wall with its drawings, cut cards, lists and order of work.

The same sheets are written as SVG, one file each, and as one PDF.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from framing.drawing.cut_cards import card_scale, cards_head
from framing.drawing.details import Detail, detail_drawing, details_of
from framing.drawing.drawn import DrawnLevel, DrawnWall
from framing.drawing.lettering import listed, say, say_inches
from framing.drawing.lists import level_order, sheet_table, stud_table
from framing.drawing.marks import ring, ring_size
from framing.drawing.paper import MARGIN, papers
from framing.drawing.pdf import pdf
from framing.drawing.plan_view import plan_drawing, plan_scale
from framing.drawing.safety import LIMITS, SAFETY, Notice
from framing.drawing.shapes import LINE, Drawing, Pad
from framing.drawing.sheets import FOOT_HEIGHT, Filling, Sheet, finished
from framing.drawing.table import Table
from framing.drawing.wall_sheet import cards, elevations
from framing.pieces import Caution
from framing.plan import LEFT, RIGHT

SMALL_PLAN = 96  # a plan that needs a smaller scale than this to one takes the large sheet


def book_sheets(level: DrawnLevel) -> list[Drawing]:
    """All sheets of a level's crew book, finished, in order. Named `sheet-001`, `sheet-002`, ..."""
    details = details_of(level)
    body, starts = _body(level, details)
    front: list[Sheet] = []
    for _ in range(2):  # the contents name sheet numbers, which move with the number of sheets before them
        front = _front(level, details, {mark: number + len(front) for mark, number in starts.items()})
    return finished([*front, *body], lambda number: f"sheet-{number:03}", level.plan, level.name)


def book_pdf(level: DrawnLevel, sheets: Sequence[Drawing] | None = None) -> bytes:
    """The crew book as one PDF. The same level gives the same bytes."""
    name = f"{level.plan}, {level.name}" if level.plan else level.name
    return pdf(sheets or book_sheets(level), title=f"Crew book: {name}")


def file_name(sheet: Drawing) -> str:
    """A plain file name for a sheet: its number and what is on it."""
    words = re.sub(r"[^A-Za-z0-9]+", "-", sheet.title.split("  ", 1)[-1]).strip("-").lower()
    return f"{sheet.name}-{words}" if words else sheet.name


def _body(level: DrawnLevel, details: Sequence[Detail]) -> tuple[list[Sheet], dict[str, int]]:
    """Plan, details and walls; and the sheet of the body, counted from 1, on which each wall starts."""
    small, large = papers(level.is_metric)
    filling = Filling(small, "Plan")
    room = (small[0] - 2 * MARGIN, small[1] - 2 * MARGIN - FOOT_HEIGHT - 2)
    if plan_scale(level, room).ratio > SMALL_PLAN:
        room = (large[0] - 2 * MARGIN, large[1] - 2 * MARGIN - FOOT_HEIGHT - 2)
        filling.sheets.pop()
        filling.begin(large)
    plan = plan_drawing(level, details, room)
    filling.sheet.pad.add(plan.shapes, MARGIN, MARGIN)
    filling.sheet.told.append(plan.told)
    filling.title = "Details"
    if details:
        filling.begin()
    for detail in details:
        filling.below(detail_drawing(detail, level))
    starts = {}
    for wall in level.walls:
        filling.title = f"Wall {wall.mark}"
        filling.begin()
        starts[wall.mark] = len(filling.sheets)
        _wall(filling, wall, level, details)
    return filling.done(), starts


def _wall(filling: Filling, wall: DrawnWall, level: DrawnLevel, details: Sequence[Detail]) -> None:
    _wall_head(filling, wall, level, details)
    for drawing in elevations(wall, level, filling.width):
        filling.beside(drawing)
    scale = card_scale(level, filling.width)
    own = list(cards(wall, level, filling.width))
    head = cards_head(scale, filling.width, is_metric=level.is_metric)
    filling.room(head.height + own[0].height if own else 0.0)
    filling.below(head, 1.0)
    for card in own:
        filling.below(card, 1.4)
    filling.table(stud_table(wall, level))
    if wall.sheets:
        filling.table(sheet_table(wall, level))


def _wall_head(filling: Filling, wall: DrawnWall, level: DrawnLevel, details: Sequence[Detail]) -> None:
    """Mark, type, lengths, the details that hold at the wall, and its cautions."""
    kind, made = wall.wall.type, wall.wall
    pad = Pad()
    wide, _ = ring_size(wall.mark, 11)
    pad.add(ring(wide, 4.0, wall.mark, 11, LINE))
    high = say(made.height_from, is_metric=level.is_metric)
    if not made.is_level_topped:
        high += f" to {say(made.height_to, is_metric=level.is_metric)}"
    boards = " · ".join(
        f"{face} {'none' if not kind.layers(face) else listed(board.name for board in kind.layers(face))}"
        for face in (LEFT, RIGHT)
    )
    line, track = (say(length, is_metric=level.is_metric) for length in (made.length, wall.frame.track_length))
    spacing = say_inches(kind.spacing, is_metric=level.is_metric)
    pad.text(2 * wide + 3, 3.4, f"type {kind.name}   line {line}   bottom track {track}   height {high}", 9, bold=True)
    words = f"{kind.stud.designator} every {spacing}, {kind.track.designator}; board: {boards}"
    if wall.finish:
        words += f"; finish level: {', '.join(f'{face} {finish}' for face, finish in wall.finish.items())}"
    own = [(detail, met) for detail in details for met in detail.all if wall.mark in met.junction.walls]
    if own:
        numbers = dict.fromkeys(str(detail.number) for detail, _ in own)
        words += f"; details {', '.join(numbers)}"
    pad.text(2 * wide + 3, 7.4, words, 7.5)
    filling.below(Drawing("", "", "", filling.width, 9.0, tuple(pad.shapes)), 1.0)
    for caution in level.cautions_of(wall):
        _caution(filling, caution)
    filling.y += 1.5


def _caution(filling: Filling, caution: Caution) -> None:
    filling.text(f"Caution, {caution.kind}: {caution.sentence}", 7.5, bold=True)


def _front(level: DrawnLevel, details: Sequence[Detail], starts: dict[str, int]) -> list[Sheet]:
    """Cover, notices, cautions of the level, contents, order of the whole level."""
    small, _ = papers(level.is_metric)
    filling = Filling(small, "Cover")
    filling.y = 6.0
    filling.text("Crew book", 22, bold=True, gap=2)
    filling.text(level.plan or "Plan without a name", 13, bold=True)
    filling.text(f"{level.name}: {_totals(level, details)}", 9, gap=3)
    filling.rule()
    for notice in LIMITS:
        _notice(filling, notice)
    filling.text("Working safely", 9.5, bold=True)
    for notice in SAFETY:
        _notice(filling, notice)
    filling.rule()
    filling.text("How to read the sheets", 9.5, bold=True)
    for words in _READING:
        filling.text(words, 7.5)
    filling.title = "Cautions and contents"
    filling.begin()
    filling.text(f"Cautions: {len(level.cautions) or 'none'}", 9.5, bold=True)
    for caution in level.cautions:
        _caution(filling, caution)
    for words in level.stocked.board(is_metric=level.is_metric):
        filling.text(words[0].upper() + words[1:], 8)
    cells = [f"{mark}  ·  sheet {number}" for mark, number in starts.items()]
    _columns(filling, "Walls, and the sheet on which each begins", cells, 8)
    cells = [f"{steps}  ·  {where}" for steps, where in level_order(level)]
    _columns(filling, "Order of hanging, the whole level", cells, 7)
    rooms = level.stocked.table(is_metric=level.is_metric)
    if rooms is not None:
        filling.title = "Rooms and piles"
        filling.begin()
        for words in _DROPPING:
            filling.text(words, 7.5)
        filling.table(rooms)
    return filling.done()


_READING = (
    "Marks stand in circles, numbers of details in squares. Lengths are feet and inches; a ~ says that the true length "
    "is finer than 1/64 in and was rounded to the nearest 1/16. Every drawing states its scale and carries a bar: if "
    "the bar is not true on your print, do not scale from it. Written figures come before drawn ones.",
    "Left and right are as seen walking along a wall from its from end to its to end. Running figures are read on one "
    "tape hooked at the black triangle, where the stud layout starts. Numbers in circles on board are steps in the "
    "level's order of hanging.",
    "Track pieces are B (bottom), T (top), H (head) and S (sill), numbered along the wall; each has a cut card. Studs: "
    "C corner, L loose, D door, J jamb, E end, B backing; those without a letter stand on the layout.",
)


_DROPPING = (
    "A stock sheet lies in the room in which the first of its pieces is hung; the others are carried from there. "
    "Steel lies in the larger of the two rooms that its wall parts. Piles add up to what is bought for the level.",
    "Board is heavy: lay piles flat, spread over the floor, and only as high as the building's engineer allows. Leave "
    "a way through.",
)


def _totals(level: DrawnLevel, details: Sequence[Detail]) -> str:
    walls = level.walls
    counts = (
        (len(walls), "wall"),
        (sum(len(wall.studs) for wall in walls), "stud"),
        (sum(len(wall.track) for wall in walls), "piece of track"),
        (sum(len(wall.sheets) for wall in walls), "piece of board"),
        (len(details), "detail"),
    )
    said = []
    for number, word in counts:
        first, _, rest = word.partition(" ")
        said.append(f"{number} {first if number == 1 else first + 's'}{' ' + rest if rest else ''}")
    return listed(said)


def _notice(filling: Filling, notice: Notice) -> None:
    source = f" ({notice.source})" if notice.source else ""
    mark = "" if notice.words[0].islower() else "."
    filling.text(f"{notice.subject}{mark} {notice.words}{source}", 8)


def _columns(filling: Filling, title: str, cells: Sequence[str], columns: int) -> None:
    """Short entries down several columns."""
    rows = -(-len(cells) // columns)
    table = Table(
        title,
        ("",) * columns,
        tuple(
            tuple(cells[column * rows + row] if column * rows + row < len(cells) else "" for column in range(columns))
            for row in range(rows)
        ),
    )
    if cells:
        filling.table(table)
