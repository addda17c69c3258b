"""Organisations and their members."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime

from django.db import connection, transaction

from jobs.actors import Actor, system
from jobs.clock import is_time_zone
from jobs.models import Membership, Organisation, Person, User
from jobs.models.accounts import Role
from jobs.refusals import Mistake, database_refusals, not_found, raise_mistakes
from jobs.services.office import office_work, write_down
from jobs.services.operations import STARTING_SET, operation_create
from jobs.tenancy import organisation_scope


@dataclass(frozen=True, slots=True)
class OrganisationFacts:
    """What is said of an organisation when it is made. `workweek_start`: 0 is Monday."""

    name: str
    legal_name: str = ""
    address: str = ""
    workweek_start: int = 0
    language: str = "en"
    accent_colour: str = "#1d4f5c"
    time_zone: str = "UTC"


def organisation_create(*, facts: OrganisationFacts, owner: User, now: datetime) -> tuple[Organisation, Membership]:
    """Make an organisation with its first owner and the starting set of operations. Raises Invalid."""
    raise_mistakes(_mistakes(facts))
    with database_refusals(), transaction.atomic():
        with connection.cursor() as cursor:
            # Row security lets an organisation be written only in its own scope, so its id comes first.
            cursor.execute("SELECT nextval(pg_get_serial_sequence('jobs_organisation', 'id'))")
            organisation_id: int = cursor.fetchone()[0]
        with organisation_scope(organisation_id):
            organisation = Organisation(
                id=organisation_id,
                name=facts.name.strip(),
                legal_name=facts.legal_name,
                address=facts.address,
                workweek_start=facts.workweek_start,
                language=facts.language,
                accent_colour=facts.accent_colour,
                time_zone=facts.time_zone,
            )
            organisation.save(force_insert=True)
            membership = Membership.objects.create(user=owner, role=Role.OWNER)
            maker = system(organisation_id)
            write_down(maker, now, "organisation_create", "organisation", organisation_id, {"owner": membership.pk})
            for facts_of in STARTING_SET:
                operation_create(actor=maker, facts=facts_of, now=now)
        return organisation, membership


def member_add(*, actor: Actor, user: User, role: str, person: int | None = None, now: datetime) -> Membership:
    """Give a user a role in the actor's organisation. Raises Invalid, NotFound, Conflict, NotAllowed."""
    known = role in Role.values
    raise_mistakes([] if known else [Mistake("role", f"{role!r} is no role. Use one of: {', '.join(Role.values)}.")])
    with office_work(actor):
        if person is not None and not Person.objects.filter(pk=person).exists():
            raise not_found("person", "person", person)
        membership = Membership.objects.create(user=user, role=role, person_id=person)
        write_down(
            actor, now, "member_add", "membership", membership.pk, {"user": user.pk, "role": role, "person": person}
        )
        return membership


def _mistakes(facts: OrganisationFacts) -> list[Mistake]:
    found = []
    if not facts.name.strip():
        found.append(Mistake("name", "an organisation needs a name."))
    if facts.workweek_start not in range(7):
        found.append(Mistake("workweek_start", f"{facts.workweek_start} is no day. Use 0 for Monday to 6 for Sunday."))
    if not is_time_zone(facts.time_zone):
        found.append(Mistake("time_zone", f"{facts.time_zone!r} is no time zone. Use a name such as America/Chicago."))
    if not re.fullmatch(r"#[0-9a-f]{6}", facts.accent_colour):
        found.append(Mistake("accent_colour", f"{facts.accent_colour!r} is no colour. Write it like #1d4f5c."))
    return found
