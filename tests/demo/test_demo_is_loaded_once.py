"""The demo loads through the services, and a second run loses nothing and adds nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from io import StringIO

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import transaction
from pytest_django import DjangoDbBlocker

from fixtures.demo.scenario import scenario
from jobs.models import Entry, Hours, User
from jobs.signin import memberships_of
from jobs.tenancy import Record, organisation_scope
from payroll.models import PayWeek, Statement, WeeklyReport


def load() -> str:
    out = StringIO()
    call_command("demo_load", stdout=out, stderr=StringIO())
    return out.getvalue()


def organisation() -> int:
    owner = User.objects.get(email="nora@alderquill.example")
    (found,) = memberships_of(owner.pk)
    return found.actor.organisation


def rows() -> Counter[str]:
    """How many rows each record of the organisation has."""
    found: Counter[str] = Counter()
    with organisation_scope(organisation()):
        for model in apps.get_models():
            if issubclass(model, Record):
                found[model.__name__] = model.objects.count()
    return found


@dataclass(frozen=True)
class Twice:
    """What two runs said and left behind; between them the office changed its password."""

    said: tuple[str, str]
    rows: tuple[Counter[str], Counter[str]]


@pytest.fixture(scope="module")
def twice(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Twice]:
    """Both runs in one transaction, seen by every test here and rolled back after the last."""
    with django_db_blocker.unblock(), transaction.atomic():
        first, once = load(), rows()
        office = User.objects.get(email="office@alderquill.example")
        office.set_password("another of her own")
        office.save(update_fields=["password"])
        yield Twice((first, load()), (once, rows()))
        transaction.set_rollback(True)


@pytest.fixture
def in_scope(twice: Twice) -> Iterator[None]:
    with organisation_scope(organisation()):
        yield


def test_a_second_run_loses_nothing_adds_nothing_and_says_the_same(twice):
    once, again = twice.rows
    assert once["Entry"] > 150 and once["Hours"] > 150 and once["Wall"] == 48
    assert again == once
    assert twice.said[0] == twice.said[1]


def test_it_says_how_each_role_signs_in_and_leaves_a_changed_password_alone(twice):
    for user in scenario().facts["users"]:
        assert f"{user['email']}  {user['password']}  {user['role']}" in twice.said[0]
        known = "another of her own" if user["role"] == "office" else user["password"]
        assert User.objects.get(email=user["email"]).check_password(known)


def test_the_weeks_are_closed_as_the_scenario_says_and_everybody_is_paid(in_scope):
    facts = scenario().facts
    closed = set(PayWeek.objects.filter(state=PayWeek.State.CLOSED).values_list("first_day", flat=True))
    assert closed == set(facts["closed"])
    for first_day in closed:
        paid = Statement.objects.filter(pay_week__first_day=first_day, corrects=None)
        assert paid.count() == len(facts["people"])
        assert all(statement.gross > Decimal("290.00") for statement in paid)  # above 40 h at 7.25
    assert set(WeeklyReport.objects.values_list("first_day", flat=True)) == closed


def test_a_mistake_found_after_its_week_was_closed_is_a_linked_correction(in_scope):
    corrected = Statement.objects.exclude(corrects=None)
    # W-06's studs were credited to the five of South crew, and a quarter of them did not stand
    assert corrected.count() == 5
    assert {one.corrects.pay_week.first_day for one in corrected} == {date(2026, 11, 2)}
    assert {one.paid_in.first_day for one in corrected} == {date(2026, 11, 9)}
    assert all(one.gross < one.corrects.gross for one in corrected)


def test_overtime_other_time_and_unequal_shares_are_in_it(in_scope):
    minutes: Counter[tuple[int, int]] = Counter()
    kinds = set()
    for row in Hours.objects.all():
        minutes[row.person_id, row.worked_on.isocalendar().week] += row.minutes
        kinds.add(row.kind)
    assert max(minutes.values()) == 50 * 60
    assert kinds >= {"piece", "waiting", "rework", "meeting"}
    assert any(len({share.quantity for share in entry.shares.all()}) > 1 for entry in Entry.objects.all())
