"""What was agreed with a worker becomes the terms of a week by the days on which it holds; else the usual rule does."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from payroll.law import (
    NAMED,
    Agreement,
    Override,
    PartGuarantee,
    PieceWork,
    Terms,
    TimeWorked,
    WeekMistakes,
    WorkerWeek,
    agreed,
    price,
)
from payroll.law.agreements import COVERS_ALL, GROUP_SPLIT, GUARANTEE, PIECE_OVERTIME
from tests.law.weeks import MONDAY, amounts

BEFORE = MONDAY - timedelta(days=60)
WEDNESDAY = MONDAY + timedelta(days=2)


def day(number: int) -> date:
    return MONDAY + timedelta(days=number)


def worked(*days: tuple[str, str], rules: str = "us-federal", **more: Any) -> WorkerWeek:
    """Days in order, each with piece hours and the pieces they made, one dollar each."""
    return WorkerWeek(
        rules=rules,
        week_start=MONDAY,
        worker_name="A. Example",
        worker_class="journeyman",
        pieces=tuple(
            PieceWork(day(nth), "hang board", Fraction(made), "piece", Decimal("1"))
            for nth, (_, made) in enumerate(days)
            if made != "0"
        ),
        hours=tuple(TimeWorked(day(nth), "piece", Fraction(hours)) for nth, (hours, _) in enumerate(days)),
        **more,
    )


def guarantee(rate: str, starts: date = BEFORE, hours: str = "productive", **more: Any) -> Agreement:
    return Agreement(GUARANTEE, BEFORE, starts, rate=Decimal(rate), hours=hours, **more)


def under(week: WorkerWeek, *agreements: Agreement) -> WorkerWeek:
    return replace(week, terms=agreed(week, agreements).terms)


FAST_THEN_SLOW = (("8", "200"), ("8", "200"), ("8", "100"), ("8", "100"), ("8", "100"))


def test_without_an_agreement_the_usual_rule_holds() -> None:
    week = worked(*FAST_THEN_SLOW)
    assert agreed(week, []).terms == Terms()
    assert price(week).gross == Decimal("700.00")


def test_a_guarantee_of_the_whole_week_looks_at_the_whole_week() -> None:
    # 29 CFR 778.111(b), read in a secondary source; derived: 40 x 20.00 = 800.00 against 700.00 of pieces.
    assert price(under(worked(*FAST_THEN_SLOW), guarantee("20.00"))).gross == Decimal("800.00")


def test_a_guarantee_that_begins_in_the_week_looks_at_its_own_days() -> None:
    # Derived from the agreement: from Wednesday on 24 h x 20.00 = 480.00 against the 300.00 made in them. What was made
    # before it began is not set off against it.
    priced = price(under(worked(*FAST_THEN_SLOW), guarantee("20.00", WEDNESDAY)))
    assert amounts(priced) == {"piece": Decimal("700.00"), "guarantee": Decimal("180.00")}
    (floor,) = [floor for floor in priced.floors if floor.code == "guarantee"]
    assert floor.text == "hourly guarantee on productive hours of 2026-03-04 to 2026-03-06"


def test_its_top_up_joins_the_regular_rate_of_the_workweek() -> None:
    # 29 CFR 778.104 and 778.111: the workweek is one. Derived: 450 + 270 + (27 x 20.00 - 270) = 990.00 over 45 h is
    # 22.00; 5 h x 11.00 on top.
    nine = (("9", "225"), ("9", "225"), ("9", "90"), ("9", "90"), ("9", "90"))
    priced = price(under(worked(*nine), guarantee("20.00", WEDNESDAY)))
    assert priced.regular_rate == 22
    assert priced.gross == Decimal("1045.00")


def test_one_guarantee_can_follow_another_within_the_week() -> None:
    # Derived: Monday and Tuesday 16 x 26.00 = 416.00 against 400.00, then 24 x 20.00 = 480.00 against 300.00.
    first = guarantee("26.00", ends_on=WEDNESDAY - timedelta(days=1))
    priced = price(under(worked(*FAST_THEN_SLOW), first, guarantee("20.00", WEDNESDAY)))
    assert amounts(priced)["guarantee"] == Decimal("196.00")


@pytest.mark.parametrize(
    ("hours", "waiting", "added"),
    # Monday 8 h made 200, Wednesday 8 h made 100 and 2 h of waiting without an agreed rate. Derived: on productive
    # hours 160 - 100 = 60.00 is added, and waiting earns (300 + 60) / 16 = 22.50 an hour (29 CFR 778.318(b)); on all
    # hours waiting earns 300 / 16 = 18.75, and 10 x 20.00 - 100 - 37.50 = 62.50 is added.
    [("productive", "45.00", "60.00"), ("all", "37.50", "62.50")],
)
def test_other_time_of_its_days_counts_as_it_is_paid(hours: str, waiting: str, added: str) -> None:
    week = worked(("8", "200"), ("0", "0"), ("8", "100"))
    week = replace(week, hours=(*week.hours, TimeWorked(WEDNESDAY, "waiting", Fraction(2))))
    assert amounts(price(under(week, guarantee("20.00", WEDNESDAY, hours)))) == {
        "piece": Decimal("300.00"),
        "waiting": Decimal(waiting),
        "guarantee": Decimal(added),
    }


@pytest.mark.parametrize("rules", NAMED)
def test_a_guarantee_from_a_day_on_never_pays_less_than_none(rules: str) -> None:
    # Derived: it only adds. Every rule set, every day of the week on which it may begin.
    week = worked(*FAST_THEN_SLOW, rules=rules)
    before = price(week).gross
    for nth in range(5):
        assert price(under(week, guarantee("21.00", day(nth)))).gross >= before


def test_a_guarantee_below_the_minimum_wage_gives_way_to_it_and_stops_nobody() -> None:
    # 29 USC 206(a)(1)(C): 7.25 an hour.
    week = worked(("8", "20"))
    settled = agreed(week, [guarantee("6.00")])
    assert settled.terms == Terms()
    assert "6.00 an hour agreed on 2026-01-01 is below the minimum wage of 7.25" in settled.cautions[0]
    assert price(replace(week, terms=settled.terms)).gross == Decimal("58.00")


def test_pieces_cover_all_hours_only_if_agreed_for_the_whole_week() -> None:
    # 29 CFR 778.318(c), from memory: E 491, 46 + 4 h; 9.82 and 49.10 on top with it, 587.07 in all without. Derived.
    week = WorkerWeek(
        "us-federal",
        MONDAY,
        "A. Example",
        "journeyman",
        (PieceWork(MONDAY, "hang board", Fraction(491), "piece", Decimal("1")),),
        (
            *(TimeWorked(day(nth), "piece", Fraction(10)) for nth in range(4)),
            TimeWorked(day(4), "piece", Fraction(6)),
            TimeWorked(day(4), "waiting", Fraction(4)),
        ),
    )
    covering = Agreement(COVERS_ALL, BEFORE, BEFORE)
    assert price(under(week, covering)).gross == Decimal("540.10")
    assert price(under(week)).gross == Decimal("587.07")
    late = agreed(week, [Agreement(COVERS_ALL, BEFORE, WEDNESDAY)])
    assert late.terms == Terms()
    assert "does not hold on 2026-03-02, 2026-03-03" in late.cautions[0]
    assert "29 CFR 778.104" in late.cautions[0]


def test_pieces_never_cover_other_time_in_california() -> None:
    # Labor Code 226.2(a)(1), read in the official text.
    week = worked(("8", "200"), rules="us-california")
    week = replace(week, hours=(*week.hours, TimeWorked(MONDAY, "waiting", Fraction(1))))
    settled = agreed(week, [Agreement(COVERS_ALL, BEFORE, BEFORE)])
    assert settled.terms == Terms()
    assert "California Labor Code 226.2(a)(1)" in settled.cautions[0]
    assert amounts(price(replace(week, terms=settled.terms)))["waiting"] == Decimal("16.90")


EVEN = (("8", "200"),) * 5 + (("8", "150"),)


@pytest.mark.parametrize(
    ("agreement", "used"),
    # 29 USC 207(g)(1) as 29 CFR 778.400 prints its opening: by an agreement "before performance of the work".
    [
        (Agreement(PIECE_OVERTIME, BEFORE, BEFORE), True),
        (Agreement(PIECE_OVERTIME, MONDAY, MONDAY), True),
        (Agreement(PIECE_OVERTIME, WEDNESDAY, WEDNESDAY), False),
        (Agreement(PIECE_OVERTIME, WEDNESDAY, BEFORE), False),
        (Agreement(PIECE_OVERTIME, BEFORE, BEFORE, ends_on=day(4)), False),
    ],
)
def test_overtime_on_the_piece_rate_needs_an_agreement_before_the_work(agreement: Agreement, used: bool) -> None:
    # 29 CFR 778.418 against 778.111, two ways. Derived: 1150.00 + half of 150.00 = 1225.00; or 1150 / 48 / 2 x 8 on
    # top.
    week = worked(*EVEN)
    settled = agreed(week, [agreement])
    assert settled.terms.overtime_on_piece_rate is used
    assert price(replace(week, terms=settled.terms)).gross == Decimal("1225.00" if used else "1245.83")
    assert bool(settled.cautions) is not used
    if not used:
        assert "before the work is done. (29 USC 207(g)" in settled.cautions[-1]


def test_an_agreement_that_is_renewed_within_the_week_holds_through_it() -> None:
    first = Agreement(PIECE_OVERTIME, BEFORE, BEFORE, ends_on=day(1), key=1)
    second = Agreement(PIECE_OVERTIME, BEFORE, WEDNESDAY, key=2)
    settled = agreed(worked(*EVEN), [first, second])
    assert settled.terms.overtime_on_piece_rate
    assert settled.used == (second,)


@pytest.mark.parametrize("rules", [name for name in NAMED if name != "us-federal"])
def test_elsewhere_overtime_on_the_piece_rate_changes_nothing_but_is_spoken_of(rules: str) -> None:
    week = worked(*EVEN, rules=rules)
    settled = under(week, Agreement(PIECE_OVERTIME, BEFORE, BEFORE))
    assert price(settled).gross == price(week).gross
    assert any("Overtime on the piece rate was agreed" in caution for caution in price(settled).cautions)


def test_a_group_split_changes_no_rule_of_pricing() -> None:
    assert agreed(worked(*EVEN), [Agreement(GROUP_SPLIT, BEFORE, BEFORE)]).terms == Terms()


def test_a_local_minimum_holds_on_its_days() -> None:
    # 29 USC 218(a): a higher minimum of the place counts. Derived: 32 x 7.25 + 8 x 15.00 = 352.00 against 250.00.
    week = worked(*((("8", "50"),) * 5))
    local = replace(week, local_minimums=(Override(Decimal("15.00"), "Exampleton Code 4.1", WEDNESDAY),))
    priced = price(local)
    assert priced.gross == Decimal("352.00")
    said = [reason for floor in priced.floors for reason in floor.because]
    assert any(reason.code == "local-minimum" and "Exampleton Code 4.1" in reason.working for reason in said)
    lower = replace(week, local_minimums=(Override(Decimal("5.00"), "Exampleton Code 4.1", WEDNESDAY),))
    assert price(lower).gross == price(week).gross


def test_a_state_minimum_that_changes_within_the_week_holds_from_its_day() -> None:
    # Ontario, ESA s. 23.1: 17.60 to 2026-09-30, 17.95 from 2026-10-01 (a Thursday); read in secondary sources. Derived:
    # 24 x 17.60 + 16 x 17.95 = 709.60.
    start = date(2026, 9, 28)
    week = WorkerWeek(
        "ca-ontario",
        start,
        "A. Example",
        "journeyman",
        (PieceWork(start, "hang board", Fraction(100), "piece", Decimal("1")),),
        tuple(TimeWorked(start + timedelta(days=nth), "piece", Fraction(8)) for nth in range(5)),
    )
    assert price(week).gross == Decimal("709.60")


@pytest.mark.parametrize(
    ("terms", "says"),
    [
        (Terms(part_guarantees=(PartGuarantee(Decimal("20"), "some", (MONDAY,)),)), "hours 'some' is unknown"),
        (Terms(part_guarantees=(PartGuarantee(Decimal("0"), "all", (MONDAY,)),)), "rate 0 is not above zero"),
        (Terms(part_guarantees=(PartGuarantee(Decimal("20"), "all", (BEFORE,)),)), "outside the week"),
        (
            Terms(part_guarantees=(PartGuarantee(Decimal("20"), "all", (MONDAY,)),) * 2),
            "two part_guarantees hold on the same day",
        ),
        (
            Terms(hourly_guarantee=Decimal("20"), part_guarantees=(PartGuarantee(Decimal("20"), "all", (MONDAY,)),)),
            "hourly_guarantee holds for the whole week already",
        ),
    ],
)
def test_guarantees_that_make_no_sense_are_refused(terms: Terms, says: str) -> None:
    with pytest.raises(WeekMistakes, match=says):
        price(worked(("8", "100"), terms=terms))
