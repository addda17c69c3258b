"""An inspection accepts or reopens a work unit; what was earned on it stands."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.db import IntegrityError

from jobs.models import Inspection, InspectionNote
from jobs.refusals import Invalid, NotAllowed, NotFound
from jobs.requests import InspectionRequest, note_digest
from jobs.services.entries import entry_log
from jobs.services.inspections import inspection_record
from jobs.tenancy import organisation_scope
from tests.jobs.world import DAY, NOW, World, entry, unit_now


def verdict(unit: int, word: str, reason: str = "") -> InspectionRequest:
    return InspectionRequest(uuid4(), unit, word, reason, DAY, NOW)


def test_reopening_changes_no_entry_and_leaves_nothing_more_to_claim(world: World):
    unit = world.unit("A", "BOARD", "left")
    whole = entry_log(actor=world.foreman, request=entry(world, unit, None), now=NOW).quantity
    inspection_record(actor=world.foreman, request=verdict(unit, "reopened", "screws stand proud"), now=NOW)
    assert unit_now(world, unit).done == whole
    inspection_record(actor=world.actors["office"], request=verdict(unit, "accepted"), now=NOW)
    with organisation_scope(world.organisation):
        words = Inspection.objects.filter(work_unit=unit).order_by("pk").values_list("verdict", flat=True)
        assert list(words) == ["reopened", "accepted"]


def test_an_inspection_sent_again_is_the_first_one(world: World):
    request = verdict(world.unit("A", "TRACK"), "accepted")
    first = inspection_record(actor=world.foreman, request=request, now=NOW)
    assert inspection_record(actor=world.foreman, request=request, now=NOW) == first


def test_reopening_needs_a_reason_in_the_service_and_in_the_database(world: World):
    unit = world.unit("A", "TRACK")
    with pytest.raises(Invalid, match="reopened for a reason"):
        inspection_record(actor=world.foreman, request=verdict(unit, "reopened", "  "), now=NOW)
    inspection_record(actor=world.foreman, request=verdict(unit, "accepted"), now=NOW)
    with organisation_scope(world.organisation), pytest.raises(IntegrityError, match="inspection_reopens_for_a_reason"):
        Inspection.objects.create(
            uuid=uuid4(),
            work_unit_id=unit,
            verdict="reopened",
            inspected_on=DAY,
            inspected_by_id=world.foreman.membership,
            received_at=NOW,
        )


def test_only_who_may_inspects_and_only_what_is_his(world: World, other: World):
    with pytest.raises(NotAllowed):
        inspection_record(actor=world.actors["worker"], request=verdict(world.unit("A", "TRACK"), "accepted"), now=NOW)
    with pytest.raises(NotFound):
        inspection_record(actor=world.owner, request=verdict(other.unit("A", "TRACK"), "accepted"), now=NOW)
    with pytest.raises(Invalid, match="no verdict"):
        inspection_record(actor=world.owner, request=verdict(world.unit("A", "TRACK"), "perfect"), now=NOW)


def test_the_words_of_a_reason_stand_where_they_can_be_forgotten(world: World):
    asked = verdict(world.unit("A", "TRACK"), "reopened", "ask the man with the red hat")
    inspection_record(actor=world.foreman, request=asked, now=NOW)
    with organisation_scope(world.organisation):
        row = Inspection.objects.get(uuid=asked.uuid)
        assert row.reason_digest == note_digest(asked.uuid, asked.reason)
        assert InspectionNote.objects.get(inspection=row).text == asked.reason
        InspectionNote.objects.filter(inspection=row).update(text="")
    assert inspection_record(actor=world.foreman, request=asked, now=NOW).reason == ""
