"""Devices as listed: a member's own; for the office those of all its members."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from jobs.actors import Actor
from jobs.models import Device, Membership
from jobs.refusals import not_found
from jobs.selectors.members import ranks_over
from jobs.tenancy import RecordQuerySet


@dataclass(frozen=True, slots=True)
class DeviceLine:
    """A device. `state` is in force, expired or revoked; `whose` names its member."""

    id: int
    name: str
    whose: str
    mine: bool
    created_at: datetime
    expires_at: datetime
    last_used_at: datetime | None
    revoked_at: datetime | None
    state: str


def devices_of(actor: Actor) -> RecordQuerySet[Device]:
    """All of the organisation for the office, else the actor's own."""
    return Device.objects.all() if actor.sees_every_job else Device.objects.filter(membership=actor.membership)


def device_lines(actor: Actor, now: datetime) -> list[DeviceLine]:
    """Those in force first, newest first. One query, however many they are."""
    found = devices_of(actor).select_related("membership__user", "membership__person").order_by("-pk")
    lines = [_line(actor, one, now) for one in found]
    return sorted(lines, key=lambda line: line.state != "in force")


def device_line(actor: Actor, device: int, now: datetime) -> DeviceLine:
    """One device in reach. Raises NotFound."""
    found = devices_of(actor).select_related("membership__user", "membership__person").filter(pk=device).first()
    if found is None:
        raise not_found("device", "device", device)
    return _line(actor, found, now)


def state_of(device: Device, now: datetime) -> str:
    if device.revoked_at is not None:
        return "revoked"
    return "expired" if device.expires_at <= now else "in force"


def members_to_give(actor: Actor) -> list[tuple[int, str]]:
    """Other members for whom the actor may make a token, as (membership, name)."""
    members = Membership.objects.select_related("user", "person").filter(active=True).exclude(pk=actor.membership)
    return [
        (one.pk, f"{_called(one)}, {one.role}") for one in members.order_by("pk") if ranks_over(actor.role, one.role)
    ]


def _called(member: Membership) -> str:
    return member.person.name if member.person else member.user.email


def _line(actor: Actor, device: Device, now: datetime) -> DeviceLine:
    return DeviceLine(
        id=device.pk,
        name=device.name,
        whose=_called(device.membership),
        mine=device.membership_id == actor.membership,
        created_at=device.created_at,
        expires_at=device.expires_at,
        last_used_at=device.last_used_at,
        revoked_at=device.revoked_at,
        state=state_of(device, now),
    )
