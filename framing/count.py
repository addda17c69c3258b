"""The front door: a level's walls to pieces, each count with its reasons.

`count_level` is pure and exact; nothing is estimated. What is not computed is not in the result.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from framing.at_rest import collector_at_rest
from framing.board import FACES, Cap, board_top, caps, face_runs, high_area, net_area, opening_area
from framing.doors import opening_cautions
from framing.fasteners import SheetScrews, cap_screws, row_of_screws, stud_ends_fastened
from framing.finish import Neighbours, angles, beads, door_joints, flat_joints, opposite
from framing.hanging import Hanging, hanging_order
from framing.heights import height_cautions
from framing.joints import LAP, STEM, Junctions, RunIn
from framing.junctions import find_junctions
from framing.layout import JointPlaces, courses, joint_cautions, joint_places, joints, lay_sheets, pieces_over_openings
from framing.length import Length
from framing.pieces import PART_OF, Caution, Counts, FaceRun, Sheet, Stud, TrackPiece
from framing.plan import Level, Wall
from framing.practice import HIGHEST_FINISH, FramingPractice
from framing.reasons import Area, Number, Term
from framing.rooms import Rooms, rooms_of
from framing.runs import Frame, frame_of
from framing.sheetcut import StockSheet, cut_sheets, numbered_as_hung
from framing.studs import stock_for, studs
from framing.track import track_pieces


@dataclass(slots=True)
class FaceCount:
    """What one layer of one face, or of a free end's cap, takes. Run in ticks, net area in square ticks, exact."""

    face: str
    layer: int
    board: str
    run: Length
    height: Length
    net: Fraction | int
    sheets: int = 0
    board_screws: int = 0
    terms: list[Term] = field(default_factory=list)


@dataclass(slots=True)
class WallCount:
    """One wall's pieces and counts, and the terms behind them where explained. `beads`: each corner bead's length.
    `joints`: the vertical joints of each stretch of board."""

    frame: Frame
    track: list[TrackPiece]
    studs: list[Stud]
    stud_stock: Length
    sheets: list[Sheet]
    faces: list[FaceCount]
    counts: Counts
    is_explained: bool = False
    beads: list[Length] = field(default_factory=list)
    terms: list[Term] = field(default_factory=list)
    joints: list[tuple[FaceRun, Sequence[Length], JointPlaces]] = field(default_factory=list)

    @property
    def wall(self) -> Wall:
        return self.frame.wall


@dataclass(slots=True)
class LevelCount:
    """One level's walls, junctions, stock sheets, rooms and cautions; `counts` adds the walls up."""

    name: str
    walls: list[WallCount]
    joined: Junctions
    stock_sheets: list[StockSheet]
    hanging: Hanging
    cautions: list[Caution]
    counts: Counts
    rooms: Rooms


def count_level(level: Level, practice: FramingPractice, *, explain: bool = False) -> LevelCount:
    """Count every piece of a level in which `framing.checks.plan_mistakes` found nothing; `explain` keeps the terms.

    Returns pieces with lengths in ticks and areas in square ticks. Each step names its rule and source.
    """
    with collector_at_rest():
        return _count_level(level, practice, explain)


def _count_level(level: Level, practice: FramingPractice, explain: bool) -> LevelCount:
    joined = find_junctions(level, practice)
    frames = [frame_of(index, wall, joined) for index, wall in enumerate(level.walls)]
    near = Neighbours(frames, joined, practice)
    run_ins: dict[int, list[RunIn]] = defaultdict(list)
    for run_in in joined.run_ins:
        run_ins[run_in.wall].append(run_in)
    counted = [_count_wall(frame, level.walls, near, run_ins[frame.index], explain) for frame in frames]
    boards = {board.name: board for wall in level.walls for board in wall.type.left + wall.type.right}
    rooms = rooms_of(level.walls, joined)
    hanging = hanging_order(
        level.name,
        frames,
        [wall.sheets for wall in counted],
        rooms,
        [wall.studs for wall in counted],
        practice,
    )
    sheets = [sheet for wall in counted for sheet in wall.sheets]
    for sheet, step in zip(sheets, hanging.steps, strict=True):
        sheet.step = step
    stock = numbered_as_hung(sheets, cut_sheets(sheets, boards))
    for wall in counted:
        _count_stock(wall, stock)
    cautions = [
        *joined.cautions,
        *(found for frame in frames for found in opening_cautions(level.name, frame, level.walls, practice)),
        *(found for wall in counted for found in _joint_cautions(level.name, wall)),
        *height_cautions(level),
        *hanging.cautions,
    ]
    counts = Counts.total(wall.counts for wall in counted)
    return LevelCount(level.name, counted, joined, stock, hanging, cautions, counts, rooms)


