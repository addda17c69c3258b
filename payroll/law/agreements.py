"""Agreements with a worker, and the terms they give a week. Without one the rule set's own rule holds.

How an agreement that holds on part of a week's worked days is read. Overtime is counted by the workweek, and each one
stands alone (29 CFR 778.103, 778.104), so what changes how a whole week is computed needs the whole week:

- An hourly guarantee holds for the hours and the earnings of its own days: it only ever adds to pay.
- Pieces that cover all hours (29 CFR 778.318(c)), and overtime on the piece rate, hold for a week only if they were
  agreed before the first day worked in it and until the last. Overtime on the piece rate rests on an agreement "before
  performance of the work" (29 USC 207(g)(1)), and the overtime hours of a week hang on all hours before them. Otherwise
  the rule set's own rule is used for that week, which pays no less.
- A group split says how a group's pieces are shared when they are logged; it changes no rule of pricing.

A term that a place does not know, or bars, is left out there, and the statement says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from payroll.law import week as w
from payroll.law.explain import rate as rate_said
from payroll.law.parameter_book import ParameterBook, ParameterMissing, the_book
from payroll.law.workweek import days_of

GUARANTEE, COVERS_ALL, PIECE_OVERTIME, GROUP_SPLIT = (
    "hourly guarantee",
    "pieces cover all hours",
    "overtime on the piece rate",
    "group split",
)
KINDS = (GUARANTEE, COVERS_ALL, PIECE_OVERTIME, GROUP_SPLIT)
# These may not reach back before they were signed; a guarantee may, as it only adds.
BEFORE_THE_WORK = (COVERS_ALL, PIECE_OVERTIME, GROUP_SPLIT)
# Where pieces may not pay for other time, and by which rule.
_NEVER_COVERS = {"us-california": "California Labor Code 226.2(a)(1)"}


@dataclass(frozen=True, slots=True)
class Agreement:
    """What was agreed with a person: from its first day to its last (None: until ended). `rate` and `hours` (productive
    or all) are a guarantee's. `key` is the caller's own."""

    kind: str
    signed_on: date
    starts_on: date
    ends_on: date | None = None
    rate: Decimal | None = None
    hours: str = "productive"
    key: int = 0

    def holds(self, day: date) -> bool:
        """Whether it holds on a day; but for a guarantee, not before it was signed."""
        first = max(self.starts_on, self.signed_on) if self.kind in BEFORE_THE_WORK else self.starts_on
        return first <= day and (self.ends_on is None or day <= self.ends_on)


@dataclass(frozen=True, slots=True)
class Agreed:
    """The terms of a week, what a statement must say about agreements that could not be used, and those that were."""

    terms: w.Terms
    cautions: tuple[str, ...]
    used: tuple[Agreement, ...]


def agreed(week: w.WorkerWeek, agreements: Sequence[Agreement], book: ParameterBook | None = None) -> Agreed:
    """What a person's agreements mean for a week under its rule set. `week.terms` is not looked at."""
    days = sorted({piece.date for piece in week.pieces} | {entry.date for entry in week.hours})
    if not days or not agreements:
        return Agreed(w.Terms(), (), ())
    book = book or the_book()
    cautions: list[str] = []
    guarantees = _guarantees(week, agreements, days, book, cautions)
    covers = _whole_week(COVERS_ALL, agreements, days, cautions)
    overtime = _whole_week(PIECE_OVERTIME, agreements, days, cautions)
    if cautions and PIECE_OVERTIME in cautions[-1]:
        before = book.rule("us-federal", "agreement-before-the-work")
        cautions.append(f"{before.text} ({before.cite}.)")
    if covers and (rule := _NEVER_COVERS.get(week.rules)):
        cautions.append(
            f"It was agreed that pieces cover all hours. Under {week.rules} other time and rests are paid apart from "
            f"pieces ({rule}), so they were."
        )
        covers = None
    used = [one for one, _ in guarantees] + [one for one in (covers, overtime) if one is not None]
    whole = len(guarantees) == 1 and len(guarantees[0][1]) == len(days)
    first = guarantees[0][0] if whole else None
    return Agreed(
        w.Terms(
            hourly_guarantee=first.rate if first else None,
            guarantee_hours=first.hours if first else "productive",
            pieces_cover_all_hours=covers is not None,
            overtime_on_piece_rate=overtime is not None,
            part_guarantees=()
            if whole
            else tuple(w.PartGuarantee(one.rate or Decimal(0), one.hours, held) for one, held in guarantees),
        ),
        tuple(cautions),
        tuple(used),
    )


def _guarantees(
    week: w.WorkerWeek, agreements: Sequence[Agreement], days: list[date], book: ParameterBook, cautions: list[str]
) -> list[tuple[Agreement, tuple[date, ...]]]:
    """Guarantees with the worked days on which they hold, each day under the highest one."""
    minimum = _highest_minimum(week, book)
    held: dict[Agreement, list[date]] = {}
    for day in days:
        best = max(
            (one for one in agreements if one.kind == GUARANTEE and one.rate is not None and one.holds(day)),
            key=lambda one: (one.rate or Decimal(0), one.key),
            default=None,
        )
        if best is not None:
            held.setdefault(best, []).append(day)
    found = []
    for one, its_days in held.items():
        if minimum is not None and (one.rate or Decimal(0)) < minimum:
            cautions.append(
                f"The guarantee of {one.rate} an hour agreed on {one.signed_on} is below the minimum wage of {minimum} "
                "an hour. The minimum wage was held instead; agree on at least that."
            )
        else:
            found.append((one, tuple(its_days)))
    return found


def _highest_minimum(week: w.WorkerWeek, book: ParameterBook) -> Decimal | None:
    try:
        rates = [book.at(week.rules, "minimum_wage", day, newer=day).value for day in days_of(week.week_start)]
    except ParameterMissing:
        return None  # the week is refused for that, by name
    local = [override.rate for override in week.local_minimums]
    return max(Decimal(rate_said(max(rates))), *local) if local else Decimal(rate_said(max(rates)))


def _whole_week(kind: str, agreements: Sequence[Agreement], days: list[date], cautions: list[str]) -> Agreement | None:
    """The agreement of a kind that a whole week's work stands under; it may have been renewed within the week."""
    of_kind = [one for one in agreements if one.kind == kind]
    held = [day for day in days if any(one.holds(day) for one in of_kind)]
    if not held:
        return None
    if len(held) == len(days):
        return max((one for one in of_kind if one.holds(days[-1])), key=lambda one: one.key)
    without = ", ".join(str(day) for day in days if day not in held)
    cautions.append(
        f'The agreement "{kind}" does not hold on {without}. A workweek is computed as one (29 CFR 778.104), so it was '
        "not used for this week; the usual rule was."
    )
    return None
