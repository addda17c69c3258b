"""Members of an organisation: another place, another reach, the end of it. Owners alone decide on owners and office."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from django.db.models import Q

from jobs.actors import Actor
from jobs.models import Crew, Job, JobAccess, Membership, Person
from jobs.models.accounts import Role
from jobs.refusals import Mistake, NotAllowed, not_found, raise_mistakes
from jobs.selectors.members import ranks_over
from jobs.services.devices import devices_revoke_all
from jobs.services.office import office_work, write_down


def place_mistakes(
    *, role: str, person: int | None, jobs: Collection[int] = (), crews: Collection[int] = ()
) -> list[Mistake]:
    """What is wrong with a place that is to be given. Needs the organisation in scope."""
    found = []
    if role not in Role.values:
        found.append(Mistake("role", f"{role[:40]!r} is no role. Use one of: {', '.join(Role.values)}."))
    if role == "worker" and person is None:
        found.append(Mistake("person", "a worker is somebody who is paid. Choose the person he is."))
    if person is not None and not Person.objects.filter(pk=person).exists():
        found.append(Mistake("person", f"person {person} was not found. Choose one of the list."))
    known = set(Job.objects.filter(pk__in=jobs).values_list("pk", flat=True))
    found += [Mistake("jobs", f"job {job} was not found. Choose one of the list.") for job in jobs if job not in known]
    known = set(Crew.objects.filter(pk__in=crews).values_list("pk", flat=True))
    found += [
        Mistake("crews", f"crew {crew} was not found. Choose one of the list.") for crew in crews if crew not in known
    ]
    return found


def member_place_set(
    *,
    actor: Actor,
    membership: int,
    role: str,
    person: int | None,
    jobs: Collection[int],
    crews: Collection[int],
    now: datetime,
) -> Membership:
    """Give a member a role, the person he is paid as, jobs he sees and crews he leads; what is so already stays.

    Jobs are for foremen and workers, crews for foremen; the other roles see everything. Raises Invalid, NotFound,
    NotAllowed, and Conflict for the last owner.
    """
    with office_work(actor):
        member = locked_member(actor, membership)
        if not ranks_over(actor.role, role) and role in Role.values:
            raise NotAllowed(Mistake("role", f"the role {actor.role} makes nobody {role}. Ask an owner."))
        raise_mistakes(place_mistakes(role=role, person=person, jobs=jobs, crews=crews))
        before = {"role": member.role, "person": member.person_id}
        after = {"role": role, "person": person}
        if before != after:
            member.role, member.person_id = role, person
            member.save(update_fields=["role", "person"])
            write_down(actor, now, "member_place_set", "membership", member.pk, after, before)
        reach_set(actor, member, jobs=jobs, crews=crews, now=now)
        return member


def member_end(*, actor: Actor, membership: int, now: datetime) -> Membership:
    """End a membership: his sessions and tokens open nothing here from the next request on. Ending it twice changes
    nothing. What he logged stays his. Raises NotFound, NotAllowed, and Conflict for the last owner."""
    with office_work(actor):
        member = locked_member(actor, membership)
        if not member.active:
            return member
        member.active = False
        member.save(update_fields=["active"])
        write_down(actor, now, "member_end", "membership", member.pk, {"active": False}, {"active": True})
        devices_revoke_all(actor=actor, membership=member.pk, now=now)
        reach_set(actor, member, jobs=(), crews=(), now=now)
        return member


def reach_set(
    actor: Actor, member: Membership, *, jobs: Collection[int], crews: Collection[int], now: datetime
) -> None:
    """Let a member see these jobs and lead these crews, and no others. Needs the organisation in scope."""
    wanted_jobs = set(jobs) if member.active and member.role in {Role.FOREMAN, Role.WORKER} else set()
    wanted_crews = set(crews) if member.active and member.role == Role.FOREMAN else set()
    seen = set(JobAccess.objects.filter(membership=member).values_list("job_id", flat=True))
    for job in sorted(wanted_jobs - seen):
        JobAccess.objects.create(job_id=job, membership=member)
        write_down(actor, now, "job_access_give", "job", job, {"membership": member.pk})
    for job in sorted(seen - wanted_jobs):
        JobAccess.objects.filter(job=job, membership=member).delete()
        write_down(actor, now, "job_access_end", "job", job, {"membership": None}, {"membership": member.pk})
    led = Crew.objects.select_for_update(no_key=True).filter(foreman=member)
    for crew in led.exclude(pk__in=wanted_crews).order_by("pk"):
        _lead(actor, crew, None, now)
    for crew in Crew.objects.select_for_update(no_key=True).filter(pk__in=wanted_crews).order_by("pk"):
        if crew.foreman_id != member.pk:
            _lead(actor, crew, member.pk, now)


def locked_member(actor: Actor, membership: int) -> Membership:
    """A member whom the actor may change, locked with every owner, in the order of ids.

    So two owners who take each other out wait for each other, and the second is refused. Raises NotFound, NotAllowed.
    """
    wanted = Q(pk=membership) | Q(role=Role.OWNER, active=True)
    locked = Membership.objects.select_for_update(no_key=True).filter(wanted).order_by("pk")
    member = next((one for one in locked if one.pk == membership), None) if membership < 2**63 else None
    if member is None:
        raise not_found("membership", "member", membership)
    if not ranks_over(actor.role, member.role):
        raise NotAllowed(
            Mistake("", f"the role {actor.role} does not change a member of role {member.role}. Ask an owner.")
        )
    return member


def _lead(actor: Actor, crew: Crew, foreman: int | None, now: datetime) -> None:
    before, crew.foreman_id = crew.foreman_id, foreman
    crew.save(update_fields=["foreman"])
    write_down(actor, now, "crew_foreman_set", "crew", crew.pk, {"foreman": foreman}, {"foreman": before})
