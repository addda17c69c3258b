"""The office uploads a plan, sees what it changes wall by wall, and imports exactly that, once, or nothing."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import AuditRecord, PlanRevision, WorkUnit
from jobs.pages.kept_file import MOST_BYTES, packed, unpacked
from jobs.services.entries import entry_log
from jobs.services.operations import OperationFacts, operation_create
from jobs.services.plans import plan_import
from jobs.tenancy import organisation_scope
from tests.framing.readers.made_ifc import Made
from tests.jobs.fixtures import committed_world, committed_worlds
from tests.jobs.world import NOW, PLAN, World, entry, plan_bytes, unit_now
from tests.pages.conftest import signed_in
from tests.support.at_once import at_once

__all__ = ["committed_world", "committed_worlds"]


def wall(standing: str, **changes: Any) -> dict[str, Any]:
    return next(one for one in PLAN["levels"][0]["walls"] if one["mark"] == standing) | changes


def source(*walls: dict[str, Any]) -> bytes:
    return plan_bytes(levels=[{"name": "Level 1", "walls": list(walls)}])


# A lower, B under another mark. Invented.
REVISED = source(wall("A", height="8'-0\""), wall("B", mark="B2"))


def text_of(answer: HttpResponse) -> str:
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())))


def look(client: Client, world: World, plan: bytes = REVISED, name: str = "revised.json") -> HttpResponse:
    return client.post(reverse("plan", args=[world.job]), {"file": SimpleUploadedFile(name, plan)})


def form_of(answer: HttpResponse) -> dict[str, str]:
    """The hidden fields of the page that was looked at, with its button."""
    fields = re.findall(
        r'<input type="hidden" name="(name|kept|seen|looked_at)" value="([^"]*)">', answer.content.decode()
    )
    return {name: unescape(value) for name, value in fields} | {"apply": "1"}


def apply(client: Client, world: World, form: dict[str, str]) -> HttpResponse:
    return client.post(reverse("plan", args=[world.job]), form)


def numbers(world: World) -> list[int]:
    with transaction.atomic(), organisation_scope(world.organisation):
        return list(PlanRevision.objects.filter(job=world.job).order_by("number").values_list("number", flat=True))


@pytest.fixture
def client(world: World) -> Client:
    return signed_in(world.actors["office"])


def test_a_plan_is_looked_at_then_imported_as_shown_and_listed(world: World, client: Client) -> None:
    answer = look(client, world)
    page = text_of(answer)
    assert answer.status_code == 200
    assert "Against revision 1: 2 walls differ, 0 stay the same." in page
    assert "height 108 -> 96" in page
    assert re.search(r"B2 Level 1 renamed, was B", page)
    assert numbers(world) == [1]
    done = apply(client, world, form_of(answer))
    assert (done.status_code, done["Location"]) == (302, reverse("plan", args=[world.job]) + "?imported=2")
    with transaction.atomic(), organisation_scope(world.organisation):
        revision = PlanRevision.objects.get(job=world.job, number=2)
        record = AuditRecord.objects.filter(action="plan_import").latest("pk")
    assert (bytes(revision.source), revision.source_name) == (REVISED, "revised.json")
    assert record.actor_id == revision.imported_by_id == world.actors["office"].membership
    listed = text_of(client.get(done["Location"]))
    assert "imported as revision 2" in listed
    assert revision.source_sha256 in listed
    assert "revised.json" in listed


def test_sent_twice_it_is_one_revision(world: World, client: Client) -> None:
    form = form_of(look(client, world))
    assert apply(client, world, form).status_code == 302
    again = apply(client, world, form)
    assert again.status_code == 409
    assert "There is nothing to import" in text_of(again)
    assert numbers(world) == [1, 2]


def test_what_changed_since_the_look_is_shown_again_and_nothing_imported(world: World, client: Client) -> None:
    form = form_of(look(client, world))
    plan_import(actor=world.owner, job=world.job, source=source(wall("A")), source_name="other.json", now=NOW)
    answer = apply(client, world, form)
    assert answer.status_code == 409
    page = text_of(answer)
    assert "shown against revision 1, and the newest is 2" in page
    assert "Against revision 2" in page
    assert numbers(world) == [1, 2]
    # What is shown now may be imported, without choosing the file again.
    assert apply(client, world, form_of(answer)).status_code == 302
    assert numbers(world) == [1, 2, 3]


@pytest.mark.parametrize("between", ["an entry", "an operation"])
def test_the_difference_must_still_be_the_one_shown(world: World, client: Client, between: str) -> None:
    form = form_of(look(client, world))
    if between == "an entry":
        request = entry(world, world.unit("A", "BOARD", "left"), None)
        entry_log(actor=world.foreman, request=request, now=NOW)
    else:
        operation_create(actor=world.owner, facts=OperationFacts("SEAL", "seal track", "sealant", "wall"), now=NOW)
    answer = apply(client, world, form)
    assert answer.status_code == 409
    page = text_of(answer)
    assert "is not what was shown any more" in page
    assert ("Measures less than is done" in page) == (between == "an entry")
    assert ("seal track" in page) == (between == "an operation")
    assert numbers(world) == [1]


@pytest.mark.parametrize("field", ["kept", "seen", "looked_at", "name"])
def test_a_form_that_comes_back_otherwise_imports_nothing(world: World, client: Client, field: str) -> None:
    form = form_of(look(client, world))
    forged = {
        "kept": [packed(source(wall("A"))), form["kept"][:-40], "!", "A" * 50, ""],
        "seen": ["0", "2", "-1", "x", "", "9" * 40],
        "looked_at": ["", "0" * 64],
        "name": ["", "a\0b", "x" * 201],
    }
    for value in forged[field]:
        assert apply(client, world, form | {field: value}).status_code in {400, 409}, value[:20]
    assert numbers(world) == [1]


def test_what_is_done_past_the_new_measure_is_pointed_out_and_stays(world: World, client: Client) -> None:
    unit = world.unit("A", "BOARD", "left")
    entry_log(actor=world.foreman, request=entry(world, unit, None), now=NOW)
    done = unit_now(world, unit).done
    answer = look(client, world)
    assert "Measures less than is done" in text_of(answer)
    assert "past the new measure" in text_of(answer)
    assert apply(client, world, form_of(answer)).status_code == 302
    assert unit_now(world, unit).done == done > unit_now(world, unit).measured


def test_every_mistake_is_told_at_once(world: World, client: Client) -> None:
    answer = look(client, world, source(wall("A", type="P9"), wall("B", to=[0, 0])))
    assert answer.status_code == 400
    page = text_of(answer)
    assert "P9" in page
    assert "wall B" in page
    assert 'name="looked_at"' not in answer.content.decode()


@pytest.mark.parametrize("name", ["x.json", "x.ifc", "x.dxf", "x.dwg", "x.pdf", "x", "\u202e\n.ifc", "../../x.json"])
def test_what_is_no_plan_is_refused_calmly(world: World, client: Client, name: str) -> None:
    for garbage in (b"\0\xff\xfe", b"{}", b"[" * 100_000, b"ISO-10303-21;", b"0\nSECTION\n"):
        answer = look(client, world, garbage, name)
        assert answer.status_code == 400
        assert "Nothing was imported" in text_of(answer)
    assert numbers(world) == [1]


def test_no_file_and_one_that_is_too_large_are_refused(world: World, client: Client) -> None:
    assert "No plan was chosen" in text_of(client.post(reverse("plan", args=[world.job]), {"look": "1"}))
    answer = look(client, world, b" " * (MOST_BYTES + 1))
    assert answer.status_code == 400
    assert "the page takes 8,000,000. Import it with the command `plan_compare`" in text_of(answer)


def test_a_file_that_does_not_pack_is_refused_and_one_that_bursts_is_not_unpacked() -> None:
    import base64
    import random
    import zlib

    assert unpacked(packed(REVISED)) == REVISED
    with pytest.raises(Exception, match="when packed"):
        packed(random.Random(7).randbytes(2_000_000))
    bomb = base64.urlsafe_b64encode(zlib.compress(bytes(100_000_000))).decode()
    assert unpacked(bomb) is None


def test_a_building_model_is_looked_at_and_imported(world: World, client: Client, tmp_path: Any) -> None:
    made = Made("IFC4", 1.0)
    made.wall(length=3048, tag="A-1")
    made.wall((0, 3000), layers=(("Concrete", 200.0),), type_name="Core")
    answer = look(client, world, made.save(tmp_path).read_bytes(), "clinic.ifc")
    page = text_of(answer)
    # Its one partition lies where A does, so it is A under another mark.
    assert "A-1 Level 1 renamed, was A" in page
    assert "is not counted" in page
    assert apply(client, world, form_of(answer)).status_code == 302
    assert numbers(world) == [1, 2]


def test_another_organisation_finds_nothing_to_revise(world: World, other: World, client: Client) -> None:
    form = form_of(look(client, world))
    stranger = signed_in(other.owner)
    assert look(stranger, world).status_code == 404
    assert apply(stranger, world, form).status_code == 404
    # On a job of his own the form of another is not what was shown there.
    assert apply(stranger, other, form).status_code == 409
    assert (numbers(world), numbers(other)) == ([1], [1])
    for role in ("foreman", "worker"):
        assert apply(signed_in(world.actors[role]), world, form).status_code == 403


def test_two_at_once_make_one_revision(committed_world: World) -> None:
    world = committed_world
    clients = [signed_in(world.actors[role]) for role in ("owner", "office", "owner", "office")]
    form = form_of(look(clients[0], world))
    answers = at_once(lambda client: apply(client, world, form).status_code, clients)
    assert sorted(answers) == [302, 409, 409, 409]
    assert numbers(world) == [1, 2]


def test_queries_do_not_grow_with_the_plan(world: World, client: Client) -> None:
    def asked(walls: int) -> int:
        many = [wall("A", mark=f"M{n}", **{"from": [0, 300 * n], "to": [120, 300 * n]}) for n in range(1, walls + 1)]
        with CaptureQueriesContext(connection) as queries:
            assert look(client, world, source(*many)).status_code == 200
        return len(queries)

    assert asked(2) == asked(12)


def test_the_same_plan_says_that_there_is_nothing_to_do(world: World, client: Client) -> None:
    answer = look(client, world, plan_bytes())
    assert "There is nothing to import" in text_of(answer)
    with transaction.atomic(), organisation_scope(world.organisation):
        assert WorkUnit.objects.filter(job=world.job).exists()
