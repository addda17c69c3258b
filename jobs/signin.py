"""Sign-in look-ups: the only questions asked before an organisation is in scope.

Row security shows nothing without a scope, so these go through narrow functions of the database that look past it
and return nothing else (made in migration 0002).
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import connection

from jobs.actors import Actor
from jobs.prepared import cursor_for


@dataclass(frozen=True, slots=True)
class MembershipChoice:
    """An organisation a user may work in."""

    organisation_name: str
    actor: Actor


@dataclass(frozen=True, slots=True)
class DeviceFound:
    """A device whose token is good at the moment of asking."""

    actor: Actor
    last_used_at: datetime | None


@dataclass(frozen=True, slots=True)
class InvitationFound:
    """An invitation whose token is good at the moment of asking."""

    id: int
    organisation: int
    organisation_name: str
    email: str
    role: str


# Where a session keeps the membership that was chosen among several.
MEMBERSHIP = "membership"
# In the session of somebody who gave a code when he signed in, or set his second factor up in it.
SECOND_FACTOR = "second_factor"


def membership_chosen(choices: Sequence[MembershipChoice], wanted: object) -> Actor | None:
    """The only membership of a user, or the one he chose; None while he has to choose."""
    if len(choices) == 1:
        return choices[0].actor
    return next((choice.actor for choice in choices if choice.actor.membership == wanted), None)


def token_digest(token: str) -> bytes:
    return hashlib.sha256(token.encode()).digest()


def memberships_of(user_id: int) -> list[MembershipChoice]:
    """Active memberships of a user, by organisation name."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT membership_id, organisation_id, organisation_name, role, person_id FROM piecewall_memberships(%s)",
            [user_id],
        )
        return [
            MembershipChoice(
                name, Actor(organisation=organisation, membership=membership, role=role, person=person, user=user_id)
            )
            for membership, organisation, name, role, person in cursor.fetchall()
        ]


def device_by_token(token: str, now: datetime) -> DeviceFound | None:
    """The device of a token; None when it is unknown, expired or revoked, or its membership is not active."""
    with cursor_for(1) as cursor:
        cursor.execute(
            "SELECT device_id, organisation_id, membership_id, role, person_id, user_id, expires_at, revoked_at, "
            "last_used_at, active FROM piecewall_device(%s)",
            [token_digest(token)],
        )
        row = cursor.fetchone()
    if row is None:
        return None
    device, organisation, membership, role, person, user, expires_at, revoked_at, last_used_at, active = row
    if not active or revoked_at is not None or expires_at <= now:
        return None
    actor = Actor(organisation=organisation, membership=membership, role=role, person=person, device=device, user=user)
    return DeviceFound(actor, last_used_at)


def invitation_by_token(token: str, now: datetime) -> InvitationFound | None:
    """The invitation of a token; None when it is unknown, expired, answered or withdrawn."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT invitation_id, organisation_id, organisation_name, email, role, expires_at "
            "FROM piecewall_invitation(%s)",
            [token_digest(token)],
        )
        row = cursor.fetchone()
    return InvitationFound(*row[:5]) if row is not None and row[5] > now else None
