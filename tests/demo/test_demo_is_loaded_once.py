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
from jobs.models import Entry, Hours, User
from jobs.signin import memberships_of
from jobs.tenancy import Record, organisation_scope
from payroll.models import PayWeek, Statement, WeeklyReport

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


def test_a_second_run_loses_nothing_adds_nothing_and_says_the_same():
    first = load()
    once = rows()
    assert once["Entry"] > 150 and once["Hours"] > 150 and once["Wall"] == 48
    user = User.objects.get(email="office@alderquill.example")
    user.set_password("another of her own")
    user.save(update_fields=["password"])
    assert load() == first
    assert rows() == once
    assert User.objects.get(pk=user.pk).check_password("another of her own")


def test_what_the_first_run_leaves_behind():
    said = load()
    check_it_signs_in_as_it_says(said)
    with organisation_scope(organisation()):
        check_it_closed_the_weeks_of_the_scenario_and_paid_everybody()
        check_it_corrected_the_closed_week_by_linked_statements()
        check_it_holds_overtime_other_time_and_unequal_shares()


def check_it_signs_in_as_it_says(said: str) -> None:
    for user in scenario().facts["users"]:
        assert f"{user['email']}  {user['password']}  {user['role']}" in said
        assert User.objects.get(email=user["email"]).check_password(user["password"])


def check_it_closed_the_weeks_of_the_scenario_and_paid_everybody() -> None:
    facts = scenario().facts
    closed = set(PayWeek.objects.filter(state=PayWeek.State.CLOSED).values_list("first_day", flat=True))
    assert closed == set(facts["closed"])
    for first_day in closed:
        paid = Statement.objects.filter(pay_week__first_day=first_day, corrects=None)
        assert paid.count() == len(facts["people"])
        assert all(statement.gross > Decimal("290.00") for statement in paid)  # above 40 h at 7.25
    assert set(WeeklyReport.objects.values_list("first_day", flat=True)) == closed


def check_it_corrected_the_closed_week_by_linked_statements() -> None:
    corrected = Statement.objects.exclude(corrects=None)
    # W-06's studs were credited to the five of South crew, and a quarter of them did not stand
    assert corrected.count() == 5
    assert {one.corrects.pay_week.first_day for one in corrected} == {date(2026, 11, 2)}
    assert {one.paid_in.first_day for one in corrected} == {date(2026, 11, 9)}
    assert all(one.gross < one.corrects.gross for one in corrected)


def check_it_holds_overtime_other_time_and_unequal_shares() -> None:
    minutes: Counter[tuple[int, int]] = Counter()
    kinds = set()
    for row in Hours.objects.all():
        minutes[row.person_id, row.worked_on.isocalendar().week] += row.minutes
        kinds.add(row.kind)
    assert max(minutes.values()) == 50 * 60
    assert kinds >= {"piece", "waiting", "rework", "meeting"}
    assert any(len({share.quantity for share in entry.shares.all()}) > 1 for entry in Entry.objects.all())
