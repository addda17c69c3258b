"""People who are paid, and their crews."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from jobs.actors import Actor
from jobs.models import Crew, CrewMember, Membership, Person
from jobs.models.accounts import Role
from jobs.refusals import Mistake, NotAllowed, not_found, raise_mistakes
from jobs.services.office import office_work, write_down
from jobs.tenancy import organisation_scope


@dataclass(frozen=True, slots=True)
class PersonFacts:
    """A person as hired. `number` is the organisation's own and unique in it."""

    name: str
    number: str
    started_on: date
    worker_class: str = "journeyman"
    language: str = "en"


@dataclass(frozen=True, slots=True)
class CrewPlace:
    """A person's place in a crew; weight 1 is a full share when shares go by weight."""

    person: int
    weight: Decimal = Decimal(1)


def person_create(*, actor: Actor, facts: PersonFacts, now: datetime) -> Person:
    """Take on a person. Raises Invalid, Conflict (number taken), NotAllowed."""
    raise_mistakes(
        [
            Mistake(field, f"a person needs a {field}.")
            for field in ("name", "number")
            if not getattr(facts, field).strip()
        ]
    )
    with office_work(actor):
        person = Person.objects.create(
            name=facts.name.strip(),
            number=facts.number.strip(),
            worker_class=facts.worker_class,
            started_on=facts.started_on,
            language=facts.language,
        )
        after = {
            "number": person.veiled(person.number),
            "class": person.worker_class,
            "started_on": person.started_on.isoformat(),
        }
        write_down(actor, now, "person_create", "person", person.pk, after)
        return person


def person_leave(*, actor: Actor, person: int, left_on: date, now: datetime) -> Person:
    """Note a person's last day. Later entries and hours for him are refused. Raises Invalid, NotFound, NotAllowed."""
    with office_work(actor):
        found = Person.objects.filter(pk=person).first()
        if found is None:
            raise not_found("person", "person", person)
        if left_on < found.started_on:
            raise_mistakes([Mistake("left_on", f"{left_on} is before the person started, {found.started_on}.")])
        before = {"left_on": found.left_on.isoformat() if found.left_on else None}
        found.left_on = left_on
        found.save(update_fields=["left_on"])
        write_down(actor, now, "person_leave", "person", found.pk, {"left_on": left_on.isoformat()}, before)
        return found


def person_language_choose(*, actor: Actor, language: str, now: datetime) -> Person:
    """Keep the language a person wants his own statements in. Raises NotAllowed for who is not paid here."""
    if actor.person is None:
        raise NotAllowed(Mistake("", "you are not paid here, so there are no statements to choose a language for."))
    with transaction.atomic(), organisation_scope(actor.organisation):
        person = Person.objects.select_for_update(no_key=True).get(pk=actor.person)
        before = {"language": person.language}
        if person.language != language:
            person.language = language
            person.save(update_fields=["language"])
            write_down(actor, now, "person_language", "person", person.pk, {"language": language}, before)
        return person


def crew_create(*, actor: Actor, name: str, foreman: int | None, places: Sequence[CrewPlace], now: datetime) -> Crew:
    """Make a crew under a foreman's membership. Raises Invalid, NotFound, Conflict (name taken), NotAllowed."""
    raise_mistakes(_crew_mistakes(name, places))
    with office_work(actor):
        if foreman is not None and not Membership.objects.filter(pk=foreman, role=Role.FOREMAN).exists():
            raise not_found("foreman", "foreman", foreman)
        known = set(Person.objects.filter(pk__in=[place.person for place in places]).values_list("pk", flat=True))
        for nth, place in enumerate(places):
            if place.person not in known:
                raise not_found(f"places[{nth}].person", "person", place.person)
        crew = Crew.objects.create(name=name.strip(), foreman_id=foreman)
        CrewMember.objects.bulk_create(
            CrewMember(crew=crew, person_id=place.person, weight=place.weight) for place in places
        )
        after = {"foreman": foreman, "people": [[place.person, str(place.weight)] for place in places]}
        write_down(actor, now, "crew_create", "crew", crew.pk, after)
        return crew


def _crew_mistakes(name: str, places: Sequence[CrewPlace]) -> list[Mistake]:
    found = [] if name.strip() else [Mistake("name", "a crew needs a name.")]
    seen: set[int] = set()
    for nth, place in enumerate(places):
        if place.person in seen:
            found.append(Mistake(f"places[{nth}].person", f"person {place.person} stands twice in the crew."))
        if place.weight <= 0:
            found.append(Mistake(f"places[{nth}].weight", f"weight {place.weight} is not above 0."))
        seen.add(place.person)
    return found
