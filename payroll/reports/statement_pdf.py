"""A statement on paper: what was done, what it earned, why, and the walls behind each line."""

from __future__ import annotations

from itertools import groupby

from reportlab.pdfgen.canvas import Canvas

from payroll.reports.figures import FloorTested, PayLine, StatementFigures, WorkDone
from payroll.reports.numbers import count, money, plain, with_symbol
from payroll.reports.sheet import FOOT, MARGIN, Faces, Sheet, faces_for
from payroll.reports.wording import ENGLISH, Words

# Right edges of the number columns, from the right margin leftwards; the unit hangs to the right of its quantity.
AMOUNT_W, RATE_W, UNIT_W = 74.0, 66.0, 44.0
BESIDE = 220.0  # where the right-hand half of a pair of blocks begins


def statement_pdf(figures: StatementFigures, words: Words = ENGLISH) -> bytes:
    """Draw a statement. The same figures and words give the same bytes."""
    faces = faces_for(_all_text(figures))
    title = words.correction if figures.corrects else words.statement
    sheet = Sheet(
        title=f"{title}: {figures.person}, {words.span(figures.first_day, figures.last_day)}",
        author=figures.organisation,
        faces=faces,
        metric=figures.metric_paper,
        foot=lambda canvas, page, pages: _foot(canvas, page, pages, figures, words, faces),
    )
    _head(sheet, figures, words, title)
    _lines(sheet, figures, words)
    _hours_and_rate(sheet, figures, words)
    _floors(sheet, figures, words)
    _notes(sheet, figures, words)
    _seal(sheet, figures, words)
    return sheet.finish()


def _all_text(figures: StatementFigures) -> str:
    parts = [
        figures.organisation,
        figures.organisation_address,
        figures.person,
        figures.worker_class,
        figures.closed_by,
    ]
    parts += [*figures.cautions, *figures.notes, *figures.regular_rate_working, figures.corrects]
    for line in figures.lines:
        parts += [line.text, line.unit, *line.because]
        parts += [f"{work.job}{work.level}{work.mark}{work.part}" for work in line.work]
    for floor in figures.floors:
        parts += [floor.text, *floor.because]
    return "".join(parts)


def _foot(canvas: Canvas, page: int, pages: int, figures: StatementFigures, words: Words, faces: Faces) -> None:
    right = canvas._pagesize[0] - MARGIN
    canvas.setLineWidth(0.4)
    canvas.line(MARGIN, FOOT - 14, right, FOOT - 14)
    canvas.setFont(faces.regular, 7)
    canvas.drawString(
        MARGIN,
        FOOT - 24,
        f"{figures.person}  \u00b7  {words.span(figures.first_day, figures.last_day)}  \u00b7  {figures.digest[:16]}",
    )
    canvas.drawRightString(right, FOOT - 24, words.page.format(page=page, pages=pages))


def _head(sheet: Sheet, figures: StatementFigures, words: Words, title: str) -> None:
    sheet.rule(2.4, colour=figures.accent)
    sheet.down(22)
    sheet.text(0, figures.organisation, 15, "bold")
    sheet.text(sheet.width, title, 11, "regular", "right")
    sheet.down(12)
    sheet.text(0, figures.organisation_address.replace("\n", ", "), 8)
    sheet.down(26)
    top = sheet.y
    _field(
        sheet,
        0,
        words.paid_to,
        figures.person,
        f"{words.number} {figures.person_number}  \u00b7  {words.worker_class}: {figures.worker_class}",
    )
    sheet.y = top
    _field(
        sheet,
        200,
        words.week,
        words.span(figures.first_day, figures.last_day),
        f"{words.rules}: {figures.rules}, {figures.rules_version}",
    )
    sheet.y = top
    sheet.text(sheet.width, words.gross, 7.5, "regular", "right")
    sheet.down(16)
    sheet.text(sheet.width, with_symbol(figures.gross, figures.currency), 16, "bold", "right")
    sheet.y = top - 25
    if figures.corrects:
        sheet.down(6)
        sheet.paragraph(0, figures.corrects, sheet.width, 8.5, "bold")
    sheet.down(20)


