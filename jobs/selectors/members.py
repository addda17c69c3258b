"""Members of an organisation: who they are, what they may see, and who may appoint whom."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from jobs.actors import Actor
from jobs.models import Crew, Invitation, Job, JobAccess, Membership, Person
from jobs.refusals import not_found
from jobs.selectors.second_factors import with_second_factor

# Whom each role appoints, ends and hands tokens to. The owner alone makes owners and offices; `system` is a command.
_OVER: dict[str, frozenset[str]] = {
    "owner": frozenset({"owner", "office", "foreman", "worker"}),
    "system": frozenset({"owner", "office", "foreman", "worker"}),
    "office": frozenset({"foreman", "worker"}),
}


def ranks_over(role: str, other: str) -> bool:
    """Whether a member of `role` may appoint, change or end one of role `other`."""
    return other in _OVER.get(role, frozenset())


@dataclass(frozen=True, slots=True)
class MemberLine:
    """A member as listed. `mine` is the one who reads; `open` whether the reader may change him."""

    id: int
    email: str
    role: str
    person: str
    active: bool
    mine: bool
    open: bool
    second_factor: bool


@dataclass(frozen=True, slots=True)
class InvitationLine:
    """An invitation that nobody has answered. `over` when its time has run out; `open` as of a member."""

    id: int
    email: str
    role: str
    person: str
    sent_at: datetime | None
    expires_at: datetime
    over: bool
    open: bool


@dataclass(frozen=True, slots=True)
class Choices:
    """What a member can be tied to: people, jobs and crews as (id, name)."""

    people: list[tuple[int, str]]
    jobs: list[tuple[int, str]]
    crews: list[tuple[int, str]]


@dataclass(frozen=True, slots=True)
class MemberSheet:
    """One member with what he may see."""

    line: MemberLine
    person: int | None
    jobs: frozenset[int]
    crews: frozenset[int]


def member_lines(actor: Actor) -> list[MemberLine]:
    """Every member, those who are in first. Two queries, however many they are."""
    members = list(Membership.objects.select_related("person", "user").order_by("-active", "pk"))
    proved = with_second_factor([one.user_id for one in members])
    return [_line(actor, one, one.user_id in proved) for one in members]


def member_sheet(actor: Actor, membership: int) -> MemberSheet:
    """One member. Raises NotFound."""
    member = (
        Membership.objects.select_related("person", "user").filter(pk=membership).first()
        if membership < 2**63
        else None
    )
    if member is None:
        raise not_found("membership", "member", membership)
    return MemberSheet(
        line=_line(actor, member, bool(with_second_factor([member.user_id]))),
        person=member.person_id,
        jobs=frozenset(JobAccess.objects.filter(membership=member).values_list("job_id", flat=True)),
        crews=frozenset(Crew.objects.filter(foreman=member).values_list("pk", flat=True)),
    )


def invitation_lines(actor: Actor, now: datetime) -> list[InvitationLine]:
    """Invitations that stand, and those whose time ran out, newest first."""
    standing = Invitation.objects.select_related("person").filter(accepted_at=None, withdrawn_at=None)
    return [
        InvitationLine(
            id=one.pk,
            email=one.email,
            role=one.role,
            person=one.person.name if one.person else "",
            sent_at=one.sent_at,
            expires_at=one.expires_at,
            over=one.expires_at <= now,
            open=ranks_over(actor.role, one.role),
        )
        for one in standing.order_by("-pk")
    ]


def choices() -> Choices:
    """People who have not left, every job and every crew."""
    people = Person.objects.filter(left_on=None).order_by("name", "pk")
    return Choices(
        people=[(one.pk, f"{one.name} ({one.number})") for one in people],
        jobs=list(Job.objects.order_by("name").values_list("pk", "name")),
        crews=list(Crew.objects.order_by("name").values_list("pk", "name")),
    )


def _line(actor: Actor, member: Membership, second_factor: bool) -> MemberLine:
    return MemberLine(
        id=member.pk,
        email=member.user.email,
        role=member.role,
        person=member.person.name if member.person else "",
        active=member.active,
        mine=member.pk == actor.membership,
        open=ranks_over(actor.role, member.role),
        second_factor=second_factor,
    )
