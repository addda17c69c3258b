"""Reader of the week file, format 1: one worker's workweek typed by hand. It finds every mistake at once.

    {"format": "piecewall week 1", "rules": "us-federal", "week_start": "2026-03-02",
     "worker": {"name": "A. Example", "class": "journeyman"},
     "pieces": [{"date": "2026-03-02", "operation": "hang board", "quantity": "1228", "unit": "sq ft", "rate": "0.40"}],
     "hours": [{"date": "2026-03-02", "kind": "piece", "hours": "9"},
               {"date": "2026-03-03", "kind": "waiting", "hours": "1:30", "rate": "8.00"}]}

Numbers are decimals, in quotes or not; hours are decimals or h:mm. Beside these keys:

- pieces: `job`; `hours` spent and `first_hour` (hours worked that day before them), where a rule needs to know. Pieces
  of the same hours were made at the same time, which counts once.
- hours: `kind` piece, waiting, travel, meeting, rework, rest or meal; `rate` agreed for that time; `job`.
- `bonuses`: date, amount, kind (production, flat, discretionary), why.
- `terms`: hourly_guarantee, guarantee_hours (productive, all), pieces_cover_all_hours, overtime_on_piece_rate;
  part_guarantees (rate, hours, from, to) instead, where a guarantee holds on some days of the week only.
- `prevailing`: job, class, basic, fringe, hours, pieces (the part of the week's on that job), and where they apply
  fringe_to_plan (an hour) and overtime_hours.
- `minimum_wage`: rate and why, for a higher one of the place; `local_minimums` (rate, why, day) where it holds on some
  days only. `time_zone`: an IANA name, for a day of 23 or 25 hours.
- `deductions`: date, amount, why; each rule set refuses them with its citation.
- `missed_breaks`: date, kind (meal, rest), why: a meal period or rests that were not provided that day, where the rule
  set pays an hour for it (us-california); the others say what to enter instead.
- `week_before`: hours, overtime, double, wages and premiums on the statement of the workweek before it in the same pay
  period, where the rule set reckons overtime over both (ca-british-columbia): `wages` are those of the regular rate,
  `premiums` what was paid on top for overtime and double hours.
- `readings`: names of contested readings of the law that the office has chosen, such as "half-average-earnings" under
  ca-alberta; `python manage.py parameters` lists them.
"""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from payroll.law import week as w
from payroll.law.fields import JsonMistake, Notes, Table, parse_json, shown
from payroll.law.pricing import mistakes_of
from payroll.law.workweek import DAYS

FORMAT = "piecewall week 1"
_WEEK = (
    "format",
    "rules",
    "week_start",
    "worker",
    "pieces",
    "hours",
    "bonuses",
    "terms",
    "prevailing",
    "minimum_wage",
    "deductions",
    "time_zone",
    "readings",
    "missed_breaks",
    "local_minimums",
    "week_before",
)
_PIECE = ("date", "operation", "quantity", "unit", "rate", "job", "hours", "first_hour")
_TIME = ("date", "kind", "hours", "rate", "job")
_BONUS = ("date", "amount", "kind", "why")
_DEDUCTION = ("date", "amount", "why")
_MISSED = ("date", "kind", "why")
_TERMS = (
    "hourly_guarantee",
    "guarantee_hours",
    "pieces_cover_all_hours",
    "overtime_on_piece_rate",
    "part_guarantees",
)
_PART = ("rate", "hours", "from", "to")
_LOCAL = ("rate", "why", "day")
_BEFORE = ("hours", "overtime", "double", "wages", "premiums")
_PREVAILING = ("job", "class", "basic", "fringe", "hours", "pieces", "fringe_to_plan", "overtime_hours")


def read_week(source: Path | str | bytes) -> w.WorkerWeek:
    """Read a week from a file's path, or from its content as text or bytes.

    Raises WeekMistakes with one sentence for each mistake; OSError if the file cannot be opened.
    """
    raw = source.read_bytes() if isinstance(source, Path) else source
    try:
        content = parse_json(raw.decode("utf-8-sig") if isinstance(raw, bytes) else raw)
    except UnicodeDecodeError as bad:
        raise w.WeekMistakes([f"byte {bad.start + 1} is not UTF-8 text. Save the file as UTF-8."]) from None
    except JsonMistake as bad:
        raise w.WeekMistakes([str(bad)]) from None
    notes = Notes()
    if not isinstance(content, dict):
        raise w.WeekMistakes([f"the file is {shown(content)}, not a table. Write it as {{...}}."])
    top = Table(content, "", notes, _WEEK)
    written = top.text("format")
    if written and written != FORMAT:
        notes.sentences.append(f"format: {written!r} is not {FORMAT!r}. Only that format can be read.")
    week = _week(top)
    if notes.sentences:
        raise w.WeekMistakes([*notes.sentences, *_also(week, notes.unread)])
    return week


