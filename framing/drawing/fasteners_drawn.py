"""Where screws and pins go in a detail: a screw wherever board lies against a stud, pins where the count puts them."""

from __future__ import annotations

import math

from framing.drawing.detail_paper import OnPaper
from framing.drawing.drawn import DrawnLevel
from framing.drawing.meeting_parts import Met, Part
from framing.drawing.places import Place, board_plan, cap_plan, pins_of, shared_pins, stud_box
from framing.drawing.shapes import LINE, Circle, Group, Path, Pen, Shape, Spot
from framing.length import TICKS_PER_INCH as INCH

_NEAR = INCH / 32  # board and stud this close lie against each other
_SCREW = Pen(0.5)


def board_screws(paper: OnPaper) -> list[Shape]:
    """One screw for each board that lies against a stud of its own or of the other wall, from the board's free side."""
    found = [_screw(paper.spot(head), paper.spot(tip)) for head, tip in screw_places(paper.met)]
    return [Group("screw", tuple(found), "screw through board")] if found else []


def screw_places(met: Met) -> list[tuple[Place, Place]]:
    """(head, tip) of every screw through board at a junction, in the plan."""
    boards = [
        board_plan(part.wall, face, layer, stretch) for part in met.parts for face, layer, stretch, _ in part.boards()
    ]
    boards += [cap_plan(part.wall, cap) for part in met.parts for cap in part.caps()]
    studs = [stud_box(part.wall, stud) for part in met.parts for stud in part.studs]
    return [screw for stud in studs for screw in screws_through(boards, stud)]


def screws_through(boards: list[tuple[Place, ...]], stud: tuple[Place, ...]) -> list[tuple[Place, Place]]:
    """(head, tip) of the screws that hold boards to a stud: each goes through one board into the side it lies against.

    Board over board (a second layer) is held through the first: its screw reaches as deep into the stud.
    """
    found = []
    for board in boards:
        for near, far in ((0, 1), (2, 3)):  # inner edge, outer edge; the other edge lies at 3 - near
            edge = (board[near], board[far])
            back = (board[3 - near], board[3 - far])
            contact = _contact(edge, stud)
            if contact is None:
                continue
            across = _unit(edge[0], back[0])
            thickness = math.dist(edge[0], back[0])
            head = (contact[0] + across[0] * thickness, contact[1] + across[1] * thickness)
            tip = (contact[0] - across[0] * INCH / 2, contact[1] - across[1] * INCH / 2)
            found.append((head, tip))
            found += _through_layers(boards, board, head, tip, across)
    return found


def _through_layers(
    boards: list[tuple[Place, ...]], under: tuple[Place, ...], head: Place, tip: Place, across: Place
) -> list[tuple[Place, Place]]:
    """Screws of the layers over a layer: a little aside of its own, through all of them into the stud."""
    found = []
    along = _unit(under[0], under[1])
    if math.dist(head, under[3]) > math.dist(head, under[2]):  # aside is away from the nearer end
        along = (-along[0], -along[1])
    for step in range(1, len(boards)):
        spot = (head[0] + along[0] * step * INCH / 2, head[1] + along[1] * step * INCH / 2)
        over = next((board for board in boards if board != under and _lies_on(board, spot)), None)
        if over is None:
            break
        thickness = math.dist(over[0], over[3])
        head = (head[0] + across[0] * thickness, head[1] + across[1] * thickness)
        aside = (along[0] * step * INCH / 2, along[1] * step * INCH / 2)
        found.append(((head[0] + aside[0], head[1] + aside[1]), (tip[0] + aside[0], tip[1] + aside[1])))
        under = over
    return found


def _lies_on(board: tuple[Place, ...], spot: Place) -> bool:
    """Whether a board's inner edge runs over a spot."""
    along, length = _unit(board[0], board[1]), math.dist(board[0], board[1])
    dx, dy = spot[0] - board[0][0], spot[1] - board[0][1]
    return abs(dx * along[1] - dy * along[0]) <= _NEAR and 0 <= dx * along[0] + dy * along[1] <= length


def _contact(edge: tuple[Place, Place], stud: tuple[Place, ...]) -> Place | None:
    """The middle of the stretch along which one side of a stud lies on an edge; None where it does not."""
    along = _unit(*edge)
    length = math.dist(*edge)
    for one, two in zip(stud, (*stud[1:], stud[0]), strict=True):
        places = [((x - edge[0][0]), (y - edge[0][1])) for x, y in (one, two)]
        aside = [abs(dx * along[1] - dy * along[0]) for dx, dy in places]
        if max(aside) > _NEAR:
            continue
        low, high = sorted(dx * along[0] + dy * along[1] for dx, dy in places)
        low, high = max(low, 0.0), min(high, length)
        if high - low > INCH / 4:
            middle = (low + high) / 2
            return edge[0][0] + along[0] * middle, edge[0][1] + along[1] * middle
    return None


def _unit(one: Place, two: Place) -> Place:
    size = math.dist(one, two)
    return (two[0] - one[0]) / size, (two[1] - one[1]) / size


def _screw(head: Spot, tip: Spot) -> Group:
    """A screw from above: a bar for its head, a line to its tip."""
    dx, dy = tip.x - head.x, tip.y - head.y
    size = math.hypot(dx, dy)
    across = Spot(-dy / size * 0.9, dx / size * 0.9)
    bar = (Spot(head.x - across.x, head.y - across.y), Spot(head.x + across.x, head.y + across.y))
    return Group("", (Path((head, tip), LINE), Path(bar, _SCREW)))


def track_screws(paper: OnPaper) -> list[Shape]:
    """A screw through each flange of the track into the stud's flange beside it."""
    found: list[Shape] = []
    for part in paper.met.parts:
        wall = part.wall
        for stud in part.studs:
            for side in (1, -1):
                outer = paper.spot(
                    wall.point(stud.at + wall.wall.type.stud.flange // 4, side * (wall.half + INCH // 8))
                )
                inner = paper.spot(
                    wall.point(stud.at + wall.wall.type.stud.flange // 4, side * (wall.half - INCH // 4))
                )
                found.append(Group("", (Path((outer, inner), Pen(0.5)), Circle(inner, 0.35, None, "black"))))
    return [Group("screw", tuple(found), "screw through track and stud")] if found else []


def pins(paper: OnPaper, level: DrawnLevel) -> list[Shape]:
    """Pins of the track pieces shown, in the counted number; a lap's pin goes through both tracks."""
    from_end = level.fastening.get("pin_from_end", 0)
    found: list[Shape] = []
    for part in paper.met.parts:
        for place in pin_places(part, from_end):
            spot = paper.spot(part.wall.point(place))
            found.append(Circle(spot, 1.0, Pen(0.25), "white"))
            for dx, dy in ((1.0, 0.0), (0.0, 1.0)):
                found.append(Path((Spot(spot.x - dx, spot.y - dy), Spot(spot.x + dx, spot.y + dy)), Pen(0.25)))
    return [Group("pin", tuple(found), "pin to the floor")] if found else []


def pin_places(part: Part, from_end: int) -> list[int]:
    """Places along the wall of the pins in the stretch shown that belong to its own pieces."""
    found = []
    for piece in part.wall.track:
        if piece.row == "bottom":
            found += [piece.at + at for at in pins_of(piece, from_end, shared_pins(piece))]
    return [at for at in found if part.low < at < part.high]
