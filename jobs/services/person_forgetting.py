"""Forgetting a person once the law lets his records go: his name leaves, the kept records stay whole.

What is hashed holds ids, and digests made with the person's own salt. Forgetting replaces the salt, so that nobody
can try names and numbers on those digests any more; it touches no hashed row.
"""

from __future__ import annotations

from datetime import date, datetime
from uuid import uuid4
from zoneinfo import ZoneInfo

from jobs.actors import Actor
from jobs.models import EntryNote, EntryPhoto, Membership, Organisation, Person, WordNote
from jobs.refusals import Conflict, Mistake, not_found
from jobs.services.office import office_work, write_down

# The longest of the shipped rule sets: British Columbia, Employment Standards Act, s. 28 (four years); from memory.
# Other duties (tax, a dispute at law) may ask for longer: the office decides, this only refuses what is too early.
KEPT_YEARS = 4


def person_forget(*, actor: Actor, person: int, now: datetime) -> Person:
    """Take a person's name, number, notes and photos away. Forgetting him again changes nothing but the salt.

    Raises NotFound, NotAllowed, and Conflict while he has not left or his records must still be kept.
    """
    with office_work(actor):
        found = Person.objects.select_for_update(no_key=True).filter(pk=person).first()
        if found is None:
            raise not_found("person", "person", person)
        _refuse_too_early(found, now)
        found.name = "forgotten"
        found.number = f"forgotten-{found.pk}"[:20]
        found.language = "en"
        found.salt = uuid4()
        found.save(update_fields=["name", "number", "language", "salt"])
        EntryNote.objects.filter(entry__shares__person=found).exclude(text="").update(text="")
        EntryPhoto.objects.filter(entry__shares__person=found).exclude(image=b"").update(image=b"")
        WordNote.objects.filter(word__person=found).exclude(text="").update(text="")
        Membership.objects.filter(person=found).update(active=False)
        write_down(actor, now, "person_forget", "person", found.pk, {"forgotten": True})
        return found


def _refuse_too_early(person: Person, now: datetime) -> None:
    if person.left_on is None:
        raise Conflict(Mistake("person", f"person {person.pk} has not left. Note his last day first."))
    today = now.astimezone(ZoneInfo(Organisation.objects.get(pk=person.organisation_id).time_zone)).date()
    kept_to = _years_after(person.left_on, KEPT_YEARS)
    if today <= kept_to:
        raise Conflict(
            Mistake(
                "person",
                f"person {person.pk} left on {person.left_on}; records of pay are kept for {KEPT_YEARS} years, to "
                f"{kept_to}. Forget him after that.",
            )
        )


def _years_after(day: date, years: int) -> date:
    """The same day, years later; 1 March for a 29 February that the year does not have."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return day.replace(year=day.year + years, month=3, day=1)