def _field(sheet: Sheet, x: float, label: str, value: str, below: str) -> None:
    sheet.text(x, label, 7.5)
    sheet.down(13)
    sheet.text(x, value, 10, "bold")
    sheet.down(11)
    sheet.text(x, below, 7.5)


def _line_heads(sheet: Sheet, words: Words) -> None:
    amount, rate, quantity = sheet.width, sheet.width - AMOUNT_W, sheet.width - AMOUNT_W - RATE_W - UNIT_W
    sheet.down(8)
    sheet.text(0, words.earned, 7.5)
    sheet.text(quantity, words.quantity, 7.5, align="right")
    sheet.text(rate, words.rate, 7.5, align="right")
    sheet.text(amount, words.amount, 7.5, align="right")
    sheet.down(4)
    sheet.rule(0.8)


def _lines(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    _line_heads(sheet, words)
    sheet.again = lambda: _line_heads(sheet, words)
    for line in figures.lines:
        _line(sheet, line, words)
    sheet.room(22)
    sheet.again = None
    sheet.rule(0.8)
    sheet.down(14)
    sheet.text(0, words.gross, 10, "bold")
    sheet.text(sheet.width, with_symbol(figures.gross, figures.currency), 10, "bold", "right")
    sheet.down(4)
    sheet.rule(0.8)
    sheet.down(10)


def _line(sheet: Sheet, line: PayLine, words: Words) -> None:
    rate, quantity = sheet.width - AMOUNT_W, sheet.width - AMOUNT_W - RATE_W - UNIT_W
    text_width = quantity - 62
    titles = sheet.wrap(line.text, text_width, 9.5, "bold")
    # A line keeps its heading, its figures and the first line of its reason together.
    sheet.room(13 * len(titles) + 12)
    sheet.down(13)
    sheet.text(quantity, plain(line.quantity), 9.5, align="right")
    sheet.text(quantity + 4, line.unit, 8)
    sheet.text(rate, plain(line.rate, most=6 if line.work else 4), 9.5, align="right")
    sheet.text(sheet.width, money(line.amount), 9.5, "bold", "right")
    for index, title in enumerate(titles):
        if index:
            sheet.down(11)
        sheet.text(0, title, 9.5, "bold")
    sheet.down(1)
    for reason in line.because:
        sheet.paragraph(8, reason, sheet.width - AMOUNT_W - 8)
    if line.work:
        _walls(sheet, line.work, words)
    sheet.down(5)
    sheet.rule(0.25)


def _walls(sheet: Sheet, work: tuple[WorkDone, ...], words: Words) -> None:
    """The walls behind a line, three to a row: mark and part, quantity, cents."""
    sheet.down(2)
    columns = 3
    column = (sheet.width - 8) / columns
    for (job, level), group in groupby(work, key=lambda done: (done.job, done.level)):
        sheet.paragraph(8, f"{words.walls_behind}: {job}, {level}", sheet.width - AMOUNT_W - 8, 7.5, "italic")
        parts = list(group)
        rows = (len(parts) + columns - 1) // columns
        for row in range(rows):
            sheet.room(9.5)
            sheet.down(9.5)
            for index, done in enumerate(parts[row::rows]):
                x = 8 + index * column
                label = f"{words.days[done.worked_on.weekday()]} {place_words(done.mark, done.part)}".strip()
                sheet.text(x, _clipped(sheet, label, column - 74), 7)
                sheet.text(x + column - 44, count(done.quantity), 7, align="right")
                sheet.text(x + column - 14, money(done.amount), 7, align="right")


def place_words(mark: str, part: str) -> str:
    """A wall and its part; the mark once, where an opening bears it too: 'W-01 left, layer 1', 'W-01-D1'."""
    return part if mark and part.startswith(mark) else f"{mark} {part}"


def _clipped(sheet: Sheet, text: str, width: float) -> str:
    while sheet.span(text, 7) > width and len(text) > 4:
        text = text[:-2].rstrip() + "."
    return text


def _title(sheet: Sheet, text: str, beside: str = "", keep: float = 30.0) -> None:
    sheet.room(keep + 20)
    sheet.down(16)
    sheet.text(0, text, 9.5, "bold")
    sheet.text(BESIDE, beside, 9.5, "bold")
    sheet.down(4)
    sheet.rule(0.4)


def _pair(sheet: Sheet, left: str, right: str, face: str = "regular") -> None:
    sheet.down(12)
    sheet.text(0, left, 8.5, face)
    sheet.text(BESIDE - 30, right, 8.5, face, "right")


def _hours_and_rate(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    """Hours by kind on the left, the regular rate and its working beside them."""
    working = _working(figures, words)
    width = sheet.width - BESIDE
    lines = sum(len(sheet.wrap(sentence, width, 7.5)) for sentence in working)
    height = max(12.0 * (len(figures.hours_by_kind) + 3), 12 + 9.75 * lines)
    _title(sheet, words.hours, words.regular_rate, keep=height)
    top = sheet.y
    _regular_rate(sheet, figures, working, words)
    below, sheet.y = sheet.y, top
    _hours(sheet, figures, words)
    sheet.y = min(below, sheet.y)


def _hours(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    for kind, hours in figures.hours_by_kind:
        _pair(sheet, words.kinds.get(kind, kind), plain(hours))
    sheet.down(3)
    sheet.rule(0.25, width=BESIDE - 30)
    _pair(sheet, words.hours_all, plain(figures.hours_total), "bold")
    _pair(sheet, words.hours_overtime, plain(figures.hours_overtime))
    if figures.hours_double:
        _pair(sheet, words.hours_double, plain(figures.hours_double))


def _working(figures: StatementFigures, words: Words) -> tuple[str, ...]:
    """How the regular rate was worked out, unless a line above says the very same."""
    said = {reason for line in figures.lines for reason in line.because}
    fresh = tuple(sentence for sentence in figures.regular_rate_working if sentence not in said)
    return fresh or ((words.worked_out_above,) if figures.regular_rate_working else ())


def _regular_rate(sheet: Sheet, figures: StatementFigures, working: tuple[str, ...], words: Words) -> None:
    sheet.down(12)
    if figures.regular_rate is None:
        sheet.text(BESIDE, words.no_regular_rate, 8.5)
        return
    sheet.text(BESIDE, f"{plain(figures.regular_rate)} {words.an_hour}", 8.5, "bold")
    for sentence in working:
        sheet.paragraph(BESIDE, sentence, sheet.width - BESIDE)


def _floors(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    _title(sheet, words.floors)
    if not figures.floors:
        sheet.down(12)
        sheet.text(0, words.no_floors, 8.5)
        return
    edges = (sheet.width - 150, sheet.width - AMOUNT_W, sheet.width)
    sheet.down(10)
    for edge, word in zip(edges, (words.floor_required, words.floor_reached, words.floor_top_up), strict=True):
        sheet.text(edge, word, 7.5, align="right")
    for floor in figures.floors:
        _floor(sheet, floor, edges, words)


def _floor(sheet: Sheet, floor: FloorTested, edges: tuple[float, float, float], words: Words) -> None:
    sheet.room(24)
    sheet.down(12)
    sheet.text(0, floor.text, 8.5)
    added = money(floor.top_up) if floor.top_up else words.floor_met
    for edge, value in zip(edges, (money(floor.required), money(floor.reached), added), strict=True):
        sheet.text(edge, value, 8.5, align="right")
    for reason in floor.because:
        sheet.paragraph(8, reason, edges[0] - 60)


def _notes(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    said = (*figures.notes, *figures.cautions)
    if not said:
        return
    _title(sheet, words.cautions)
    for sentence in said:
        sheet.down(2)
        sheet.paragraph(0, sentence, sheet.width, 8)


def _seal(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    sheet.room(64)
    sheet.down(14)
    sheet.rule(0.4)
    if figures.closed_on:
        sheet.down(11)
        sheet.text(0, words.closed.format(who=figures.closed_by, on=words.day(figures.closed_on)), 7.5)
    sheet.down(10)
    sheet.text(0, f"{words.hash_is}: {figures.digest}", 7)
    sheet.down(9)
    sheet.text(0, f"{words.hash_before}: {figures.previous_digest or words.first_statement}", 7)
    sheet.down(3)
    sheet.paragraph(0, words.advice, sheet.width, 7.5, "italic")
