"""What every page shows of the one who reads it: his firm, its colour, his role and the day it is there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from jobs.actors import Actor
from jobs.models import Organisation, Person


@dataclass(frozen=True, slots=True)
class Seat:
    """An actor at his firm. `workweek_start`: 0 is Monday; `today` by the organisation's clock; `language` as the
    person wants to be spoken to."""

    actor: Actor
    organisation: str
    accent_colour: str
    workweek_start: int
    time_zone: str
    today: date
    person_name: str
    second_factor_required: bool
    language: str = "en"

    @property
    def is_office(self) -> bool:
        return self.actor.role in {"owner", "office"}

    @property
    def logs_work(self) -> bool:
        return self.actor.role in {"owner", "office", "foreman"}


def seat_of(actor: Actor, now: datetime) -> Seat:
    """Needs the actor's organisation in scope."""
    organisation = Organisation.objects.get(pk=actor.organisation)
    known = Person.objects.filter(pk=actor.person).values_list("name", "language") if actor.person else None
    name, language = (known.first() if known is not None else None) or ("", "en")
    return Seat(
        actor=actor,
        organisation=organisation.name,
        accent_colour=organisation.accent_colour,
        workweek_start=organisation.workweek_start,
        time_zone=organisation.time_zone,
        today=now.astimezone(ZoneInfo(organisation.time_zone)).date(),
        person_name=name,
        language=language,
        second_factor_required=organisation.second_factor_required,
    )
