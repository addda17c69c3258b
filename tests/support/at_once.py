"""Run the same step from many threads at one moment, each on a database connection of its own."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import TypeVar

from django.db import connections

Given = TypeVar("Given")
Answer = TypeVar("Answer")


def at_once(step: Callable[[Given], Answer], givens: Sequence[Given]) -> list[Answer | Exception]:
    """Call `step(given)` for every given, all released by one barrier; answers or exceptions in the order of givens.

    Needs `committed_db`: threads do not see what another thread has not committed.
    """
    barrier = Barrier(len(givens))

    def run(given: Given) -> Answer | Exception:
        try:
            connections["default"].ensure_connection()
            barrier.wait(timeout=60)
            return step(given)
        except Exception as refused:  # noqa: BLE001 - the caller asserts on what each thread met
            return refused
        finally:
            connections.close_all()

    with ThreadPoolExecutor(max_workers=len(givens)) as threads:
        return list(threads.map(run, givens))