def _count_wall(
    frame: Frame, walls: tuple[Wall, ...], near: Neighbours, run_ins: list[RunIn], explain: bool
) -> WallCount:
    practice = near.practice
    standing = studs(frame, practice, run_ins)
    count = WallCount(
        frame,
        track_pieces(frame, practice),
        standing,
        stock_for(standing, practice),
        [],
        [],
        Counts(),
    )
    count.is_explained = explain
    _count_steel(count, practice)
    _count_board(count, walls, near)
    for term in (*beads(frame, near), *angles(frame, near)):
        _take(count, term)
        if term.measure == "bead":
            count.beads.append(int(term.amount))
    for _, _, end in (frame.runs[0].ends()[0], frame.runs[-1].ends()[1]):
        if end.role == LAP:
            measure = "door_corners" if end.is_door_corner else "corners"
            _take(count, Term(measure, "corner", 1, (walls[end.other].mark, measure[:-1].replace("_", " "))))
    for opening in frame.openings:
        _take(count, Term("openings", "opening", 1, (opening.kind, opening.mark)))
    for extra in frame.wall.extras:
        _take(count, Term("extras", "extra", extra.count, (Number(extra.count), extra.kind)))
    return count


def _take(count: WallCount, term: Term) -> None:
    """Add one term to its measure and keep it as the reason."""
    counts = count.counts
    setattr(counts, term.measure, getattr(counts, term.measure) + term.amount)
    if term.measure in PART_OF:
        counts.tape += int(term.amount)
    if count.is_explained:
        count.terms.append(term)


def _count_steel(count: WallCount, practice: FramingPractice) -> None:
    bent = 0
    for piece in count.track:
        _take(count, Term("track", "track piece", piece.length, (piece.row, piece.at, piece.length)))
        if piece.pins:
            _take(count, Term("pins", "pins", piece.pins, (piece.row, piece.at, piece.length, Number(piece.pins))))
        if piece.row == "bottom" and practice.sealant_beads:
            beads_of = Number(practice.sealant_beads)
            _take(count, Term("sealant", "sealant", piece.length * beads_of, (piece.length, beads_of)))
        bent += piece.row in ("head", "sill")
    by_kind: dict[tuple[str, Length], int] = defaultdict(int)
    for stud in count.studs:
        by_kind[stud.role, stud.length] += 1
    for (role, length), number in by_kind.items():
        _take(count, Term("studs", "studs", number, (Number(number), role)))
        _take(count, Term("stud_length", "stud length", number * length, (Number(number), role, length)))
    each = practice.stud_end_screws
    for role, ends in stud_ends_fastened(count.frame, count.studs).items():
        _take(count, Term("framing_screws", "stud ends", ends * each, (role, Number(ends), Number(each))))
    if bent:
        screws = bent * practice.head_track_screws
        _take(count, Term("framing_screws", "bent ends", screws, (Number(bent), Number(practice.head_track_screws))))


