"""The certified payroll on paper, in a layout of our own: a block for each person, then the statement to sign."""

from __future__ import annotations

from reportlab.pdfgen.canvas import Canvas

from payroll.law.certified import BLANK, CertifiedPayroll, CertifiedRow
from payroll.reports.certified_table import hours
from payroll.reports.numbers import agreed_rate, money, quantity, rate
from payroll.reports.sheet import FOOT, MARGIN, Faces, Sheet, faces_for
from payroll.selectors.certified import CertifiedSheet

ADVICE = (
    "This is not legal advice, and not a form of any agency: 29 CFR 5.5(a)(3)(ii) lets the payroll be in any form. "
    "Whoever signs reads the contract's clauses and the wage determination first."
)
DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def certified_pdf(sheet: CertifiedSheet, payroll: CertifiedPayroll) -> bytes:
    """Draw the payroll of a job's week. The same input gives the same bytes."""
    faces = faces_for(_all_text(sheet, payroll))
    name = f"{sheet.job}, {sheet.first_day} to {sheet.last_day}"
    paper = Sheet(
        title=f"Certified payroll: {name}",
        author=sheet.contractor,
        faces=faces,
        metric=False,
        foot=lambda canvas, page, pages: _foot(canvas, page, pages, name, faces),
    )
    _head(paper, sheet)
    for row in payroll.rows:
        _person(paper, row)
    _notes(paper, "For the office to complete", payroll.to_complete)
    _notes(paper, "Wage determinations used", sheet.citations)
    paper.room(190)
    paper.down(24)
    paper.text(0, "Statement of compliance", 11, "bold")
    for sentence in payroll.statement:
        paper.down(4)
        paper.paragraph(0, sentence, paper.width, 8.5)
    paper.down(6)
    rules = tuple(f"{reason.rule} ({reason.cite}; {reason.checked})" for reason in payroll.because)
    _notes(paper, "What the regulation asks for, in our words", (*rules, ADVICE))
    return paper.finish()


def _all_text(sheet: CertifiedSheet, payroll: CertifiedPayroll) -> str:
    rows = [text for row in payroll.rows for text in (row.name, row.identifying_number, row.worker_class)]
    texts = [sheet.contractor, sheet.contractor_address, sheet.job, sheet.job_address, *rows, *sheet.citations]
    return "".join([*texts, *payroll.statement, *payroll.to_complete])


def _foot(canvas: Canvas, page: int, pages: int, name: str, faces: Faces) -> None:
    right = canvas._pagesize[0] - MARGIN
    canvas.setLineWidth(0.4)
    canvas.line(MARGIN, FOOT - 14, right, FOOT - 14)
    canvas.setFont(faces.regular, 7)
    canvas.drawString(MARGIN, FOOT - 24, name)
    canvas.drawRightString(right, FOOT - 24, f"page {page} of {pages}")


def _head(paper: Sheet, sheet: CertifiedSheet) -> None:
    paper.rule(2.4)
    paper.down(22)
    paper.text(0, "Weekly certified payroll", 15, "bold")
    paper.text(paper.width, f"{sheet.first_day} to {sheet.last_day}", 10, "bold", "right")
    half = paper.width / 2
    for left, right in (
        (f"Contractor: {sheet.contractor}", f"Project: {sheet.job} ({sheet.job_code})"),
        (" ".join(sheet.contractor_address.split()), " ".join(sheet.job_address.split())),
        (f"Payroll number {BLANK}", f"Contract number {BLANK}"),
    ):
        paper.down(13)
        paper.text(0, left, 8.5)
        paper.text(half, right, 8.5)
    paper.down(8)


def _person(paper: Sheet, row: CertifiedRow) -> None:
    paper.room(128)
    paper.down(14)
    paper.rule(0.8)
    paper.down(12)
    paper.text(0, row.name, 10, "bold")
    paper.text(paper.width * 0.42, f"Identifying number {row.identifying_number}", 8.5)
    paper.text(paper.width, f"Class of work done: {row.worker_class}", 8.5, "bold", "right")
    edges = [paper.width * (0.30 + 0.083 * place) for place in range(7)]
    end = paper.width
    paper.down(13)
    for edge, day in zip(edges, row.days, strict=True):
        paper.text(edge, f"{DAY_NAMES[day.day.weekday()]} {day.day.day}", 7.5, "regular", "right")
    paper.text(end, "Week", 7.5, "regular", "right")
    paper.down(3)
    paper.rule(0.25)
    lines = [
        ("Hours here, straight", [day.straight for day in row.days]),
        ("Hours here, overtime", [day.overtime for day in row.days]),
        ("Hours here, double time", [day.double for day in row.days]),
        ("Hours on all work", list(row.days_in_all)),
    ]
    for name, figures in lines:
        if name.endswith("double time") and not any(figures):
            continue
        paper.down(10.5)
        paper.text(0, name, 8)
        for edge, figure in zip(edges, figures, strict=True):
            paper.text(edge, quantity(hours(figure)) if figure else "", 8, "regular", "right")
        paper.text(end, quantity(hours(sum(figures))), 8, "bold", "right")  # type: ignore[arg-type]
    paper.down(4)
    paper.rule(0.25)
    for left, right in _money(row):
        paper.down(11)
        paper.text(0, left, 8)
        paper.text(paper.width / 2, right, 8)


def _money(row: CertifiedRow) -> list[tuple[str, str]]:
    """Two columns: what the determination sets and what was paid."""
    return [
        (
            f"Determination, an hour: basic {agreed_rate(row.basic)}, fringe {agreed_rate(row.fringe)}",
            f"Paid an hour, straight: {rate(hours(row.paid_an_hour))}",
        ),
        (
            f"Fringe to plans, an hour: {agreed_rate(row.fringe_to_plan)}",
            f"Fringe in cash, this week: {money(row.fringe_in_cash)}",
        ),
        (f"Gross here: {money(row.earned_on_job)}", f"Gross on all work: {money(row.earned_in_all)}"),
        (f"Deductions, by kind: {BLANK}{BLANK}", f"Wages actually paid: {BLANK}"),
    ]


def _notes(paper: Sheet, title: str, sentences: tuple[str, ...]) -> None:
    if not sentences:
        return
    paper.room(40)
    paper.down(20)
    paper.text(0, title, 9.5, "bold")
    for sentence in sentences:
        paper.down(2)
        paper.paragraph(0, sentence, paper.width, 7.5)
