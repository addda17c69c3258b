"""A person's name leaves when the law lets it; every hash still holds, and nobody can try names on what stays."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from hashlib import sha256

import pytest

from jobs.actors import Actor
from jobs.models import AuditRecord, EntryNote, Membership, Person
from jobs.refusals import Conflict, NotAllowed, NotFound
from jobs.selectors.audit_chain import audit_breaks
from jobs.services.audit_sealing import audit_seal
from jobs.services.entries import entry_log
from jobs.services.people import PersonFacts, person_create, person_leave
from jobs.services.person_forgetting import person_forget
from jobs.tenancy import organisation_scope
from tests.jobs.world import NOW, World, entry

LEFT = date(2026, 11, 19)
# Four years and a day after he left: British Columbia, Employment Standards Act, s. 28; from memory.
THEN = datetime(2030, 11, 20, 12, 0, tzinfo=UTC)


def test_his_name_leaves_and_the_chain_holds(world: World):
    person = world.people[0]
    request = entry(world, world.unit("A", "TRACK"), "1", note="Person 1 has the key")
    entry_log(actor=world.foreman, request=request, now=NOW)
    person_leave(actor=world.owner, person=person, left_on=LEFT, now=NOW)
    audit_seal(organisation=world.organisation, now=NOW)
    person_forget(actor=world.owner, person=person, now=THEN)
    audit_seal(organisation=world.organisation, now=THEN)
    with organisation_scope(world.organisation):
        assert not list(audit_breaks())
        assert not Person.objects.filter(name="Person 1").exists()
        assert EntryNote.objects.get().text == ""
        assert not Membership.objects.get(person=person).active


def test_a_number_is_kept_as_a_digest_that_the_old_salt_alone_explains(world: World):
    made = person_create(actor=world.owner, facts=PersonFacts("Quillon Ashgrove", "900-55", LEFT), now=NOW)
    with organisation_scope(world.organisation):
        after = AuditRecord.objects.get(action="person_create", subject_key=str(made.pk)).after
        assert "900-55" not in json.dumps(after)
        # derived: SHA-256 over the salt's 16 bytes and the number.
        assert after["number"] == sha256(made.salt.bytes + b"900-55").hexdigest()
    person_leave(actor=world.owner, person=made.pk, left_on=LEFT, now=NOW)
    forgotten = person_forget(actor=world.owner, person=made.pk, now=THEN)
    assert forgotten.salt != made.salt
    assert forgotten.veiled("900-55") != after["number"]


def test_not_while_he_works_nor_while_records_must_be_kept(world: World):
    person = world.people[1]
    with pytest.raises(Conflict, match=r"has not left. Note his last day first"):
        person_forget(actor=world.owner, person=person, now=THEN)
    person_leave(actor=world.owner, person=person, left_on=LEFT, now=NOW)
    with pytest.raises(Conflict, match=r"kept for 4 years, to 2030-11-19. Forget him after that"):
        person_forget(actor=world.owner, person=person, now=datetime(2030, 11, 19, 23, 0, tzinfo=UTC))


def test_only_the_office_and_only_its_own(world: World, other: World):
    with pytest.raises(NotFound):
        person_forget(actor=other.owner, person=world.people[0], now=THEN)
    for role in ("foreman", "worker"):
        with pytest.raises(NotAllowed):
            person_forget(actor=world.actors[role], person=world.people[0], now=THEN)
    with pytest.raises(NotAllowed):
        person_forget(actor=Actor(world.organisation, None, "outsider"), person=world.people[0], now=THEN)
