"""Fixtures of the API: two organisations and an outsider, in a transaction that is rolled back, or committed."""

from __future__ import annotations

import pytest

from jobs.models import User
from tests.jobs.world import World, two_worlds


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
def committed_worlds(committed_db: None) -> tuple[World, World, User]:
    return two_worlds()


@pytest.fixture
def committed_world(committed_worlds: tuple[World, World, User]) -> World:
    return committed_worlds[0]
