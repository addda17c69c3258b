"""What if: a proposed price list priced over past weeks, to see who gains, who loses, and where floors would bite.

Past weeks are priced twice under the same law of their own days: as they were, and with the proposed prices in place of
the old ones. Nothing else is changed: not the hours, not what was agreed. What people would do with other prices nobody
knows.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from payroll.law import week as w
from payroll.law.earnings import paid_by_job
from payroll.law.money import ZERO
from payroll.law.parameter_book import ParameterBook
from payroll.law.pricing import price


@dataclass(frozen=True, slots=True)
class ProposedPrice:
    """Money for one unit of an operation. With a `job` only there; with `instead_of` only where that was the rate.
    Where several fit, the one that names more wins, the job before the old rate."""

    operation: str
    unit: str
    rate: Decimal
    job: str = ""
    instead_of: Decimal | None = None


@dataclass(frozen=True, slots=True)
class FloorBite:
    """A floor of one person's week that tops pay up, now or with the proposed prices."""

    worker: str
    week_start: date
    code: str
    text: str
    now: Decimal
    proposed: Decimal


@dataclass(frozen=True, slots=True)
class Change:
    """One person over all weeks: gross pay now and with the proposed prices."""

    worker: str
    weeks: int
    hours: Fraction
    now: Decimal
    proposed: Decimal

    @property
    def difference(self) -> Decimal:
        return self.proposed - self.now


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Everybody's change, greatest loss first; floors that bite; prices that met no work; weeks left out and why."""

    changes: tuple[Change, ...]
    floors: tuple[FloorBite, ...]
    unused: tuple[ProposedPrice, ...]
    stopped: tuple[str, ...]

    @property
    def now(self) -> Decimal:
        return sum((change.now for change in self.changes), ZERO)

    @property
    def proposed(self) -> Decimal:
        return sum((change.proposed for change in self.changes), ZERO)

    @property
    def difference(self) -> Decimal:
        return self.proposed - self.now

    @property
    def gain(self) -> tuple[Change, ...]:
        return tuple(change for change in self.changes if change.difference > 0)

    @property
    def lose(self) -> tuple[Change, ...]:
        return tuple(change for change in self.changes if change.difference < 0)


@dataclass
class _Sums:
    changes: dict[str, Change] = field(default_factory=dict)
    floors: list[FloorBite] = field(default_factory=list)
    used: set[ProposedPrice] = field(default_factory=set)
    stopped: list[str] = field(default_factory=list)


def what_if(
    weeks: Iterable[w.WorkerWeek], prices: Sequence[ProposedPrice], book: ParameterBook | None = None
) -> WhatIf:
    """Price past weeks with a proposed price list.

    People are told apart by `worker_name`. A week that cannot be priced either way is left out and named in `stopped`,
    with the reason.
    """
    sums = _Sums()
    for week in weeks:
        changed = _with(week, prices, sums.used)
        try:
            _add(sums, week, price(week, book), price(changed, book))
        except w.WeekMistakes as refused:
            named = f"{week.worker_name}, week of {week.week_start}"
            sums.stopped.extend(f"{named}: left out. {sentence}" for sentence in refused.mistakes)
    changes = sorted(sums.changes.values(), key=lambda change: (change.difference, change.worker))
    unused = tuple(one for one in prices if one not in sums.used)
    return WhatIf(tuple(changes), tuple(sums.floors), unused, tuple(sums.stopped))


def _with(week: w.WorkerWeek, prices: Sequence[ProposedPrice], used: set[ProposedPrice]) -> w.WorkerWeek:
    """The week with the proposed prices. A prevailing job's part of the piece earnings follows them where it was all of
    that job's pieces."""
    pieces = []
    for piece in week.pieces:
        fitting = [one for one in prices if _fits(one, piece)]
        if not fitting:
            pieces.append(piece)
            continue
        chosen = max(fitting, key=lambda one: (bool(one.job), one.instead_of is not None))
        used.add(chosen)
        pieces.append(replace(piece, rate=chosen.rate))
    before, after = paid_by_job(week.pieces), paid_by_job(pieces)
    prevailing = tuple(
        replace(part, pieces=after[part.job]) if before.get(part.job) == part.pieces else part
        for part in week.prevailing
    )
    return replace(week, pieces=tuple(pieces), prevailing=prevailing)


def _fits(one: ProposedPrice, piece: w.PieceWork) -> bool:
    return (
        (one.operation, one.unit) == (piece.operation, piece.unit)
        and one.job in ("", piece.job)
        and one.instead_of in (None, piece.rate)
    )


def _add(sums: _Sums, week: w.WorkerWeek, now: w.PricedWeek, proposed: w.PricedWeek) -> None:
    name = week.worker_name
    before = sums.changes.get(name, Change(name, 0, Fraction(0), ZERO, ZERO))
    sums.changes[name] = Change(
        name,
        before.weeks + 1,
        before.hours + now.hours.total,
        before.now + now.gross,
        before.proposed + proposed.gross,
    )
    bites = {(floor.code, floor.text): floor.top_up for floor in now.floors}
    after = {(floor.code, floor.text): floor.top_up for floor in proposed.floors}
    for code, text in dict.fromkeys([*bites, *after]):
        then, there = bites.get((code, text), ZERO), after.get((code, text), ZERO)
        if then or there:
            sums.floors.append(FloorBite(name, week.week_start, code, text, then, there))
