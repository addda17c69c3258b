"""Which of two pieces that meet on a stud goes up first: the one on the open half of the stud's flange.

Application standards for board on steel framing (GA-216, ASTM C840; from memory, the text was not read): the studs'
flanges point one way, and the leading edge of the board goes on the open edge of the flange first. The other edge then
lands on the half beside the web, which does not give way, and the two faces of the joint stay in one plane.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator, Sequence

from framing.board import FACES
from framing.length import Length
from framing.pieces import Sheet, Stud
from framing.precedence import Before

OPEN_EDGE = "its edge takes the open half of the stud first (GA-216)"


def open_edges(sheets: Sequence[tuple[int, Sheet]], studs: Sequence[Stud]) -> Iterator[Before]:
    """Rules for the upright joints of one wall's layers on the steel; `sheets` with their numbers in the level's list.

    A stud opens to one end of the wall, so the piece on that side of the joint goes first.
    """
    places = [stud.at for stud in studs]  # studs come in order along the wall
    ending: dict[tuple[str, Length], list[tuple[int, Sheet]]] = defaultdict(list)
    for number, sheet in sheets:
        if sheet.layer == 1 and sheet.face in FACES:
            ending[sheet.face, sheet.at + sheet.width].append((number, sheet))
    for number, sheet in sheets:
        if sheet.layer != 1 or sheet.face not in FACES:
            continue
        place = bisect_left(places, sheet.at)
        if place == len(places) or places[place] != sheet.at:
            continue
        for before, other in ending.get((sheet.face, sheet.at), ()):
            if other.bottom < sheet.bottom + sheet.height and sheet.bottom < other.bottom + other.height:
                if studs[place].opens == "from":
                    yield Before(before, number, OPEN_EDGE)
                else:
                    yield Before(number, before, OPEN_EDGE)
