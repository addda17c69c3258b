"""The office names the heights from which walls are priced apart, once and for all.

That board above some height is priced apart: a trade association's estimating guide, as in the practice of the count.
"""

from __future__ import annotations

from decimal import Decimal
from html import unescape

import pytest
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from jobs.models import AuditRecord
from jobs.tenancy import organisation_scope
from payroll.models import HeightBand
from tests.jobs.world import World
from tests.pages.conftest import signed_in


@pytest.fixture
def office(world: World) -> Client:
    return signed_in(world.owner)


def sent(client: Client, name: str, height: str) -> HttpResponse:
    return client.post(reverse("height-bands"), {"name": name, "from_inches": height})


def bands(world: World) -> dict[str, Decimal]:
    with transaction.atomic(), organisation_scope(world.organisation):
        return dict(HeightBand.objects.values_list("name", "from_inches"))


@pytest.mark.parametrize(
    ("height", "inches"), [("10'-0\"", "120"), ("120", "120"), ("3048 mm", "120"), ("3000 mm", "118.1102")]
)
def test_a_band_is_added_and_prices_may_name_it(world: World, office: Client, height: str, inches: str) -> None:
    assert sent(office, "over 10 ft", height).status_code == 302
    assert bands(world) == {"over 10 ft": Decimal(inches)}
    assert "over 10 ft" in office.get(reverse("height-bands")).content.decode()
    assert "over 10 ft" in office.get(reverse("price-set")).content.decode()
    with transaction.atomic(), organisation_scope(world.organisation):
        (record,) = AuditRecord.objects.filter(action="height_band_create")
        assert record.after["name"] == "over 10 ft"


@pytest.mark.parametrize(
    ("name", "height", "told"),
    [
        ("", "120", "needs a name"),
        ("n" * 41, "120", "1 to 40 characters"),
        ("low", "0", "is no height of a wall"),
        ("low", "-3", "is no height of a wall"),
        ("low", "101'-0\"", "up to 100 ft"),
        ("low", "ten feet", "“ten feet” cannot be read as a length"),
        ("low", "", "“” is empty"),
        ("over 10 ft", "96", "stands from 120 in on. Choose another name"),
        ("tall", "10'-0\"", "stands from 120 in on. Choose another height"),
    ],
)
def test_what_cannot_be_a_band_is_told_beside_its_field(
    world: World, office: Client, name: str, height: str, told: str
) -> None:
    sent(office, "over 10 ft", "120")
    answer = sent(office, name, height)
    assert answer.status_code == 400
    assert told in unescape(answer.content.decode())
    assert bands(world) == {"over 10 ft": Decimal(120)}


def test_a_foreman_sets_no_band(world: World) -> None:
    assert sent(signed_in(world.foreman), "over 10 ft", "120").status_code == 403
    assert bands(world) == {}
