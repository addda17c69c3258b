"""What every service of the office shares: the role it needs, its transaction and scope, and its audit record."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs import audit
from jobs.actors import Actor
from jobs.refusals import Mistake, NotAllowed, database_refusals
from jobs.tenancy import organisation_scope

OFFICE = frozenset({"owner", "office", "system"})


@contextmanager
def office_work(actor: Actor) -> Iterator[None]:
    """One transaction in the actor's organisation. Raises NotAllowed for a role that is not the office's."""
    if actor.role not in OFFICE:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not do this. Ask the office."))
    with database_refusals(), transaction.atomic(), organisation_scope(actor.organisation):
        yield


def write_down(
    actor: Actor,
    now: datetime,
    action: str,
    kind: str,
    key: int,
    after: Mapping[str, Any],
    before: Mapping[str, Any] | None = None,
) -> None:
    """One audit record."""
    change = audit.Change(action=action, subject_kind=kind, subject_key=str(key), after=after, before=before)
    audit.record(actor=actor, at=now, changes=[change])
