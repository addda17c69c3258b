"""Two organisations and an outsider, a clock that stands in the scenario's week, and a browserless client by role."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest
from django.test import Client

from jobs.actors import Actor
from jobs.models import User
from tests.jobs.world import NOW, World, two_worlds
from tests.pages.paid_week import PaidWeek, pay_a_week


@pytest.fixture
def worlds(db: None) -> tuple[World, World, User]:
    return two_worlds()


@pytest.fixture
def world(worlds: tuple[World, World, User]) -> World:
    return worlds[0]


@pytest.fixture
def other(worlds: tuple[World, World, User]) -> World:
    return worlds[1]


@pytest.fixture
def outsider(worlds: tuple[World, World, User]) -> User:
    return worlds[2]


@pytest.fixture
def paid(world: World) -> PaidWeek:
    """A closed week of the first organisation."""
    return pay_a_week(world)


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Callable[[datetime], None]:
    """Set the time that the pages see."""

    def set_to(moment: datetime) -> None:
        monkeypatch.setattr("django.utils.timezone.now", lambda: moment)

    return set_to


@pytest.fixture(autouse=True)
def in_the_week(clock: Callable[[datetime], None]) -> None:
    clock(NOW)


def signed_in(actor: Actor) -> Client:
    """A client signed in as the actor's user."""
    client = Client()
    client.force_login(User.objects.get(pk=actor.user))
    return client
