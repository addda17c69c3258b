"""Fixtures of the records: two organisations and an outsider.

`worlds` are committed once for all tests of a process and used inside a transaction that is rolled back, so every test
finds them as they were made. `committed_worlds` are made anew for a test that really commits.
"""

from __future__ import annotations

import pytest
from pytest_django import DjangoDbBlocker

from jobs.models import User
from tests.jobs.world import World, two_worlds

Worlds = tuple[World, World, User]


@pytest.fixture(scope="session")
def lasting_worlds(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Worlds:
    with django_db_blocker.unblock():
        return two_worlds()


@pytest.fixture
def worlds(lasting_worlds: Worlds, db: None) -> Worlds:
    return lasting_worlds


@pytest.fixture
def world(worlds: Worlds) -> World:
    return worlds[0]


@pytest.fixture
def other(worlds: Worlds) -> World:
    return worlds[1]


@pytest.fixture
def committed_worlds(committed_db: None) -> Worlds:
    return two_worlds()


@pytest.fixture
def committed_world(committed_worlds: Worlds) -> World:
    return committed_worlds[0]
