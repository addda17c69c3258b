"""The demo loads through the services, and a second run loses nothing and adds nothing."""

from __future__ import annotations

from collections import Counter
from datetime import date
from decimal import Decimal
from io import StringIO

import pytest
from django.apps import apps
from django.core.management import call_command

from fixtures.demo.scenario import scenario
from jobs.models import Entry, Hours, User, Wall
from jobs.signin import memberships_of
from jobs.tenancy import Record, organisation_scope
from payroll.models import PayWeek, Statement

pytestmark = pytest.mark.django_db


def load() -> str:
    out = StringIO()
    call_command("demo_load", stdout=out, stderr=StringIO())
    return out.getvalue()


def organisation() -> int:
    owner = User.objects.get(email="nora@alderquill.example")
    (found,) = memberships_of(owner.pk)
    return found.actor.organisation


def rows() -> Counter[str]:
    """How many rows each record of the organisation has, and the largest id: neither may move."""
    found: Counter[str] = Counter()
    with organisation_scope(organisation()):
        for model in apps.get_models():
            if issubclass(model, Record):
                found[model.__name__] = model.objects.count()
    return found


def test_a_second_run_adds_nothing_and_says_the_same():
    first = load()
    once = rows()
    assert once["Entry"] > 150 and once["Hours"] > 150 and once["Wall"] == 48
    assert load() == first
    assert rows() == once


def test_it_says_how_each_role_signs_in():
    said = load()
    for user in scenario().facts["users"]:
        assert f"{user['email']}  {user['password']}  {user['role']}" in said
        assert User.objects.get(email=user["email"]).check_password(user["password"])


def test_a_password_changed_since_stays_changed():
    load()
    user = User.objects.get(email="office@alderquill.example")
    user.set_password("another of her own")
    user.save(update_fields=["password"])
    load()
    assert User.objects.get(pk=user.pk).check_password("another of her own")


def test_the_weeks_are_closed_as_the_scenario_says_and_everybody_is_paid():
    load()
    facts = scenario().facts
    with organisation_scope(organisation()):
        closed = set(PayWeek.objects.filter(state=PayWeek.State.CLOSED).values_list("first_day", flat=True))
        assert closed == set(facts["closed"])
        for first_day in closed:
            paid = Statement.objects.filter(pay_week__first_day=first_day, corrects=None)
            assert paid.count() == len(facts["people"])
            assert all(statement.gross > Decimal("290.00") for statement in paid)  # above 40 h at 7.25


def test_a_mistake_found_after_its_week_was_closed_is_a_linked_correction():
    load()
    with organisation_scope(organisation()):
        corrected = Statement.objects.exclude(corrects=None)
        # W-06's studs were credited to the five of South crew
        assert corrected.count() == 5
        assert {one.corrects.pay_week.first_day for one in corrected} == {date(2026, 11, 2)}


def test_more_than_forty_hours_and_unequal_shares_are_in_it():
    load()
    with organisation_scope(organisation()):
        minutes: Counter[tuple[int, int]] = Counter()
        for row in Hours.objects.all():
            minutes[row.person_id, row.worked_on.isocalendar().week] += row.minutes
        assert max(minutes.values()) == 50 * 60
        assert {row.kind for row in Hours.objects.all()} >= {"piece", "waiting", "rework", "meeting"}
        unequal = [entry for entry in Entry.objects.all() if len({share.quantity for share in entry.shares.all()}) > 1]
        assert unequal
        assert Wall.objects.count() == 48
