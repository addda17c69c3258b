"""The worlds of the records (see tests/jobs/fixtures.py)."""

from __future__ import annotations

from tests.jobs.fixtures import committed_world, committed_worlds, lasting_worlds, other, world, worlds

__all__ = ["committed_world", "committed_worlds", "lasting_worlds", "other", "world", "worlds"]
