"""Work handed to the Celery worker once the change that asks for it is committed, and not if it is rolled back."""

from __future__ import annotations

from typing import Any

from celery import current_app
from django.db import transaction


def queue_on_commit(task: str, *values: Any) -> None:
    """Queue a task by its name (see jobs/tasks.py); outside a transaction at once.

    What is committed stays so if the queue is away: the fault is logged, and what waits for the task says so itself, as
    an invitation that is not sent yet.
    """
    transaction.on_commit(lambda: current_app.send_task(task, values), robust=True)
