"""Each change is written down with who, device, when, before and after, in its own transaction, without names."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal

import pytest

from jobs.audit import Change, canonical, digest_of
from jobs.models import AuditRecord, EntryNote, Operation, Receipt
from jobs.refusals import OverClaim
from jobs.services.devices import device_issue, device_revoke
from jobs.services.entries import entry_log
from jobs.services.hours import hours_log
from jobs.services.people import PersonFacts, person_create
from jobs.services.sites import budget_set
from jobs.tenancy import organisation_scope
from tests.jobs.world import DAY, NOW, World, entry, hours


def records(world: World) -> list[AuditRecord]:
    with organisation_scope(world.organisation):
        return list(AuditRecord.objects.order_by("pk"))


def test_every_service_left_its_record(world: World):
    entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "1"), now=NOW)
    hours_log(actor=world.foreman, request=hours(world, world.people[0], 60), now=NOW)
    device, _ = device_issue(actor=world.foreman, membership=world.foreman.membership or 0, name="phone", now=NOW)
    device_revoke(actor=world.foreman, device=device.pk, now=NOW)
    assert {record.action for record in records(world)} == {
        "organisation_create", "operation_create", "member_add", "person_create", "crew_create", "job_create",
        "job_access_give", "plan_import", "device_issue", "device_revoke", "entry_log", "hours_log",
    }  # fmt: skip


def test_a_record_says_who_with_what_and_when(world: World):
    phone = replace(world.foreman, device=_device(world))
    request = entry(world, world.unit("A", "TRACK"), "1.25")
    entry_log(actor=phone, request=request, now=NOW)
    last = records(world)[-1]
    assert (last.actor_id, last.device_id, last.at) == (phone.membership, phone.device, NOW)
    assert (last.action, last.subject_kind, last.subject_key) == ("entry_log", "entry", str(request.uuid))
    assert last.before is None
    assert last.after["quantity"] == "1.25"
    assert last.after["shares"] == [[person, "0.25"] for person in world.people]


def test_a_correction_names_what_stood_before(world: World):
    first = entry(world, world.unit("A", "TRACK"), "5")
    entry_log(actor=world.foreman, request=first, now=NOW)
    entry_log(actor=world.foreman, request=entry(world, None, "4", replaces=first.uuid), now=NOW)
    last = records(world)[-1]
    assert (last.action, last.before) == ("entry_correct", {"entry": str(first.uuid), "quantity": "5"})


def test_every_digest_can_be_made_again_from_the_row(world: World):
    entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "1.10"), now=NOW)
    for record in records(world):
        actor = replace(
            world.foreman, organisation=record.organisation_id, membership=record.actor_id, device=record.device_id
        )
        change = Change(record.action, record.subject_kind, record.subject_key, record.after, record.before)
        assert bytes(record.digest) == digest_of(actor, record.at, change)


@pytest.mark.parametrize(
    "changed", [{"after": {"quantity": "2"}}, {"subject_key": "x"}, {"before": {}}, {"action": "y"}]
)
def test_a_digest_covers_the_whole_record(world: World, changed: dict[str, object]):
    change = Change("entry_log", "entry", "k", {"quantity": "1"})
    assert digest_of(world.foreman, NOW, change) != digest_of(world.foreman, NOW, replace(change, **changed))
    assert digest_of(world.foreman, NOW, change) != digest_of(world.owner, NOW, change)


def test_a_refused_entry_leaves_no_record(world: World):
    before = len(records(world))
    with pytest.raises(OverClaim):
        entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "9999"), now=NOW)
    assert len(records(world)) == before


def test_no_name_and_no_note_stands_in_a_record_or_receipt(world: World):
    person_create(actor=world.owner, facts=PersonFacts("Quillon Ashgrove", "077", DAY), now=NOW)
    note = "Ask Quillon about the lift"
    entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "1", note=note), now=NOW)
    text = json.dumps([[record.before, record.after] for record in records(world)])
    assert "Quillon" not in text
    with organisation_scope(world.organisation):
        assert "Quillon" not in json.dumps(list(Receipt.objects.values_list("request", flat=True)))
        assert EntryNote.objects.get().text == note


def test_a_changed_budget_keeps_both_figures(world: World):
    with organisation_scope(world.organisation):
        operation = Operation.objects.get(code="BOARD").pk
    for quantity in ("100", "120"):
        budget_set(
            actor=world.owner,
            job=world.job,
            operation=operation,
            quantity=Decimal(quantity),
            labour_money=Decimal("50.00"),
            now=NOW,
        )
    last = records(world)[-1]
    assert (last.before["quantity"], last.after["quantity"]) == ("100", "120")


def test_canonical_json_is_one_text_for_one_content():
    # RFC 8785 in spirit: keys sorted, no spaces; here without numbers other than whole ones.
    assert canonical({"b": [1, "é"], "a": None}) == '{"a":null,"b":[1,"é"]}'
    with pytest.raises(ValueError, match="not JSON compliant"):
        canonical({"a": float("nan")})


def _device(world: World) -> int:
    return device_issue(actor=world.foreman, membership=world.foreman.membership or 0, name="phone", now=NOW)[0].pk
