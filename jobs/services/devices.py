"""Devices: a token of its own for every phone or program, shown once, kept as a digest, expiring and revocable."""

from __future__ import annotations

import secrets
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Q

from jobs.actors import Actor
from jobs.models import Device, Membership
from jobs.refusals import Mistake, database_refusals, not_found, raise_mistakes
from jobs.selectors.members import ranks_over
from jobs.services.office import OFFICE, write_down
from jobs.signin import token_digest
from jobs.tenancy import organisation_scope

LIFE = timedelta(days=365)
LONGEST_LIFE = timedelta(days=730)
NAME_LENGTH = 80
# Written at most this often: a token is used with every entry, and a write each time would double the work.
USE_NOTED_EVERY = timedelta(hours=1)


def device_issue(
    *, actor: Actor, membership: int, name: str, now: datetime, life: timedelta = LIFE
) -> tuple[Device, str]:
    """Make a device and its token, which is told this once.

    Members make their own, and those of members whom they may appoint: a token acts as its member, so that a token of
    somebody higher would be a way up. Raises Invalid, NotFound.
    """
    mistakes = _name_mistakes(name)
    if not timedelta(0) < life <= LONGEST_LIFE:
        mistakes.append(Mistake("life", f"a token must live for some time, and {LONGEST_LIFE.days} days at most."))
    raise_mistakes(mistakes)
    with database_refusals(), transaction.atomic(), organisation_scope(actor.organisation):
        member = Membership.objects.filter(pk=membership, active=True).first()
        if member is None or not (member.pk == actor.membership or ranks_over(actor.role, member.role)):
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


def device_rename(*, actor: Actor, device: int, name: str, now: datetime) -> Device:
    """Call a device something else; calling it the same changes nothing. Raises Invalid, NotFound."""
    with database_refusals(), transaction.atomic(), organisation_scope(actor.organisation):
        found = _reached(actor, device)
        raise_mistakes(_name_mistakes(name))
        before, found.name = found.name, name.strip()
        if found.name != before:
            found.save(update_fields=["name"])
            write_down(actor, now, "device_rename", "device", found.pk, {"name": found.name}, {"name": before})
        return found


def device_revoke(*, actor: Actor, device: int, now: datetime) -> Device:
    """End a device's token at once; ending it twice changes nothing. Members end their own, the office anybody's: a
    lost phone is stopped by whoever is at hand. Raises NotFound."""
    with database_refusals(), transaction.atomic(), organisation_scope(actor.organisation):
        found = _reached(actor, device)
        if found.revoked_at is None:
            found.revoked_at = now
            found.save(update_fields=["revoked_at"])
            write_down(actor, now, "device_revoke", "device", found.pk, {"revoked_at": now.isoformat()})
        return found


def devices_revoke_all(*, actor: Actor, membership: int, now: datetime) -> int:
    """End every token of a member who leaves; how many. Needs the organisation in scope."""
    devices = Device.objects.select_for_update(no_key=True).filter(membership=membership, revoked_at=None)
    for device in devices.order_by("pk"):
        device.revoked_at = now
        device.save(update_fields=["revoked_at"])
        write_down(actor, now, "device_revoke", "device", device.pk, {"revoked_at": now.isoformat()})
    return len(devices)


def device_use_note(*, device: int, last_used_at: datetime | None, now: datetime) -> None:
    """Note when a device was last used, once an hour at most. Needs the organisation in scope."""
    if last_used_at is None or now - last_used_at >= USE_NOTED_EVERY:
        Device.objects.filter(pk=device).update(last_used_at=now)


def _name_mistakes(name: str) -> list[Mistake]:
    if 0 < len(name.strip()) <= NAME_LENGTH and "\x00" not in name:
        return []
    return [Mistake("name", f"a device needs a name of {NAME_LENGTH} letters at most.")]


def _reached(actor: Actor, device: int) -> Device:
    reach = Q(pk=device) if actor.role in OFFICE else Q(pk=device, membership=actor.membership)
    found = Device.objects.select_for_update(no_key=True).filter(reach).first() if device < 2**63 else None
    if found is None:
        raise not_found("device", "device", device)
    return found
