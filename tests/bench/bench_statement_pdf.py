"""Drawing a one-page statement with its code, against the drawing library setting the same strings and nothing else."""

from __future__ import annotations

import hashlib
import io
from datetime import date, timedelta
from decimal import Decimal

from reportlab.pdfgen.canvas import Canvas

from payroll.reports.figures import FloorTested, PayLine, Reason, StatementFigures, WorkDone, YearToDate
from payroll.reports.statement_pdf import statement_pdf
from tests.bench.harness import Figure

MONDAY = date(2026, 11, 9)
STATEMENTS = 20
LANGUAGES = ("en", "es", "fr")
MOST_MS = 20


def figures() -> list[Figure]:
    """Time of a page over the library's own, and pages a second: 50 are 20 ms each."""
    prepared = [_statement(number) for number in range(STATEMENTS)]
    # Drawn once to know the strings and where they stand; the code's modules are no strings.
    strings = [_strings(one) for one in prepared]
    turn = [0]

    def ours() -> int:
        # Every statement has another hash, so another code: none is drawn from a cache.
        turn[0] += 1
        for number in range(STATEMENTS):
            statement_pdf(_statement(turn[0] * STATEMENTS + number))
        return STATEMENTS

    def bare() -> int:
        for one in strings:
            buffer = io.BytesIO()
            canvas = Canvas(buffer, invariant=1)
            for face, size, x, y, text in one:
                canvas.setFont(face, size)
                canvas.drawString(x, y, text)
            canvas.showPage()
            canvas.save()
        return len(strings)

    limit = f"the library setting the same {len(strings[0])} strings"
    return [
        Figure("draw a one-page statement with its code", "pages", ours, bare, limit, 5, "at most"),
        Figure(f"one page in {MOST_MS} ms", "pages", ours, None, "", 1000 / MOST_MS, "at least"),
    ]


def _statement(number: int) -> StatementFigures:
    """A statement of 24 entries over two operations and an overtime premium, in one of the three languages."""
    rule = Reason("overtime", "50 h - 40 h = 10 h; 10 h x 12.2726 = 122.73", _RULE, "29 CFR 778.111(a)", "from memory")
    lines = [_line(operation, number) for operation in ("hang board", "stand studs")]
    premium = PayLine("overtime", "overtime premium", Decimal(10), "h", Decimal("12.2726"), Decimal("122.73"), (rule,))
    digest = hashlib.sha256(str(number).encode()).hexdigest()
    return StatementFigures(
        organisation="Alder & Quill Interiors, LLC",
        organisation_address="18 Tanner's Reach, Wexcombe",
        person=f"Person {number}",
        person_number=str(number),
        worker_class="journeyman",
        first_day=MONDAY,
        last_day=MONDAY + timedelta(days=6),
        currency="USD",
        rules="us-federal",
        rules_version="us-federal 2",
        lines=(*lines, premium),
        hours_by_kind=(("piece", Decimal("47.5")), ("waiting", Decimal("2.5"))),
        hours_total=Decimal(50),
        hours_overtime=Decimal(10),
        hours_double=Decimal(0),
        regular_rate=Decimal("24.545123"),
        regular_rate_working=(rule,),
        floors=(FloorTested("minimum wage for the week", Decimal("362.50"), Decimal("1227.26"), Decimal(0), (rule,)),),
        gross=Decimal("1349.99"),
        digest=digest,
        previous_digest=digest[::-1],
        closed_by="Nora Example",
        closed_on=MONDAY + timedelta(days=8),
        cautions=(_RULE,),
        number=number,
        language=LANGUAGES[number % len(LANGUAGES)],
        hours_by_day=tuple((MONDAY + timedelta(days=day), Decimal(10)) for day in range(5)),
        year_to_date=YearToDate(2026, 40, Decimal("48211.07"), Decimal(1900), Decimal(212)),
        check_address=f"https://pay.alderquill.example/check/{digest}/",
    )


_RULE = (
    "Hours over the weekly limit have earned their straight pay already; what is owed on top is half the regular rate "
    "for each of them."
)


def _line(operation: str, number: int) -> PayLine:
    work = tuple(
        WorkDone(
            "Harrow Street Clinic",
            "Level 2",
            f"W-{wall:02d}",
            "left, layer 1",
            MONDAY + timedelta(days=wall % 5),
            Decimal(1000 + number + wall) / 37,
            Decimal(900 + wall) / 100,
        )
        for wall in range(12)
    )
    rule = Reason("piece-earnings", "426.1305 sq ft x 0.96 = 409.09", _RULE, "29 CFR 778.111(a)", "from memory")
    return PayLine("piece", operation, Decimal("426.1305"), "sq ft", Decimal("0.96"), Decimal("409.09"), (rule,), work)


def _strings(figures: StatementFigures) -> list[tuple[str, float, float, float, str]]:
    """Every string that a statement sets: typeface, size, place and text. Raises ValueError for a second page."""
    set_: list[tuple[str, float, float, float, str]] = []
    pages = []
    plain, right, end = Canvas.drawString, Canvas.drawRightString, Canvas.showPage

    def draw(canvas: Canvas, x: float, y: float, text: str, *args: object, **more: object) -> None:
        set_.append((canvas._fontname, canvas._fontsize, x, y, text))
        plain(canvas, x, y, text, *args, **more)

    def draw_right(canvas: Canvas, x: float, y: float, text: str, *args: object, **more: object) -> None:
        set_.append((canvas._fontname, canvas._fontsize, x - canvas.stringWidth(text), y, text))
        right(canvas, x, y, text, *args, **more)

    def show(canvas: Canvas) -> None:
        pages.append(1)
        end(canvas)

    Canvas.drawString, Canvas.drawRightString, Canvas.showPage = draw, draw_right, show
    try:
        statement_pdf(figures)
    finally:
        Canvas.drawString, Canvas.drawRightString, Canvas.showPage = plain, right, end
    if len(pages) != 1:
        raise ValueError(f"the statement of the bench has {len(pages)} pages, and one page is what is measured.")
    return set_
