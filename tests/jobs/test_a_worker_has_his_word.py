"""A worker confirms or disputes what was logged about him; the office settles it with a word or a correction."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import transaction

from jobs.models import AuditRecord, Word, WordNote
from jobs.refusals import Conflict, Invalid, NotAllowed, NotFound, UuidReused
from jobs.requests import PersonAsked, SharesAsked, WordRequest, note_digest
from jobs.selectors.words import disputes_by_person, disputes_open, own_work
from jobs.services.entries import entry_correct, entry_log
from jobs.services.hours import hours_log
from jobs.services.words import WordAnswer, word_say
from jobs.tenancy import organisation_scope
from tests.jobs.sql import as_application
from tests.jobs.world import DAY, NOW, World, entry, hours
from tests.support.at_once import at_once


def word(world: World, about: UUID, says: str = "disputed", **changes: Any) -> WordRequest:
    facts: dict[str, Any] = {
        "uuid": uuid4(), "about": about, "person": world.people[0], "says": says, "made_at": NOW,
        "reason": "" if says == "confirmed" else "it was twelve feet",
    }  # fmt: skip
    return WordRequest(**(facts | changes))


def say(world: World, request: WordRequest, role: str = "worker") -> WordAnswer:
    return word_say(actor=world.actors[role], request=request, now=NOW)


def open_now(world: World) -> list[tuple[str, str, str]]:
    with organisation_scope(world.organisation):
        return [(one.kind, one.name, one.reason) for one in disputes_open()]


@pytest.fixture
def logged(world: World) -> UUID:
    return entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "10"), now=NOW).uuid


def test_a_dispute_is_open_until_the_office_settles_it(world: World, logged: UUID):
    say(world, word(world, logged))
    assert open_now(world) == [("entry", "Person 1", "it was twelve feet")]
    say(world, word(world, logged, "settled", reason="measured again together"), "office")
    assert open_now(world) == []
    say(world, word(world, logged, reason="still not right"))
    assert open_now(world) == [("entry", "Person 1", "still not right")]
    say(world, word(world, logged, "confirmed"))
    assert open_now(world) == []


def test_a_correction_settles_it_too(world: World, logged: UUID):
    say(world, word(world, logged))
    entry_correct(actor=world.foreman, request=entry(world, None, "12", replaces=logged), now=NOW)
    assert open_now(world) == []


def test_hours_are_disputed_alike_and_told_by_day(world: World):
    time = hours(world, world.people[0], 450)
    hours_log(actor=world.foreman, request=time, now=NOW)
    say(world, word(world, time.uuid))
    with organisation_scope(world.organisation):
        [one] = disputes_by_person(DAY, DAY)[world.people[0]]
        assert disputes_by_person(DAY + timedelta(days=1), DAY + timedelta(days=7)) == {}
    assert one.told == "7:30 h of piece work, Harrow Street Clinic"


def test_he_sees_his_own_work_with_what_he_said(world: World, logged: UUID):
    say(world, word(world, logged, "confirmed"))
    with organisation_scope(world.organisation):
        work = own_work(world.actors["worker"], DAY)
        nothing = own_work(world.actors["worker"], DAY + timedelta(days=1))
    assert [one.uuid for one in work.entries] == [logged]
    assert [share.name for share in work.entries[0].shares] == ["Person 1"]
    assert work.words[logged].says == "confirmed"
    assert nothing.entries == ()


def test_nobody_speaks_for_another(world: World, logged: UUID):
    for role, changes in (("worker", {"person": world.people[1]}), ("foreman", {}), ("office", {})):
        with pytest.raises(NotAllowed):
            say(world, word(world, logged, **changes), role)
    with pytest.raises(NotAllowed):
        say(world, word(world, logged, "settled"), "worker")
    with pytest.raises(NotAllowed):
        say(world, word(world, logged, "settled"), "foreman")


def test_what_is_not_about_him_is_not_found(world: World):
    shares = SharesAsked(people=(PersonAsked(world.people[1]),))
    request = entry(world, world.unit("A", "TRACK"), "1", shares=shares)
    entry_log(actor=world.foreman, request=request, now=NOW)
    for about in (request.uuid, uuid4()):
        with pytest.raises(NotFound):
            say(world, word(world, about))


def test_a_dispute_needs_a_reason_and_what_was_corrected_is_past(world: World, logged: UUID):
    with pytest.raises(Invalid):
        say(world, word(world, logged, reason=" "))
    with pytest.raises(Conflict, match="nothing to settle"):
        say(world, word(world, logged, "settled"), "office")
    entry_correct(actor=world.foreman, request=entry(world, None, "12", replaces=logged), now=NOW)
    with pytest.raises(Conflict, match="corrected since"):
        say(world, word(world, logged))


def test_it_is_said_once_and_kept_as_a_digest(world: World, logged: UUID):
    request = word(world, logged)
    assert say(world, request) == say(world, request)
    with pytest.raises(UuidReused) as reused:
        say(world, word(world, logged, uuid=request.uuid, reason="other"))
    assert [mistake.path for mistake in reused.value.mistakes] == ["reason"]
    with organisation_scope(world.organisation):
        [kept] = Word.objects.all()
        assert kept.reason_digest == note_digest(request.uuid, request.reason)
        assert WordNote.objects.get().text == request.reason
        told = AuditRecord.objects.get(action="word_say").after
    assert "twelve" not in str(told)


def test_a_word_is_never_changed(world: World, logged: UUID):
    say(world, word(world, logged))
    for sql in ("UPDATE jobs_word SET says = 'confirmed'", "DELETE FROM jobs_word"):
        with pytest.raises(Exception, match=r"never changed|permission denied"):
            as_application(world, sql)


def test_one_dispute_settled_by_many_at_once_is_settled_once(committed_world: World):
    world = committed_world
    about = entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "10"), now=NOW).uuid
    say(world, word(world, about))
    asked = [word(world, about, "settled", reason=f"counted again by {number}") for number in range(8)]
    outcomes = at_once(lambda one: say(world, one, "office"), asked)
    assert sorted(type(one).__name__ for one in outcomes) == ["Conflict"] * 7 + ["WordAnswer"]
    with transaction.atomic(), organisation_scope(world.organisation):
        assert Word.objects.filter(about=about, says="settled").count() == 1
