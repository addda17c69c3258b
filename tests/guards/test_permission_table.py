"""Every URL stands in the permission table, and every URL x method x role answers as the table says."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from jobs.models import Entry, User, Wall
from jobs.permissions import NOBODY, OUTSIDER, PUBLIC, ROLES, TABLE, allowed, roles_allowed
from jobs.requests import PhotoRequest
from jobs.services.devices import device_issue
from jobs.services.entries import entry_log
from jobs.services.invitations import invitation_make
from jobs.services.organisations import member_add
from jobs.services.photos import photo_add
from jobs.tenancy import organisation_scope
from tests.jobs.world import World, entry
from tests.support.camera import shot

METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE")


@dataclass(frozen=True)
class Address:
    """One URL of the site: its name, its route, and the names of its parts."""

    name: str
    route: str
    parts: tuple[str, ...]

    @property
    def is_api(self) -> bool:
        return self.route.startswith("api/")


def addresses(patterns: list[Any], before: str = "") -> Iterator[Address]:
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from addresses(pattern.url_patterns, route)
        elif isinstance(pattern, URLPattern):
            yield Address(pattern.name or "", route, tuple(pattern.pattern.converters) or _groups(route))


def _groups(route: str) -> tuple[str, ...]:
    return tuple(re.findall(r"\?P<(\w+)>", route))


ADDRESSES = list(addresses(get_resolver().url_patterns))


@pytest.fixture
def things(world: World, other: World) -> dict[str, dict[str, Any]]:
    """Parts of an address that name real records: of the world, and of the other organisation."""
    return {"own": _things(world), "another's": _things(other)}


def _things(world: World) -> dict[str, Any]:
    unit = world.unit("A", "TRACK")
    request = entry(world, unit, "1")
    entry_log(actor=world.foreman, request=request, now=datetime.now(UTC))
    shown = PhotoRequest(uuid4(), request.uuid, shot(), datetime.now(UTC))
    photo = photo_add(actor=world.foreman, request=shown, now=datetime.now(UTC))
    with organisation_scope(world.organisation):
        wall = Wall.objects.get(mark="A").pk
        assert Entry.objects.filter(uuid=request.uuid).exists()
    return {"job": world.job, "wall": wall, "unit": unit, "uuid": request.uuid, "photo": photo.uuid} | _accounts(world)


def _accounts(world: World) -> dict[str, Any]:
    """A second phone of the foreman, a second foreman and an invitation: ended by calls without ending the callers."""
    now = datetime.now(UTC)
    device, _ = device_issue(actor=world.foreman, membership=world.foreman.membership or 0, name="spare", now=now)
    user = User.objects.create_user(f"{uuid4()}@example.org")
    member = member_add(actor=world.owner, user=user, role="foreman", now=now)
    invitation = invitation_make(actor=world.owner, email=f"{uuid4()}@example.org", role="foreman", now=now)
    return {"device": device.pk, "member": member.pk, "invitation": invitation.pk}


RECORDS = {"job", "wall", "unit", "uuid", "photo", "device", "member", "invitation"}


# Parts that name no record that stands here: a statement and a week are made by pay, the rest are words.
OTHER_PARTS = {
    "statement": 10**15,
    "pay_week": 10**15,
    "first_day": datetime(2026, 11, 16, tzinfo=UTC).date(),
    "day": datetime(2026, 11, 18, tzinfo=UTC).date(),
    "colour": "1d4f5c",
    "kind": "over-claim",
    "digest": "0" * 64,
    "rest": "nothing/here/",
    "token": "no-token",
    "name": "A-steel",
    "uidb64": "MQ",
}


def path_of(address: Address, things: dict[str, Any]) -> str:
    known = {**OTHER_PARTS, **things}
    missing = set(address.parts) - set(known)
    assert not missing, f"{address.route}: the guard knows no value for {missing}. Add one to OTHER_PARTS or _things."
    return reverse(address.name, kwargs={part: known[part] for part in address.parts})


def ask(address: Address, path: str, method: str, who: str, world: World, outsider: User) -> HttpResponse:
    """Call `path` as a role of the world, with its token or its session; as nobody; or as a user of no organisation."""
    client = Client()
    headers = {}
    if address.is_api:
        if who in ROLES:
            headers["Authorization"] = f"Token {world.tokens[who]}"
        return client.generic(method, path, "{}", "application/json", headers=headers)
    if who == OUTSIDER:
        client.force_login(outsider)
    elif who in ROLES:
        client.force_login(User.objects.get(pk=world.actors[who].user))
    return client.generic(method, path, "", "application/x-www-form-urlencoded", headers=headers)


def test_every_url_has_a_name_of_its_own_and_a_row_and_every_row_a_url():
    names = [address.name for address in ADDRESSES]
    assert all(names), [address.route for address in ADDRESSES if not address.name]
    assert len(names) == len(set(names))
    assert set(names) == set(TABLE), f"without a row or without a URL: {sorted(set(names) ^ set(TABLE))}"


def test_rows_name_known_roles_and_methods():
    for name, methods in TABLE.items():
        assert methods, name
        assert set(methods) <= {"GET", "POST"}, name
        for roles in methods.values():
            assert roles <= PUBLIC and "owner" in roles, name


def test_what_has_no_row_is_closed():
    for who in (*ROLES, NOBODY):
        assert not allowed("unheard-of", "GET", who)
        assert not allowed("home", "DELETE", who)


@pytest.mark.parametrize("address", ADDRESSES, ids=lambda address: address.name)
def test_the_door_answers_as_the_table_says(
    address: Address, worlds: tuple[World, World, User], things: dict[str, dict[str, Any]]
):
    world, _, outsider = worlds
    path = path_of(address, things["own"])
    for method in METHODS:
        for who in (*ROLES, NOBODY, OUTSIDER):
            if address.is_api and who == OUTSIDER:
                continue  # A token belongs to a membership, so an outsider has none: he is nobody to the API.
            answer = ask(address, path, method, who, world, outsider)
            found = (address.name, method, who, answer.status_code)
            if not roles_allowed(address.name, method):
                assert answer.status_code == (404 if address.name == "api-nothing" else 405), found
            elif allowed(address.name, method, who):
                assert answer.status_code not in {401, 403, 405, 500}, found
                assert not _sent_to_sign_in(answer) or NOBODY in roles_allowed(address.name, method), found
            elif who == NOBODY:
                assert (answer.status_code == 401) if address.is_api else _sent_to_sign_in(answer), found
            else:
                assert answer.status_code == 403, found


@pytest.mark.parametrize(
    "address",
    [address for address in ADDRESSES if RECORDS & set(address.parts)],
    ids=lambda address: address.name,
)
def test_what_belongs_to_another_organisation_is_not_found_by_anybody(
    address: Address, worlds: tuple[World, World, User], things: dict[str, dict[str, Any]]
):
    world, _, outsider = worlds
    theirs = path_of(address, things["another's"])
    nowhere = path_of(address, dict.fromkeys(RECORDS, 10**15) | {"uuid": uuid4(), "photo": uuid4()})
    for method in ("GET", "POST"):
        for who in ROLES:
            if allowed(address.name, method, who):
                answer = ask(address, theirs, method, who, world, outsider)
                assert answer.status_code == 404, (address.name, method, who, answer.status_code)
                missing = ask(address, nowhere, method, who, world, outsider)
                assert missing.status_code == 404, (address.name, method, who)


def _sent_to_sign_in(answer: HttpResponse) -> bool:
    return answer.status_code == 302 and answer["Location"].startswith(reverse("sign-in"))