def _also(week: w.WorkerWeek, unread: set[str]) -> list[str]:
    """What is wrong besides what could not be read, so that one run shows it all."""
    if week.week_start == date.min:
        return []
    found = mistakes_of(week)
    return [one for one in found if one.partition(" (")[0] not in unread and str(date.min) not in one]


def _week(top: Table) -> w.WorkerWeek:
    worker = Table(top.content.get("worker", {}), "worker", top.notes, ("name", "class"))
    return w.WorkerWeek(
        rules=top.text("rules"),
        week_start=top.day("week_start"),
        worker_name=worker.text("name"),
        worker_class=worker.text("class", ""),
        pieces=tuple(_piece(row) for row in top.rows("pieces", _PIECE, required=True)),
        hours=tuple(_time(row) for row in top.rows("hours", _TIME, required=True)),
        bonuses=tuple(
            w.Bonus(row.day("date"), row.decimal("amount", "50.00"), row.text("kind"), row.text("why", ""))
            for row in top.rows("bonuses", _BONUS)
        ),
        terms=_terms(top),
        prevailing=tuple(_prevailing(row) for row in top.rows("prevailing", _PREVAILING)),
        minimum_wage=_override(top),
        deductions=tuple(
            w.Deduction(row.day("date"), row.decimal("amount", "50.00"), row.text("why"))
            for row in top.rows("deductions", _DEDUCTION)
        ),
        time_zone=top.text("time_zone", ""),
        readings=top.words("readings"),
        missed_breaks=tuple(
            w.MissedBreak(row.day("date"), row.text("kind"), row.text("why", ""))
            for row in top.rows("missed_breaks", _MISSED)
        ),
        local_minimums=tuple(
            w.Override(row.decimal("rate", "15.00"), row.text("why", ""), row.day("day"))
            for row in top.rows("local_minimums", _LOCAL)
        ),
        week_before=_before(top),
    )


def _piece(row: Table) -> w.PieceWork:
    return w.PieceWork(
        date=row.day("date"),
        operation=row.text("operation"),
        quantity=Fraction(row.decimal("quantity", "100")),
        unit=row.text("unit"),
        rate=row.decimal("rate", "0.40"),
        job=row.text("job", ""),
        hours=row.hours("hours") if row.has("hours") else None,
        first_hour=row.hours("first_hour") if row.has("first_hour") else None,
    )


def _time(row: Table) -> w.TimeWorked:
    return w.TimeWorked(
        date=row.day("date"),
        kind=row.text("kind"),
        hours=row.hours("hours"),
        rate=row.decimal("rate", "20.00") if row.has("rate") else None,
        job=row.text("job", ""),
    )


def _terms(top: Table) -> w.Terms:
    row = Table(top.content.get("terms") or {}, "terms", top.notes, _TERMS)
    return w.Terms(
        hourly_guarantee=row.decimal("hourly_guarantee", "20.00") if row.has("hourly_guarantee") else None,
        guarantee_hours=row.text("guarantee_hours", "productive"),
        pieces_cover_all_hours=row.flag("pieces_cover_all_hours"),
        overtime_on_piece_rate=row.flag("overtime_on_piece_rate"),
        part_guarantees=tuple(_part(one) for one in row.rows("part_guarantees", _PART)),
    )


def _part(row: Table) -> w.PartGuarantee:
    first, last = row.day("from"), row.day("to")
    days = tuple(first + timedelta(days=number) for number in range(min((last - first).days, DAYS) + 1))
    return w.PartGuarantee(row.decimal("rate", "20.00"), row.text("hours", "productive"), days)


def _prevailing(row: Table) -> w.PrevailingWork:
    return w.PrevailingWork(
        job=row.text("job"),
        worker_class=row.text("class", ""),
        basic=row.decimal("basic", "30.00"),
        fringe=row.decimal("fringe", "5.00"),
        hours=row.hours("hours"),
        pieces=row.decimal("pieces", "1000.00"),
        fringe_to_plan=row.decimal("fringe_to_plan", "0") if row.has("fringe_to_plan") else Decimal("0"),
        overtime_hours=row.hours("overtime_hours") if row.has("overtime_hours") else Fraction(0),
    )


def _before(top: Table) -> w.WeekBefore | None:
    if not top.has("week_before"):
        return None
    row = Table(top.content["week_before"], "week_before", top.notes, _BEFORE)
    return w.WeekBefore(
        hours=row.hours("hours"),
        overtime=row.hours("overtime") if row.has("overtime") else Fraction(0),
        double=row.hours("double") if row.has("double") else Fraction(0),
        wages=Fraction(row.decimal("wages", "1200.00")),
        premiums=row.decimal("premiums", "100.00") if row.has("premiums") else Decimal("0"),
    )


def _override(top: Table) -> w.Override | None:
    if not top.has("minimum_wage"):
        return None
    row = Table(top.content["minimum_wage"], "minimum_wage", top.notes, ("rate", "why"))
    return w.Override(row.decimal("rate", "15.00"), row.text("why", ""))
