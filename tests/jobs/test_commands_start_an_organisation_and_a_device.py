"""A new house: an organisation and a device's token from the command line, then the first call of the API."""

from __future__ import annotations

from io import StringIO
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command

from jobs.models import User
from jobs.signin import memberships_of
from tests.api.client import Phone
from tests.jobs.world import World

GOOD = "four brown trestles"


def start(monkeypatch: pytest.MonkeyPatch, email: str, password: str = GOOD, **options: object) -> str:
    monkeypatch.setattr("sys.stdin", StringIO(password + "\n"))
    out = StringIO()
    call_command("organisation_start", "Bramble Partitions", email, stdout=out, **options)
    return out.getvalue()


def test_a_first_organisation_its_owner_and_a_token_that_works(db: None, monkeypatch: pytest.MonkeyPatch):
    email = f"{uuid4()}@example.org"
    assert "may sign in" in start(monkeypatch, email, time_zone="America/Chicago", workweek_start=6)
    owner = User.objects.get(email=email)
    assert owner.check_password(GOOD)
    assert owner.password.startswith("argon2")
    assert [one.actor.role for one in memberships_of(owner.pk)] == ["owner"]
    out = StringIO()
    call_command("device_start", email, "site phone", stdout=out)
    assert Phone(out.getvalue().strip()).get("/api/jobs/").json()["results"] == []


@pytest.mark.parametrize(
    ("options", "sentence"), [({"time_zone": "Mars"}, "no time zone"), ({"workweek_start": 9}, "no day")]
)
def test_what_cannot_be_leaves_no_user_behind(
    db: None, monkeypatch: pytest.MonkeyPatch, options: dict[str, object], sentence: str
):
    email = f"{uuid4()}@example.org"
    with pytest.raises(CommandError, match=sentence):
        start(monkeypatch, email, **options)
    assert not User.objects.filter(email=email).exists()


def test_an_address_that_is_none_is_refused(db: None, monkeypatch: pytest.MonkeyPatch):
    with pytest.raises(CommandError, match="valid email"):
        start(monkeypatch, "not an address")


def test_a_device_needs_one_membership_to_belong_to(world: World, other: World, monkeypatch: pytest.MonkeyPatch):
    with pytest.raises(CommandError, match="member of no organisation"):
        call_command("device_start", "nobody@example.org", "phone")
    owner = User.objects.get(pk=world.owner.user)
    start(monkeypatch, owner.email)
    with pytest.raises(CommandError, match=r"several organisations.*Say --organisation"):
        call_command("device_start", owner.email, "phone")
    out = StringIO()
    call_command("device_start", owner.email, "phone", organisation=world.organisation, stdout=out)
    assert out.getvalue().strip()
