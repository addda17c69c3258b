"""The worlds of the records (see tests/jobs/fixtures.py)."""

from __future__ import annotations

from tests.jobs.fixtures import committed_world, committed_worlds, lasting_worlds, other, world, worlds
from tests.pages.conftest import clock

__all__ = ["clock", "committed_world", "committed_worlds", "lasting_worlds", "other", "world", "worlds"]