def _count_board(count: WallCount, walls: tuple[Wall, ...], near: Neighbours) -> None:
    frame, practice = count.frame, near.practice
    kind = frame.wall.type
    places = joint_places(frame, count.studs, practice)
    screws = SheetScrews(frame, count.studs, practice)
    hung: dict[tuple[str, int], FaceCount] = {}
    cut_at: dict[tuple[str, int], frozenset[Length]] = {}
    for run in _hanging_order(frame, face_runs(frame, walls, near.joined, practice)):
        board = kind.layers(run.face)[run.layer - 1]
        avoid = cut_at.get((opposite(run.face), run.layer), frozenset()) | cut_at.get(
            (run.face, run.layer - 1), frozenset()
        )
        widest = board.width if board.lay == "standing" else max(board.lengths)
        cuts = joints(run.start, run.end, widest, places, avoid, from_end=frame.wall.layout_from == "to")
        count.joints.append((run, cuts, places))
        cut_at[run.face, run.layer] = cut_at.get((run.face, run.layer), frozenset()) | frozenset(cuts)
        sheets = lay_sheets(frame, run, board, cuts, practice)
        face = hung.get((run.face, run.layer))
        if face is None:
            face = hung[run.face, run.layer] = _face_count(frame, run, practice)
        _hang(count, face, run, sheets, screws, practice)
        if run.layer == len(kind.layers(run.face)):
            top = max(sheet.bottom + sheet.height for sheet in sheets) if sheets else practice.floor_gap
            rows = courses(board, practice.floor_gap, top)
            if level := near.level_of(frame, run.face):
                for term in (*flat_joints(frame, run, cuts, rows, level), *door_joints(frame, sheets, rows, level)):
                    _take(count, term)
    for cap in caps(frame, practice):
        hung[cap.face, cap.layer] = _hang_cap(count, cap, practice)
    _tie(count, walls, near)
    order = {"left": 0, "right": 1, "from end": 2, "to end": 3}
    count.faces = sorted(hung.values(), key=lambda face: (order[face.face], face.layer))
    for face in outermost(count.faces):
        if near.level_of(frame, face.face) == HIGHEST_FINISH:
            _take(count, Term("skim", "skim", face.net, (face.face, Area(face.net))))


def outermost(faces: Sequence[FaceCount]) -> list[FaceCount]:
    """The layers that are finished, of a wall's faces in order."""
    return list({face.face: face for face in faces}.values())


def _joint_cautions(level: str, wall: WallCount) -> Iterator[Caution]:
    for run, cuts, places in wall.joints:
        yield from joint_cautions(level, wall.frame, run, cuts, places)


def _hanging_order(frame: Frame, runs: list[FaceRun]) -> list[FaceRun]:
    """Layer by layer; of the two faces the one that starts and ends first, so that a mirrored wall is laid alike.

    First is as seen from the end of the layout, so that a wall drawn the other way is laid alike too.
    """
    is_turned = frame.wall.layout_from == "to"
    extent = {
        face: sorted(
            ((-run.end, -run.start) if is_turned else (run.start, run.end), run.layer, run.board)
            for run in runs
            if run.face == face
        )
        for face in FACES
    }
    first = min(FACES, key=lambda face: (extent[face], frame.wall.own_height(face) or frame.wall.highest))
    return sorted(runs, key=lambda run: (run.layer, run.face != first, run.start))


def _face_count(frame: Frame, run: FaceRun, practice: FramingPractice) -> FaceCount:
    own = frame.wall.own_height(run.face)
    top = min(frame.wall.highest, own if own is not None else frame.wall.highest) - frame.wall.type.head_gap
    return FaceCount(run.face, run.layer, run.board, 0, top - practice.floor_gap, 0)


