"""Invariant: an entry's shares add up to exactly its quantity; the last ten-thousandth goes by a stated rule."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import DatabaseError, connection, transaction
from hypothesis import given
from hypothesis import strategies as st

from jobs.refusals import Invalid, NotFound
from jobs.requests import PersonAsked, SharesAsked
from jobs.services.entries import entry_log
from jobs.services.people import PersonFacts, person_create
from jobs.shares import STEP, share_out
from jobs.tenancy import organisation_scope
from tests.jobs.sql import as_application
from tests.jobs.world import DAY, NOW, World, entry

PEOPLE = st.lists(
    st.tuples(st.integers(1, 10**9), st.fractions(min_value=Fraction(1, 1000), max_value=1000)),
    min_size=1,
    max_size=12,
    unique_by=lambda one: one[0],
)


@given(steps=st.integers(0, 10**12), weights=PEOPLE)
def test_parts_add_up_and_stand_within_one_step_of_the_exact_part(steps: int, weights: list[tuple[int, Fraction]]):
    quantity = steps * STEP
    parts = share_out(quantity, weights)
    assert sum(parts.values()) == quantity
    whole = sum(weight for _, weight in weights)
    for person, weight in weights:
        assert abs(Fraction(parts[person]) - Fraction(quantity) * weight / whole) < Fraction(STEP)


@given(steps=st.integers(0, 10**9), weights=PEOPLE)
def test_the_order_in_which_people_are_named_changes_nothing(steps: int, weights: list[tuple[int, Fraction]]):
    assert share_out(steps * STEP, weights) == share_out(steps * STEP, weights[::-1])


def test_what_is_left_over_goes_to_the_lowest_ids_among_equals():
    # derived: 10 / 3 = 3.3333 and 0.0001 over, to person 4.
    assert share_out(Decimal(10), [(9, Fraction(1)), (4, Fraction(1)), (7, Fraction(1))]) == {
        4: Decimal("3.3334"),
        7: Decimal("3.3333"),
        9: Decimal("3.3333"),
    }


def test_what_is_left_over_goes_to_the_largest_remainder_first():
    # derived: weights 1 and 2 of 0.0001: exact parts 1/3 and 2/3 of a step; the step goes to the larger remainder.
    assert share_out(STEP, [(1, Fraction(1)), (2, Fraction(2))]) == {1: 0, 2: STEP}


@pytest.mark.parametrize(
    ("quantity", "weights"),
    [
        ("1", []),
        ("1", [(1, Fraction(0))]),
        ("1", [(1, Fraction(1)), (1, Fraction(1))]),
        ("0.00005", [(1, Fraction(1))]),
    ],
)
def test_what_cannot_be_shared_is_an_error(quantity: str, weights: list[tuple[int, Fraction]]):
    with pytest.raises(ValueError, match=r"cannot share|ten-thousandths"):
        share_out(Decimal(quantity), weights)


def test_an_entry_is_shared_equally_by_weight_or_as_said(world: World):
    one, two, three, *_ = world.people
    unit = world.unit("A", "TRACK")

    def shared(shares: SharesAsked) -> dict[int, Decimal]:
        return dict(entry_log(actor=world.foreman, request=entry(world, unit, "1", shares=shares), now=NOW).shares)

    assert shared(SharesAsked(crew=world.crew)) == dict.fromkeys(world.people, Decimal("0.2"))
    weighed = SharesAsked("weight", people=(PersonAsked(one, Decimal(3)), PersonAsked(two, Decimal(1))))
    assert shared(weighed) == {one: Decimal("0.75"), two: Decimal("0.25")}
    said = SharesAsked(
        "quantity", people=(PersonAsked(three, quantity=Decimal("0.9")), PersonAsked(one, quantity=Decimal("0.1")))
    )
    assert shared(said) == {one: Decimal("0.1"), three: Decimal("0.9")}


def test_shares_as_said_must_add_up(world: World):
    said = SharesAsked("quantity", people=(PersonAsked(world.people[0], quantity=Decimal("0.9")),))
    with pytest.raises(Invalid, match=r"add up to 0\.9, the entry is 1"):
        entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "1", shares=said), now=NOW)


def test_a_person_of_another_organisation_gets_no_share(world: World, other: World):
    shares = SharesAsked(people=(PersonAsked(world.people[0]), PersonAsked(other.people[0])))
    with pytest.raises(NotFound) as refused:
        entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "1", shares=shares), now=NOW)
    assert [mistake.path for mistake in refused.value.mistakes] == ["shares.people[1].person"]


@pytest.mark.parametrize("part", ["0.9999", "1.0001"])
def test_the_database_refuses_shares_that_do_not_add_up(world: World, part: str):
    with pytest.raises(DatabaseError, match="add up"), transaction.atomic(), organisation_scope(world.organisation):
        _raw(world, Decimal(part))


def test_a_share_added_later_is_refused_by_the_database(world: World):
    answer = entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "1"), now=NOW)
    late = person_create(actor=world.owner, facts=PersonFacts("Late Comer", "999", DAY), now=NOW).pk
    with pytest.raises(DatabaseError, match="past its quantity"):
        as_application(
            world,
            "INSERT INTO jobs_entryshare (organisation_id, entry_id, person_id, quantity) VALUES (%s, %s, %s, 0.0001)",
            [world.organisation, answer.id, late],
        )


def _raw(world: World, part: Decimal) -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO jobs_receipt (organisation_id, uuid, kind, request, membership_id, made_at, received_at)"
            " VALUES (%s, gen_random_uuid(), 'entry', '{}', %s, now(), now()) RETURNING uuid",
            [world.organisation, world.foreman.membership],
        )
        cursor.execute(
            "INSERT INTO jobs_entry (organisation_id, uuid, job_id, work_unit_id, worked_on, quantity, logged_by_id,"
            " received_at) VALUES (%s, %s, %s, %s, '2026-11-18', 1, %s, now()) RETURNING id",
            [world.organisation, cursor.fetchone()[0], world.job, world.unit("A", "TRACK"), world.foreman.membership],
        )
        cursor.execute(
            "INSERT INTO jobs_entryshare (organisation_id, entry_id, person_id, quantity) VALUES (%s, %s, %s, %s)",
            [world.organisation, cursor.fetchone()[0], world.people[0], part],
        )
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
