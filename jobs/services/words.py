"""What people say of entries and hours about them: confirmed, disputed for a reason, settled by the office for one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from jobs import audit
from jobs.actors import Actor
from jobs.models import Person, Word, WordNote
from jobs.models.words import CONFIRMED, DISPUTED, SETTLED, Says
from jobs.refusals import Conflict, Mistake, NotAllowed, database_refusals, invalid, not_found
from jobs.requests import WordRequest, note_digest
from jobs.selectors.words import is_about, last_word
from jobs.services.office import OFFICE
from jobs.services.receipts import receipt_write, received_before
from jobs.tenancy import organisation_scope


@dataclass(frozen=True, slots=True)
class WordAnswer:
    """What is told of a word. The reason is empty where none was given, or once it was forgotten."""

    id: int
    uuid: UUID
    about: UUID
    person: int
    says: str
    reason: str
    received_at: datetime


def word_say(*, actor: Actor, request: WordRequest, now: datetime) -> WordAnswer:
    """Keep what is said, exactly once. A person speaks for himself alone; the office settles what he disputes.

    Raises NotAllowed, NotFound, Invalid (no reason), UuidReused, and Conflict where the entry or hours were corrected
    since or there is nothing to settle.
    """
    with database_refusals(), transaction.atomic(), organisation_scope(actor.organisation):
        if received_before(actor=actor, kind="word", request=request):
            return _kept(request.uuid)
        # Words about one person come one after the other: of two who settle one dispute, the second finds it settled.
        Person.objects.select_for_update(no_key=True).filter(pk=request.person).first()
        _check(actor, request)
        if not receipt_write(actor=actor, kind="word", request=request, now=now):
            return _kept(request.uuid)
        word = Word.objects.create(
            uuid=request.uuid,
            about=request.about,
            person_id=request.person,
            says=request.says,
            reason_digest=note_digest(request.uuid, request.reason),
            said_by_id=actor.membership,
            received_at=now,
        )
        if request.reason:
            WordNote.objects.create(word=word, text=request.reason)
        change = audit.Change("word_say", "word", str(request.uuid), after=request.canonical())
        audit.record(actor=actor, at=now, changes=[change])
        return _answer(word, request.reason)


def _check(actor: Actor, request: WordRequest) -> None:
    if request.says not in Says.values:
        raise invalid("says", f"{request.says!r} is not said here. Use one of: {', '.join(Says.values)}.")
    if request.says == SETTLED:
        if actor.role not in OFFICE or actor.membership is None:
            raise NotAllowed(Mistake("says", f"the role {actor.role} does not settle disputes. Ask the office."))
    elif actor.membership is None or actor.person is None or actor.person != request.person:
        raise NotAllowed(Mistake("person", "everybody speaks of his own entries and hours. Let the person say it."))
    if request.says != CONFIRMED and not request.reason.strip():
        raise invalid("reason", f"it is {request.says} for a reason. Say it in a few words.")
    stands = is_about(request.about, request.person)
    if stands is None:
        raise not_found("about", "entry or hours", request.about)
    if not stands:
        raise Conflict(Mistake("about", f"{request.about} was corrected since. Look at what stands in its place."))
    if request.says == SETTLED and last_word(request.about, request.person) != DISPUTED:
        raise Conflict(Mistake("says", "it is not disputed any more. There is nothing to settle."))


def _kept(uuid: UUID) -> WordAnswer:
    word = Word.objects.get(uuid=uuid)
    return _answer(word, WordNote.objects.filter(word=word).values_list("text", flat=True).first() or "")


def _answer(word: Word, reason: str) -> WordAnswer:
    return WordAnswer(word.pk, word.uuid, word.about, word.person_id, word.says, reason, word.received_at)