def _hang(
    count: WallCount,
    face: FaceCount,
    run: FaceRun,
    sheets: list[Sheet],
    screws: SheetScrews,
    practice: FramingPractice,
) -> None:
    frame = count.frame
    net = net_area(frame, run, practice)
    cut_out = sum(opening_area(frame, run, opening, practice) for opening in frame.openings)
    rule = "net"
    tops: tuple[Length, ...] = (face.height + practice.floor_gap,)
    if not frame.wall.is_level_topped:
        rule, tops = "net raked", tuple(int(board_top(frame, run.face, at) // 1) for at in (run.start, run.end))
    figures = (run.face, Number(run.layer), run.end - run.start, practice.floor_gap, *tops)
    face.run += run.end - run.start
    face.net += net
    terms = [Term("board_net", rule, net, (*figures, Area(cut_out), Area(net)))]
    high = high_area(frame, run, practice)
    if high:
        figures_high = (f"{run.face} face", Number(run.layer), practice.high_board_from, Area(high))
        terms.append(Term("board_high", "high", high, figures_high))
    for sheet in sheets:
        into_studs, lines = screws.on_studs(sheet, run)
        into_tracks = screws.on_tracks(sheet)
        sheet.screws = into_studs + into_tracks
        where = (sheet.face, Number(sheet.layer), sheet.at)
        terms.append(Term("board_screws", "stud screws", into_studs, (*where, Number(into_studs), Number(lines))))
        terms.append(Term("board_screws", "track screws", into_tracks, (*where, Number(into_tracks))))
    over = pieces_over_openings(frame, sheets)
    if over:
        terms.append(Term("over_opening_pieces", "over opening", over, (Number(over),)))
    _keep(count, face, terms, sheets)


def _hang_cap(count: WallCount, cap: Cap, practice: FramingPractice) -> FaceCount:
    name, layer, longest = cap.board.name, cap.layer, max(cap.board.lengths)
    sheets = []
    for bottom in range(cap.bottom, cap.bottom + cap.height, longest):
        height = min(longest, cap.bottom + cap.height - bottom)
        screws = cap_screws(height, practice)
        sheets.append(Sheet(cap.face, layer, name, cap.at, bottom, cap.width, height, screws))
    area = cap.width * cap.height
    face = FaceCount(cap.face, layer, name, cap.width, cap.height, area)
    terms = [Term("board_net", "cap", area, (cap.face, Number(layer), cap.width, cap.height, Area(area)))]
    over = cap.bottom + cap.height - max(cap.bottom, practice.high_board_from)
    if over > 0:
        high = cap.width * over
        terms.append(Term("board_high", "high", high, (cap.face, Number(layer), practice.high_board_from, Area(high))))
    for sheet in sheets:
        figures = (cap.face, Number(layer), sheet.bottom, Number(sheet.screws))
        terms.append(Term("board_screws", "cap screws", sheet.screws, figures))
    _keep(count, face, terms, sheets)
    return face


def _keep(count: WallCount, face: FaceCount, terms: list[Term], sheets: list[Sheet]) -> None:
    for term in terms:
        _take(count, term)
    face.board_screws += sum(sheet.screws for sheet in sheets)
    if count.is_explained:
        face.terms += terms
    count.sheets += sheets


def _tie(count: WallCount, walls: tuple[Wall, ...], near: Neighbours) -> None:
    """Screws through the board in a slot into the loose stud beside it."""
    practice = near.practice
    for run in count.frame.runs:
        for _, _, end in run.ends():
            if end.role not in (LAP, STEM):
                continue
            through = walls[end.other]
            face = _slot_face(near, count.frame.index, end.other, end.role, end.inside)
            if not through.type.layers(face):
                continue
            height = int(through.face_height_at(face, end.other_at) // 1) - through.type.head_gap - practice.floor_gap
            number = row_of_screws(height, practice.loose_stud_screw, practice.screw_from_edge)
            figures = (Number(number), practice.loose_stud_screw, height)
            _take(count, Term("board_screws", "tie screws", number, figures))


def _slot_face(near: Neighbours, wall: int, through: int, role: str, inside: str) -> str:
    """The through wall's face whose board lies in the slot."""
    if role == STEM:
        return inside
    met = next(end for end in near.joined.ends[through] if end.other == wall and end.inside)
    return met.inside


def _count_stock(count: WallCount, stock: list[StockSheet]) -> None:
    """Stock sheets are counted at the wall, and the face, on which their first and largest piece hangs."""
    started: dict[tuple[str, int], int] = defaultdict(int)
    for sheet in count.sheets:
        if sheet.is_first_cut:
            bought = stock[sheet.stock - 1]
            area = bought.width * bought.length
            figures = (Number(bought.number), bought.width, bought.length)
            _take(count, Term("sheets", "sheet", 1, figures))
            _take(count, Term("board_bought", "bought", area, (*figures, Area(area))))
            started[sheet.face, sheet.layer] += 1
    for face in count.faces:
        face.sheets = started[face.face, face.layer]
