"""Hypothesis strategies for weeks that can be priced: any mixture of pieces, times, bonuses and terms."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

from hypothesis import strategies as st

from payroll.law import Bonus, PieceWork, Terms, TimeWorked, WorkerWeek
from payroll.law.week import OTHER_TIME
from tests.law.weeks import MONDAY

DAYS = st.integers(min_value=0, max_value=6).map(lambda number: MONDAY + timedelta(days=number))
QUANTITIES = st.integers(min_value=0, max_value=2_000_000).map(lambda number: Fraction(number, 1000))
RATES = st.sampled_from([Decimal(text) for text in ("0.035", "0.40", "1.1725", "6.50", "12")])
# Quarters and thirds of an hour. A day holds at most 12 h on pieces, 6 h of other time, 1 h and 4 h more: below 24.
PARTS = st.integers(min_value=0, max_value=24).map(lambda number: Fraction(number, 4)) | st.just(Fraction(11, 3))
FEW_HOURS = st.integers(min_value=0, max_value=16).map(lambda number: Fraction(number, 4))
RULE_SETS = ("us-federal", "us-california", "ca-ontario", "ca-alberta", "ca-british-columbia")
# The minimum wages of the tests' week, so that every agreed rate is one that may be agreed.
LEAST = {
    "us-federal": "7.25",
    "us-california": "16.90",
    "ca-ontario": "17.60",
    "ca-alberta": "15.00",
    "ca-british-columbia": "17.85",
}
OPERATIONS = st.sampled_from(["hang board", "stand studs", "corner bead"])


def piece_work() -> st.SearchStrategy[PieceWork]:
    return st.builds(
        PieceWork, DAYS, OPERATIONS, QUANTITIES, st.just("unit"), RATES, st.sampled_from(["", "Library", "Clinic"])
    )


def agreed_rates(rules: str) -> st.SearchStrategy[Decimal]:
    return st.sampled_from([Decimal(LEAST[rules]), Decimal("18.00"), Decimal("31.333")])


@st.composite
def time_worked(draw: st.DrawFn, rules: str, all_agreed: bool = False) -> tuple[TimeWorked, ...]:
    """Piece time and other time on any day, some of it without an agreed rate."""
    rates = agreed_rates(rules) if all_agreed else st.none() | agreed_rates(rules)
    entries = []
    for number in range(7):
        day = MONDAY + timedelta(days=number)
        if draw(st.booleans()):
            entries.append(TimeWorked(day, "piece", draw(PARTS) * 2))
        if draw(st.booleans()):
            entries.append(TimeWorked(day, draw(st.sampled_from(OTHER_TIME)), draw(PARTS), draw(rates)))
    # One hour of piece time, so that time without an agreed rate has a rate to earn.
    entries.append(TimeWorked(MONDAY, "piece", Fraction(1)))
    return tuple(entries)


def bonuses() -> st.SearchStrategy[tuple[Bonus, ...]]:
    amounts = st.integers(min_value=1, max_value=20000).map(lambda number: Decimal(number).scaleb(-2))
    one = st.builds(Bonus, DAYS, amounts, st.sampled_from(["production", "flat", "discretionary"]), st.just("agreed"))
    return st.lists(one, max_size=2).map(tuple)


def terms(rules: str, by_agreement: bool = True) -> st.SearchStrategy[Terms]:
    return st.builds(
        Terms,
        hourly_guarantee=st.none() | st.sampled_from([Decimal("18.00"), Decimal("24.50")]),
        guarantee_hours=st.sampled_from(["productive", "all"]),
        pieces_cover_all_hours=st.just(False) if rules == "us-california" else st.booleans(),
        overtime_on_piece_rate=st.booleans() if by_agreement else st.just(False),
    )


@st.composite
def worker_weeks(
    draw: st.DrawFn, rules: str | None = None, all_agreed: bool = False, by_agreement: bool = True
) -> WorkerWeek:
    """A week with everything in it, under any rule set; `all_agreed` gives all other time an agreed rate."""
    chosen = rules or draw(st.sampled_from(RULE_SETS))
    return WorkerWeek(
        rules=chosen,
        week_start=MONDAY,
        worker_name="A. Example",
        worker_class="journeyman",
        pieces=tuple(draw(st.lists(piece_work(), max_size=5))),
        hours=draw(time_worked(chosen, all_agreed)),
        bonuses=draw(bonuses()),
        terms=draw(terms(chosen, by_agreement)),
    )
