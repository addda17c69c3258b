"""Pay periods of one or two workweeks, dated, name the pay day of every week; a later setting changes none before."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.db import transaction

from jobs.refusals import Conflict, Invalid, NotAllowed
from payroll.models import Statement
from payroll.selectors.periods import Period, pay_day_cautions, period_of
from payroll.selectors.weeks import week_list
from payroll.services.pay_periods import pay_period_set
from tests.payroll.world import AFTER, MONDAY, NEXT_MONDAY, World, make_world

pytestmark = pytest.mark.django_db


def put(world: World, starts_on: date, weeks: int, after: int, replaces: int | None = None) -> int:
    made = pay_period_set(
        actor=world.owner, starts_on=starts_on, weeks=weeks, pay_day_after=after, now=AFTER, replaces=replaces
    )
    return made.pk


def period(world: World, first_day: date) -> Period | None:
    with transaction.atomic(), world.scope():
        return period_of(first_day)


def week(number: int) -> date:
    return MONDAY + timedelta(days=7 * number)


def test_two_weeks_are_paid_together_from_the_setting_on():
    world = make_world()
    assert period(world, MONDAY) is None
    put(world, week(0), 2, 5)
    both = Period(week(0), week(2) - timedelta(days=1), week(2) + timedelta(days=4))
    assert period(world, week(0)) == period(world, week(1)) == both
    assert period(world, week(2)) == Period(week(2), week(4) - timedelta(days=1), week(4) + timedelta(days=4))
    assert period(world, week(-1)) is None


def test_the_next_setting_ends_a_period_and_changes_none_before():
    world = make_world()
    put(world, week(0), 2, 5)
    put(world, week(3), 1, 3)
    assert period(world, week(1)) == Period(week(0), week(2) - timedelta(days=1), week(2) + timedelta(days=4))
    # The second period of two weeks is cut short by the new setting.
    assert period(world, week(2)) == Period(week(2), week(3) - timedelta(days=1), week(3) + timedelta(days=4))
    assert period(world, week(4)) == Period(week(4), week(5) - timedelta(days=1), week(5) + timedelta(days=2))


def test_a_wrong_setting_is_replaced_and_stays_on_record():
    world = make_world()
    first = put(world, week(0), 2, 5)
    with pytest.raises(Conflict, match="a pay period starts on 2026-11-02 already"):
        put(world, week(0), 1, 5)
    put(world, week(0), 1, 5, replaces=first)
    assert period(world, week(0)) == Period(week(0), week(1) - timedelta(days=1), week(1) + timedelta(days=4))


def test_weeks_show_their_pay_day_and_what_the_law_says():
    # California Labor Code 204(d): seven days after the period, read in secondary sources.
    world = make_world(rules="us-california")
    put(world, week(0), 1, 9)
    world.week(NEXT_MONDAY)
    with transaction.atomic(), world.scope():
        (row,) = week_list()
        assert row.period is not None
        assert row.period.pay_day == week(2) + timedelta(days=8)
        (said,) = pay_day_cautions(row.period, NEXT_MONDAY)
    assert f"The pay day {week(2) + timedelta(days=8)} is later than that. Due by {week(2) + timedelta(days=6)}" in said


@pytest.mark.parametrize(
    ("rules", "weeks", "said"),
    # Employment Standards Act (British Columbia), s. 1, regular wage (b): wages of the pay period over its hours. Read
    # in the official text. The federal rate is the workweek's (29 CFR 778.104).
    [("ca-british-columbia", 2, True), ("ca-british-columbia", 1, False), ("us-federal", 2, False)],
)
def test_where_the_rate_of_overtime_is_the_periods_a_longer_period_is_pointed_at(rules: str, weeks: int, said: bool):
    world = make_world(rules=rules)
    put(world, week(0), weeks, 5)
    person = world.person("Pointed at")
    world.rate("BOARD", "0.40")
    world.entry(world.unit("BOARD", face="left", layer=1), "1000", person)
    world.hours(person, "10")
    ends = week(weeks) - timedelta(days=1)
    words = f"The pay period is {MONDAY} to {ends}: its first workweek is paid by its own wages"
    rule = "s. 1, regular wage (b), and s. 16(2).)"
    with transaction.atomic(), world.scope():
        on_pages = pay_day_cautions(period_of(MONDAY), AFTER.date())
    assert any(words in sentence for sentence in on_pages) is said
    world.close()
    with transaction.atomic(), world.scope():
        on_statement = Statement.objects.get().cautions
    assert any(sentence.startswith(words) for sentence in on_statement) is said
    assert any(sentence.endswith(rule) for sentence in on_statement) is said


@pytest.mark.parametrize(
    ("starts_on", "weeks", "after", "says"),
    [
        (MONDAY + timedelta(days=1), 1, 5, "does not begin a workweek"),
        (MONDAY, 3, 5, "3 workweeks is not known"),
        (MONDAY, 1, 32, "is not from 0 to 31"),
        (MONDAY, 1, -1, "is not from 0 to 31"),
    ],
)
def test_what_is_no_pay_period_is_refused(starts_on: date, weeks: int, after: int, says: str):
    world = make_world()
    with pytest.raises(Invalid, match=says):
        put(world, starts_on, weeks, after)


def test_only_the_office_sets_it():
    world = make_world()
    foreman = world.owner.__class__(world.organisation, world.owner.membership, "foreman")
    with pytest.raises(NotAllowed):
        pay_period_set(actor=foreman, starts_on=MONDAY, weeks=1, pay_day_after=5, now=AFTER)
