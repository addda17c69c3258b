"""Who opens which page: every page of the permission table, for every role, an outsider and a stranger."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime
from decimal import Decimal

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.models import Device, User, Wall
from jobs.pages.urls import urlpatterns as field_pages
from jobs.permissions import ROLES, TABLE, allowed
from jobs.tenancy import organisation_scope
from payroll.pages.urls import urlpatterns as pay_pages
from payroll.services.papers import papers_part_make
from payroll.services.prevailing_rates import Determined, prevailing_rate_set
from tests.jobs.world import World
from tests.pages.conftest import signed_in
from tests.pages.paid_week import AFTER, FIRST_DAY, PaidWeek

WITHOUT_DOOR = {
    "sign-in", "sign-out", "accent", "choose-organisation", "password-forgotten", "password-mailed", "password-new",
    "invitation", "invitation-link", "statement-check", "sign-in-code", "service-worker",
    "icon", "language",
}  # fmt: skip
# Opened by sending a form alone.
SENT_ALONE = {
    "second-factor-rule",
    "sessions-end",
    "device-revoke",
    "invitation-send",
    "invitation-withdraw",
    "language",
}
PATTERNS = [pattern for pattern in (*field_pages, *pay_pages) if pattern.name not in SENT_ALONE]
PAGES = [pattern.name for pattern in PATTERNS]
# Pages that name no record show each organisation what is its own.
SHARED = {pattern.name for pattern in PATTERNS if not pattern.pattern.converters} - WITHOUT_DOOR


def addresses(world: World, paid: PaidWeek) -> dict[str, str]:
    """An address of every page, of things that are there."""
    unit = world.unit("A", "TRACK")
    with_wall = {"job": world.job, "wall": wall_of(world, "A")}
    week = {"first_day": FIRST_DAY}
    statement = {"statement": paid.statements[world.people[0]]}
    entry = {"uuid": paid.entries["BOARD"]}
    report = {"job": world.job, **week}
    _as_prevailing_job(world)
    parts: dict[str, dict[str, object]] = {
        "accent": {"colour": "1d4f5c"},
        "job": {"job": world.job},
        "plan": {"job": world.job},
        "wall": with_wall,
        "wall-drawing": {**with_wall, "name": "A-steel"},
        "inspect": with_wall,
        "log-wall": {"job": world.job},
        "log-unit": with_wall,
        "log-entry": {"unit": unit},
        "entry": entry,
        "correct-entry": entry,
        "photo": {"photo": paid.photo},
        "hours": {"job": world.job},
        "correct-hours": {"uuid": paid.hours},
        "day": {"job": world.job, "day": "2026-11-18"},
        "week": week,
        "week-close": week,
        "statement": statement,
        "statement-pdf": statement,
        "statement-csv": statement,
        "statement-check": {"digest": paid.digest},
        "week-csv": week,
        "week-papers": week,
        "week-papers-file": week,
        "labour": {"job": world.job},
        "reports": {"job": world.job},
        "report": report,
        "report-pdf": report,
        "report-chart": report,
        "why-rate": {"unit": unit},
        "device": {"device": device_of(world)},
        "member": {"member": world.foreman.membership},
        "member-end": {"member": world.foreman.membership},
        "invitation-link": {"token": "no-token"},
        "password-new": {"uidb64": "MQ", "token": "no-token"},
        "prevailing": {"job": world.job},
        "prevailing-set": {"job": world.job},
        "certified": report,
        "payroll-file": {**week, "kind": "all"},
        "certified-pdf": report,
        "certified-csv": report,
    }
    return {name: reverse(name, kwargs=parts.get(name, {})) for name in PAGES}


def _as_prevailing_job(world: World) -> None:
    """Rates so low that what was paid is above them, so that the closed week can be certified as it was paid."""
    facts = Determined(
        world.job, "journeyman", "lather", Decimal("0.01"), Decimal(0), Decimal(0), FIRST_DAY, "invented"
    )
    prevailing_rate_set(actor=world.owner, facts=facts, now=AFTER, dry_run=False)


def wall_of(world: World, mark: str) -> int:
    with transaction.atomic(), organisation_scope(world.organisation):
        return Wall.objects.get(mark=mark).pk


def device_of(world: World) -> int:
    """The phone of the worker."""
    with transaction.atomic(), organisation_scope(world.organisation):
        return Device.objects.get(membership=world.actors["worker"].membership).pk


def test_every_page_stands_in_the_table() -> None:
    assert PAGES
    assert [name for name in PAGES if name not in TABLE] == []


@pytest.mark.parametrize("role", ROLES)
def test_a_role_opens_what_the_table_says(
    world: World, paid: PaidWeek, role: str, clock: Callable[[datetime], None]
) -> None:
    clock(AFTER)
    papers_part_make(organisation=world.organisation, pay_week=paid.pay_week, part=1, now=AFTER)
    client = signed_in(world.actors[role])
    for name, address in addresses(world, paid).items():
        if name in WITHOUT_DOOR:
            continue
        answer = client.get(address)
        if role == "foreman" and name in {"statement", "statement-pdf", "statement-csv", "device"}:
            # Open to him for his own; this one is another's.
            assert answer.status_code == 404, name
        elif allowed(name, "GET", role):
            # The worker's first page is his statements; a closed week is not closed again.
            assert answer.status_code in {200, 302}, (name, answer.status_code)
        else:
            assert answer.status_code == 403, (name, answer.status_code)


@pytest.mark.parametrize("role", ROLES)
def test_another_organisation_sees_nothing(
    world: World, other: World, paid: PaidWeek, role: str, clock: Callable[[datetime], None]
) -> None:
    clock(AFTER)
    client = signed_in(other.actors[role])
    shared = WITHOUT_DOOR | SHARED
    for name, address in addresses(world, paid).items():
        if name not in shared:
            assert client.get(address).status_code == (404 if allowed(name, "GET", role) else 403), name


def test_nothing_of_another_organisation_stands_on_shared_pages(world: World, other: World, paid: PaidWeek) -> None:
    client = signed_in(other.actors["owner"])
    for name in SHARED:
        text = client.get(reverse(name)).content.decode()
        assert "Alder" not in text
    assert reverse("job", args=[world.job]) not in client.get(reverse("home")).content.decode()


def test_a_form_of_another_organisation_records_nothing(world: World, other: World) -> None:
    client = signed_in(other.actors["foreman"])
    answer = client.post(reverse("log-entry", args=[world.unit("A", "TRACK")]), {"how_much": "all"})
    assert answer.status_code == 404


def test_an_outsider_belongs_nowhere(world: World, paid: PaidWeek, outsider: User) -> None:
    client = Client()
    client.force_login(outsider)
    for name, address in addresses(world, paid).items():
        if name not in WITHOUT_DOOR:
            answer = client.get(address)
            assert answer.status_code == 403, name
            assert "You belong to no organisation" in answer.content.decode()


def test_a_stranger_is_sent_to_sign_in(world: World, paid: PaidWeek) -> None:
    client = Client()
    for name, address in addresses(world, paid).items():
        if name not in WITHOUT_DOOR:
            answer = client.get(address)
            assert answer.status_code == 302, name
            assert answer["Location"].startswith(reverse("sign-in"))


def test_a_method_without_a_row_is_refused(world: World) -> None:
    client = signed_in(world.owner)
    assert client.post(reverse("home")).status_code == 405
    assert client.delete(reverse("job", args=[world.job])).status_code == 405


def test_a_worker_reads_his_own_statement_entry_and_wall_alone(world: World, paid: PaidWeek) -> None:
    client = signed_in(world.actors["worker"])
    own, another = paid.statements[world.people[0]], paid.statements[world.people[1]]
    assert client.get(reverse("statement", args=[own])).status_code == 200
    assert client.get(reverse("statement", args=[another])).status_code == 404
    assert client.get(reverse("statement-pdf", args=[another])).status_code == 404
    entry = client.get(reverse("entry", args=[paid.entries["BOARD"]])).content.decode()
    assert "Person 1" in entry
    assert "Person 2" not in entry
    assert client.get(reverse("wall", args=[world.job, wall_of(world, "A")])).status_code == 200
    # Nobody has logged anything on wall B, so he has no share on it.
    assert client.get(reverse("wall", args=[world.job, wall_of(world, "B")])).status_code == 404


def test_every_page_forbids_scripts_within_it_and_caches(world: World, paid: PaidWeek) -> None:
    client = signed_in(world.owner)
    for name in ("home", "weeks", "prices"):
        answer = client.get(reverse(name))
        assert "default-src 'none'" in answer["Content-Security-Policy"]
        assert "script-src 'self';" in answer["Content-Security-Policy"]
        assert "unsafe" not in answer["Content-Security-Policy"]
        assert "no-store" in answer["Cache-Control"]
        assert (
            re.findall(r"<script(?! src=./static/jobs/field-\w+\.js. defer></script>)", answer.content.decode()) == []
        )
        assert "style=" not in answer.content.decode()
