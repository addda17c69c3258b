"""What each role sees: owners and the office everything of their organisation, a foreman his jobs and crews, a worker
his own lines. Every list of the API and every page starts from one of these."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, Q

from jobs.actors import Actor
from jobs.models import Crew, CrewMember, Entry, EntryShare, Hours, Job, JobAccess, Person, Wall, Word, WorkUnit
from jobs.tenancy import RecordQuerySet


def _access(actor: Actor, job: str) -> Exists:
    return Exists(JobAccess.objects.filter(job=OuterRef(job), membership=actor.membership))


def jobs_of(actor: Actor) -> RecordQuerySet[Job]:
    return Job.objects.all() if actor.sees_every_job else Job.objects.filter(_access(actor, "pk"))


def walls_of(actor: Actor) -> RecordQuerySet[Wall]:
    return Wall.objects.all() if actor.sees_every_job else Wall.objects.filter(_access(actor, "job"))


def work_units_of(actor: Actor) -> RecordQuerySet[WorkUnit]:
    return WorkUnit.objects.all() if actor.sees_every_job else WorkUnit.objects.filter(_access(actor, "job"))


def crews_of(actor: Actor) -> RecordQuerySet[Crew]:
    return Crew.objects.all() if actor.sees_every_job else Crew.objects.filter(foreman=actor.membership)


def people_of(actor: Actor) -> RecordQuerySet[Person]:
    if actor.sees_every_job:
        return Person.objects.all()
    led = CrewMember.objects.filter(person=OuterRef("pk"), active=True, crew__foreman=actor.membership)
    return Person.objects.filter(Q(pk=actor.person) | Exists(led))


def entries_of(actor: Actor) -> RecordQuerySet[Entry]:
    """All; a foreman's those of his jobs; a worker's those he has a share in."""
    if actor.sees_every_job:
        return Entry.objects.all()
    if actor.role == "foreman":
        return Entry.objects.filter(_access(actor, "job"))
    return Entry.objects.filter(Exists(EntryShare.objects.filter(entry=OuterRef("pk"), person=actor.person)))


def hours_of(actor: Actor) -> RecordQuerySet[Hours]:
    """All; a foreman's those of his jobs; a worker's his own."""
    if actor.sees_every_job:
        return Hours.objects.all()
    if actor.role == "foreman":
        return Hours.objects.filter(_access(actor, "job"))
    return Hours.objects.filter(person=actor.person)


def words_of(actor: Actor) -> RecordQuerySet[Word]:
    """All for the office; everybody else those by or about himself."""
    return Word.objects.all() if actor.sees_every_job else Word.objects.filter(person=actor.person)
