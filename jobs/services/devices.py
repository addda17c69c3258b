"""Devices: a token of its own for every phone or program, shown once, kept as a digest, expiring and revocable."""

from __future__ import annotations

import secrets
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Q

from jobs.actors import Actor
from jobs.models import Device, Membership
from jobs.refusals import Mistake, database_refusals, not_found, raise_mistakes
from jobs.services.office import OFFICE, write_down
from jobs.signin import token_digest
from jobs.tenancy import organisation_scope

LIFE = timedelta(days=365)
# Written at most this often: a token is used with every entry, and a write each time would double the work.
USE_NOTED_EVERY = timedelta(minutes=10)


def device_issue(
    *, actor: Actor, membership: int, name: str, now: datetime, life: timedelta = LIFE
) -> tuple[Device, str]:
    """Make a device and its token, which is told this once. Members issue their own; the office anybody's.

    Raises Invalid, NotFound.
    """
    mistakes = [] if 0 < len(name.strip()) <= 80 else [Mistake("name", "a device needs a name of 80 letters at most.")]
    mistakes += [] if life > timedelta(0) else [Mistake("life", "a token must live for some time.")]
    raise_mistakes(mistakes)
    with database_refusals(), transaction.atomic(), organisation_scope(actor.organisation):
        reach = Q(pk=membership) if actor.role in OFFICE else Q(pk=membership) & Q(pk=actor.membership)
        if not Membership.objects.filter(reach, active=True).exists():
            raise not_found("membership", "member", membership)
        token = secrets.token_urlsafe(32)
        device = Device.objects.create(
            membership_id=membership,
            name=name.strip(),
            token_digest=token_digest(token),
            created_at=now,
            expires_at=now + life,
        )
        after = {"membership": membership, "expires_at": device.expires_at.isoformat()}
        write_down(actor, now, "device_issue", "device", device.pk, after)
        return device, token


def device_revoke(*, actor: Actor, device: int, now: datetime) -> Device:
    """End a device's token at once; ending it twice changes nothing. Raises NotFound."""
    with database_refusals(), transaction.atomic(), organisation_scope(actor.organisation):
        reach = Q(pk=device) if actor.role in OFFICE else Q(pk=device, membership=actor.membership)
        found = Device.objects.select_for_update(no_key=True).filter(reach).first()
        if found is None:
            raise not_found("device", "device", device)
        if found.revoked_at is None:
            found.revoked_at = now
            found.save(update_fields=["revoked_at"])
            write_down(actor, now, "device_revoke", "device", found.pk, {"revoked_at": now.isoformat()})
        return found


def device_use_note(*, device: int, last_used_at: datetime | None, now: datetime) -> None:
    """Note when a device was last used, every ten minutes at most. Needs the organisation in scope."""
    if last_used_at is None or now - last_used_at >= USE_NOTED_EVERY:
        Device.objects.filter(pk=device).update(last_used_at=now)
