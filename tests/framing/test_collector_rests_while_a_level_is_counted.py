"""The collector rests while a level is counted and is handed what stands as old, for it holds no cycles."""

from __future__ import annotations

import gc
from collections.abc import Iterator

import pytest

from framing.at_rest import collector_at_rest


@pytest.fixture(autouse=True)
def _collector_as_before() -> Iterator[None]:
    gc.enable()
    yield
    gc.unfreeze()
    gc.enable()


def test_nothing_is_collected_inside_and_what_was_made_is_old_after_it() -> None:
    with collector_at_rest():
        assert not gc.isenabled()
        made = [[number] for number in range(10_000)]
    assert gc.isenabled()
    young = {id(one) for generation in (0, 1) for one in gc.get_objects(generation)}
    assert not young & {id(one) for one in made}


def test_a_collector_that_was_off_stays_off() -> None:
    gc.disable()
    with collector_at_rest():
        pass
    assert not gc.isenabled()


def test_what_a_server_froze_stays_frozen() -> None:
    gc.freeze()
    frozen = gc.get_freeze_count()
    with collector_at_rest():
        pass
    assert gc.get_freeze_count() == frozen > 0
    assert gc.isenabled()
