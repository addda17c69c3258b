"""A statement on paper: what was done, what it earned, why, and the walls behind each line. `statement_rest` draws what
stands below the lines."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from reportlab.pdfgen.canvas import Canvas

from payroll.reports.figures import PayLine, Reason, StatementFigures, WorkDone
from payroll.reports.sheet import FOOT, MARGIN, Faces, Sheet, faces_for
from payroll.reports.statement_rest import draw_rest
from payroll.reports.wording import Words, words_of

# Right edges of the number columns, from the right margin leftwards; the unit hangs to the right of its quantity.
AMOUNT_W, RATE_W, UNIT_W = 74.0, 66.0, 44.0
COLUMNS = 3  # of walls behind a line


def statement_pdf(figures: StatementFigures) -> bytes:
    """Draw a statement in its language. The same figures give the same bytes."""
    words = words_of(figures.language, figures.currency)
    faces = faces_for("".join(_all_text(figures)))
    title = words.label("correction" if figures.corrects else "statement")
    sheet = Sheet(
        title=f"{title}: {figures.person}, {words.span(figures.first_day, figures.last_day)}",
        author=figures.organisation,
        language=figures.language,
        faces=faces,
        metric=figures.metric_paper,
        foot=lambda canvas, page, pages: _foot(canvas, page, pages, figures, words, faces),
    )
    _head(sheet, figures, words, title)
    _lines(sheet, figures, words)
    draw_rest(sheet, figures, words)
    return sheet.finish()


def _all_text(figures: StatementFigures) -> Iterator[str]:
    """Everything that people or sentences bring to the paper; labels and figures are in every typeface."""
    yield from (figures.organisation, figures.organisation_address, figures.person, figures.worker_class)
    yield from (figures.closed_by, figures.corrects, *figures.cautions, *figures.notes)
    yield from _reason_text(figures.regular_rate_working)
    for line in figures.lines:
        yield from (line.text, line.unit, *_reason_text(line.because))
        for work in line.work:
            yield from (work.job, work.level, work.mark, work.part)
    for floor in figures.floors:
        yield from (floor.text, *_reason_text(floor.because))


def _reason_text(reasons: tuple[Reason, ...]) -> Iterator[str]:
    for reason in reasons:
        yield from (reason.working, reason.rule, reason.cite)


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
    canvas.drawRightString(right, FOOT - 24, words.label("page", page=page, pages=pages))


def _head(sheet: Sheet, figures: StatementFigures, words: Words, title: str) -> None:
    sheet.rule(2.4, colour=figures.accent)
    sheet.down(22)
    sheet.text(sheet.width, title, 11, "regular", "right")
    size = sheet.fitting(figures.organisation, sheet.width - sheet.span(title, 11) - 14, 15, "bold")
    sheet.text(0, figures.organisation, size, "bold")
    sheet.down(12)
    sheet.text(0, figures.organisation_address.replace("\n", ", "), 8)
    sheet.down(20)
    top = sheet.y
    number_class = f"{words.label('number')} {figures.person_number}  \u00b7  {words.label('worker_class')}: "
    _field(sheet, 0, 172, words.label("paid_to"), figures.person, number_class + figures.worker_class)
    sheet.y = top
    span = words.span(figures.first_day, figures.last_day)
    rules = f"{words.label('rules')}: {figures.rules}, {figures.rules_version}"
    _field(sheet, 182, 210, words.label("week"), span, rules)
    sheet.y = top
    sheet.text(sheet.width, words.label("gross"), 7.5, "regular", "right")
    sheet.down(16)
    sheet.text(sheet.width, words.amount(figures.gross), 16, "bold", "right")
    sheet.y = top - 25
    if figures.corrects:
        sheet.down(6)
        sheet.paragraph(0, figures.corrects, sheet.width, 8.5, "bold")
    sheet.down(14)


def _field(sheet: Sheet, x: float, width: float, label: str, value: str, below: str) -> None:
    """A label, its value and a line below; long ones are set smaller, so that they stand whole."""
    sheet.text(x, label, 7.5)
    sheet.down(13)
    sheet.text(x, value, sheet.fitting(value, width, 10, "bold"), "bold")
    sheet.down(11)
    sheet.text(x, below, sheet.fitting(below, width, 7.5, "regular"))


def _line_heads(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    amount, rate, quantity = sheet.width, sheet.width - AMOUNT_W, sheet.width - AMOUNT_W - RATE_W - UNIT_W
    sheet.down(8)
    sheet.text(0, words.label("earned"), 7.5)
    sheet.text(quantity, words.label("quantity"), 7.5, align="right")
    sheet.text(rate, words.label("rate"), 7.5, align="right")
    sheet.text(amount, f"{words.label('amount')}, {figures.currency}", 7.5, align="right")
    sheet.down(4)
    sheet.rule(0.8)


def _lines(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    _line_heads(sheet, figures, words)
    sheet.again = lambda: _line_heads(sheet, figures, words)
    for line in figures.lines:
        _line(sheet, line, words)
    sheet.room(22)
    sheet.again = None
    sheet.rule(0.8)
    sheet.down(14)
    sheet.text(0, words.label("gross"), 10, "bold")
    sheet.text(sheet.width, words.amount(figures.gross), 10, "bold", "right")
    sheet.down(4)
    sheet.rule(0.8)
    sheet.down(4)


def _line(sheet: Sheet, line: PayLine, words: Words) -> None:
    places = words.places
    rate, quantity = sheet.width - AMOUNT_W, sheet.width - AMOUNT_W - RATE_W - UNIT_W
    text_width = quantity - 62
    titles = sheet.wrap(line.text, text_width, 9.5, "bold")
    # A line keeps its heading, its figures and the first line of its reason together.
    sheet.room(13 * len(titles) + 12)
    sheet.down(13)
    sheet.text(
        quantity,
        places.hours(line.quantity) if line.unit == "h" else places.quantity(line.quantity),
        9.5,
        align="right",
    )
    sheet.text(quantity + 4, line.unit, sheet.fitting(line.unit, UNIT_W - 6, 8, "regular"))
    sheet.text(rate, places.agreed_rate(line.rate) if line.work else places.rate(line.rate), 9.5, align="right")
    sheet.text(sheet.width, places.money(line.amount), 9.5, "bold", "right")
    for index, title in enumerate(titles):
        if index:
            sheet.down(11)
        sheet.text(0, title, 9.5, "bold")
    sheet.down(1)
    for reason in line.because:
        sheet.paragraph(8, reason.sentence, sheet.width - 8)
    if line.work:
        _walls(sheet, line.work, words)
    sheet.down(4)
    sheet.rule(0.25)


def _walls(sheet: Sheet, work: tuple[WorkDone, ...], words: Words) -> None:
    """The walls behind a line, three to a row: mark and part, quantity, cents."""
    sheet.down(2)
    column = (sheet.width - 8) / COLUMNS
    places, behind = words.places, words.label("walls_behind")
    for (job, level), group in groupby(work, key=lambda done: (done.job, done.level)):
        sheet.paragraph(8, f"{behind}: {job}, {level}", sheet.width - AMOUNT_W - 8, 7.5, "italic")
        parts = list(group)
        rows = (len(parts) + COLUMNS - 1) // COLUMNS
        for row in range(rows):
            sheet.room(9)
            sheet.down(9)
            for index, done in enumerate(parts[row::rows]):
                x = 8 + index * column
                label = f"{places.weekday(done.worked_on)} {place_words(done.mark, done.part)}".strip()
                sheet.text(x, label, sheet.fitting(label, column - 76, 7, "regular"))
                sheet.text(x + column - 44, places.quantity(done.quantity), 7, align="right")
                sheet.text(x + column - 14, places.money(done.amount), 7, align="right")


def place_words(mark: str, part: str) -> str:
    """A wall and its part; the mark once, where an opening bears it too: 'W-01 left, layer 1', 'W-01-D1'."""
    return part if mark and part.startswith(mark) else f"{mark} {part}"
