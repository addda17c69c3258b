"""Corrections of closed weeks: written as whole new statements, their difference paid in the open week.

The open week pays what is missing. If the corrected week comes to less than was paid, the statement says by how much,
and nothing is taken back: a deduction from wages is off unless a rule set allows it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from payroll.models import PayWeek
from payroll.selectors.late import PREFIX, Corrected, Late, corrections_priced
from payroll.selectors.pricing import LineDraft, Stopped
from payroll.services.statement_writing import Placed, Writer


@dataclass(frozen=True, slots=True)
class Written:
    """Corrected statements by person with their numbers, and who could still not be priced."""

    by_person: dict[int, list[tuple[int, Corrected]]]
    stopped: list[Stopped]
    pending: list[Late]


def corrections_write(writer: Writer, open_week: PayWeek, late: Iterable[Late]) -> Written:
    """Price late weeks again and write their corrected statements, to be paid in the open week."""
    written = Written({}, [], [])
    for pay_week, corrected, stopped in corrections_priced(late):
        placed = [Placed(one.draft, pay_week, open_week, one.before, one.difference, one.overpaid) for one in corrected]
        for one, number in zip(corrected, writer.write(placed, PREFIX), strict=True):
            written.by_person.setdefault(one.late.person, []).append((number, one))
        written.stopped.extend(stopped)
        written.pending.extend(Late(stop.person, pay_week) for stop in stopped)
    return written


def correction_line(number: int, one: Corrected) -> LineDraft:
    """The line of the open week's statement that pays a closed week's difference."""
    first = one.late.pay_week.first_day
    what = "corrected" if one.before else "late"
    return LineDraft(
        code="correction",
        text=f"Week of {first}, {what}: statement {number}",
        quantity=Decimal("1.0000"),
        unit="week",
        rate=one.difference.quantize(Decimal("0.000001")),
        amount=one.difference,
        because=[
            {
                "code": "correction",
                "rule": (
                    f"The week of {first} comes to {one.draft.gross} under its own rules; "
                    f"{one.draft.gross - one.difference} was paid before. The difference is paid now and "
                    f"enters neither this week's regular rate nor its floors."
                ),
                "cite": "",
                "checked": "",
                "working": f"{one.draft.gross} - {one.draft.gross - one.difference} = {one.difference}",
                "parameters": [],
            }
        ],
        pays_number=number,
    )


def correction_cautions(corrected: Iterable[tuple[int, Corrected]]) -> list[str]:
    """What a statement says about a week that came to less than was paid, and the rules that keep it from being taken
    back."""
    lower = [(number, one) for number, one in corrected if one.overpaid]
    said = [
        f"The week of {one.late.pay_week.first_day} was corrected (statement {number}) and comes to "
        f"{one.overpaid} less than was paid. Nothing is taken back here."
        for number, one in lower
    ]
    return [*said, *dict.fromkeys(rule for _, one in lower for rule in one.nothing_taken_back)]
