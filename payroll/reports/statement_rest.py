"""What stands below a statement's lines: hours, regular rate, floors, the year, notes, what the law asks for, seal."""

from __future__ import annotations

from functools import lru_cache

import segno

from payroll.reports.figures import FloorTested, StatementFigures
from payroll.reports.sheet import Sheet
from payroll.reports.wording import Words
from payroll.reports.wording.required import RequiredField, required_of

BESIDE = 220.0  # where the right-hand half of a pair of blocks begins
AMOUNT_W = 74.0
# An inch: modules of a 41 x 41 code are then 0.62 mm, which a phone reads from a photocopy.
CODE_SIZE = 72.0


def draw_rest(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    """Draw everything below the gross."""
    _hours_and_rate(sheet, figures, words)
    _floors(sheet, figures, words)
    _notes(sheet, figures, words)
    _asked_by_law(sheet, figures, words)
    _seal(sheet, figures, words)


def _title(sheet: Sheet, text: str, beside: str = "", keep: float = 30.0) -> None:
    sheet.room(keep + 20)
    sheet.down(14)
    sheet.text(0, text, 9.5, "bold")
    sheet.text(BESIDE, beside, 9.5, "bold")
    sheet.down(4)
    sheet.rule(0.4)


def _pair(sheet: Sheet, left: str, right: str, face: str = "regular") -> None:
    sheet.down(12)
    sheet.text(0, left, 8.5, face)
    sheet.text(BESIDE - 30, right, 8.5, face, "right")


def _hours_and_rate(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    """Hours by kind and the year on the left, the regular rate and its working beside them."""
    working = _working(figures, words)
    width = sheet.width - BESIDE
    lines = sum(len(sheet.wrap(sentence, width, 7.5)) for sentence in working)
    height = max(12.0 * (len(figures.hours_by_kind) + 3), 12 + 9.75 * lines)
    _title(sheet, words.label("hours"), words.label("regular_rate"), keep=height)
    top = sheet.y
    _regular_rate(sheet, figures, working, words)
    _year(sheet, figures, words)
    below, sheet.y = sheet.y, top
    _hours(sheet, figures, words)
    sheet.y = min(below, sheet.y)
    _days(sheet, figures, words)


def _hours(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    places = words.places
    for kind, hours in figures.hours_by_kind:
        _pair(sheet, words.kind(kind), places.hours(hours))
    sheet.down(3)
    sheet.rule(0.25, width=BESIDE - 30)
    _pair(sheet, words.label("hours_all"), places.hours(figures.hours_total), "bold")
    _pair(sheet, words.label("hours_overtime"), places.hours(figures.hours_overtime))
    if figures.hours_double:
        _pair(sheet, words.label("hours_double"), places.hours(figures.hours_double))


def _days(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    if figures.hours_by_day:
        days = (f"{words.places.weekday(day)} {words.places.hours(hours)}" for day, hours in figures.hours_by_day)
        sheet.down(3)
        sheet.paragraph(0, f"{words.label('hours_by_day')}:  {'    '.join(days)}", sheet.width, 7.5)


def _year(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    so_far = figures.year_to_date
    if so_far is None:
        return
    sheet.down(16)
    sheet.text(BESIDE, words.label("year_to_date"), 8.5, "bold")
    sheet.text(sheet.width, words.amount(so_far.gross), 8.5, "bold", "right")
    sheet.down(10)
    sheet.text(BESIDE, words.label("year_to_date_what", year=so_far.year), 7.5)
    sheet.text(sheet.width, f"{words.places.hours(so_far.hours)} h", 7.5, align="right")


def _working(figures: StatementFigures, words: Words) -> tuple[str, ...]:
    """How the regular rate was worked out, unless a line above says the very same."""
    said = {reason for line in figures.lines for reason in line.because}
    fresh = tuple(reason.sentence for reason in figures.regular_rate_working if reason not in said)
    return fresh or ((words.label("worked_out_above"),) if figures.regular_rate_working else ())


def _regular_rate(sheet: Sheet, figures: StatementFigures, working: tuple[str, ...], words: Words) -> None:
    sheet.down(12)
    if figures.regular_rate is None:
        sheet.text(BESIDE, words.label("no_regular_rate"), 8.5)
        return
    sheet.text(BESIDE, words.label("an_hour", rate=words.places.rate(figures.regular_rate)), 8.5, "bold")
    for sentence in working:
        sheet.paragraph(BESIDE, sentence, sheet.width - BESIDE)


def _floors(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    _title(sheet, words.label("floors"))
    if not figures.floors:
        sheet.down(12)
        sheet.text(0, words.label("no_floors"), 8.5)
        return
    edges = (sheet.width - 150, sheet.width - AMOUNT_W, sheet.width)
    sheet.down(10)
    for edge, key in zip(edges, ("floor_required", "floor_reached", "floor_top_up"), strict=True):
        sheet.text(edge, words.label(key), 7.5, align="right")
    for floor in figures.floors:
        _floor(sheet, floor, edges, words)


def _floor(sheet: Sheet, floor: FloorTested, edges: tuple[float, float, float], words: Words) -> None:
    money = words.places.money
    titles = sheet.wrap(floor.text, edges[0] - 60, 8.5)
    sheet.room(12 * len(titles) + 12)
    sheet.down(12)
    added = money(floor.top_up) if floor.top_up else words.label("floor_met")
    for edge, value in zip(edges, (money(floor.required), money(floor.reached), added), strict=True):
        sheet.text(edge, value, 8.5, align="right")
    for index, title in enumerate(titles):
        if index:
            sheet.down(10)
        sheet.text(0, title, 8.5)
    for reason in floor.because:
        sheet.paragraph(8, reason.sentence, sheet.width - 8)


def _notes(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    said = (*figures.notes, *figures.cautions)
    if not said:
        return
    _title(sheet, words.label("cautions"))
    for sentence in said:
        sheet.down(2)
        sheet.paragraph(0, sentence, sheet.width, 7.5)


def _asked_by_law(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    """What the law of the place asks for, with citations: what stands here, and what the employer's payroll adds."""
    required = required_of(figures.rules)
    if required is None:
        return
    said = (
        f"{words.label('asked_by_law')}.",
        *(
            words.label(key, fields=_named(fields, words))
            for key, fields in (("asked_here", required.here), ("asked_elsewhere", required.elsewhere))
            if fields
        ),
    )
    whole = " ".join(said)
    sheet.room(4 + 8.2 * len(sheet.wrap(whole, sheet.width, 6.8)))
    sheet.down(4)
    sheet.paragraph(0, whole, sheet.width, 6.8, lead=1.2)


def _named(fields: tuple[RequiredField, ...], words: Words) -> str:
    """Fields by citation: one law's name once, its places after it."""
    said, before = [], ""
    for one in fields:
        law, _, place = one.cite.rpartition(" ")
        cite = place if law == before else one.cite
        before = law
        said.append(f"{words.label(f'field.{one.field}')} ({cite})")
    return "; ".join(said)


@lru_cache(maxsize=256)
def code_of(address: str) -> tuple[bytes, ...]:
    """The QR code (ISO/IEC 18004) of an address: rows of modules, 1 for dark, without its quiet zone."""
    return tuple(bytes(row) for row in segno.make(address, error="m", micro=False, boost_error=False).matrix)


def _seal(sheet: Sheet, figures: StatementFigures, words: Words) -> None:
    """Who closed it, the hashes that chain it, and the code to check it by; kept together on one page."""
    closing = [words.label("advice"), *([words.label("translated")] if figures.language != "en" else [])]
    width = sheet.width - (CODE_SIZE + 26 if figures.check_address else 0)
    lines = sum(len(sheet.wrap(sentence, width, 7.5, "italic")) for sentence in closing)
    sheet.room(8 + max(CODE_SIZE + 6, 51 + 9.75 * lines))
    sheet.down(8)
    sheet.rule(0.4)
    top = sheet.y
    if figures.check_address:
        sheet.down(6 + CODE_SIZE)
        sheet.dots(code_of(figures.check_address), sheet.width - CODE_SIZE, CODE_SIZE)
        sheet.y = top
    if figures.closed_on:
        sheet.down(11)
        sheet.text(0, words.label("closed", who=figures.closed_by, on=words.day(figures.closed_on)), 7.5)
    sheet.down(10)
    sheet.text(0, words.label("statement_number", number=figures.number, rules=figures.rules_version), 7)
    for key, value in (
        ("hash_is", figures.digest),
        ("hash_before", figures.previous_digest or words.label("first_statement")),
    ):
        said = f"{words.label(key)}: {value}"
        sheet.down(9)
        sheet.text(0, said, sheet.fitting(said, width, 7, "regular"))
    if figures.check_address:
        said = f"{words.label('check_it')}: {figures.check_address}"
        sheet.down(9)
        sheet.text(0, said, sheet.fitting(said, width, 7, "regular"))
    sheet.down(3)
    for sentence in closing:
        sheet.paragraph(0, sentence, width, 7.5, "italic")
