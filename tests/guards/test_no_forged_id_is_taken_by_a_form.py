"""Every id that a form of a page takes, forged: the form again or nothing found, the same as for an id of nothing.

The fields are read off the templates, so that a field that is added there must be named here: as an id, or as none.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.apps import apps
from django.db import transaction
from django.urls import reverse

from jobs.models import Hours, Operation
from jobs.requests import WordRequest
from jobs.services.words import word_say
from jobs.tenancy import organisation_scope
from payroll.services.agreements import AgreementFacts, agreement_record
from payroll.services.local_rules import MinimumFacts, local_minimum_record, missed_break_record
from tests.guards.forged import NO_IDS, NO_UUID, NOWHERE, rows_written, things_out_of_reach, wall_of
from tests.jobs.world import NOW, World
from tests.pages.conftest import signed_in
from tests.pages.paid_week import AFTER, FIRST_DAY, work_a_week
from tests.pages.test_forms_of_the_office_take_anything import good

# Fields that hold an id, as they stand in the templates; N stands for an id within the name.
IDS = {
    "about", "agreement", "crews", "hours-N", "job", "jobs", "member", "membership", "minimum", "missed", "operation",
    "paid_for", "person", "reason-N", "uuid-N", "verdict-N", "who",
}  # fmt: skip
# Ids that choose among what was found or ticked anyway.
CHOOSING = {"not_paid", "parts-N"}
# Text, figures, days, choices of a fixed list, buttons, digests of what was looked at, the sender's own UUID, and
# whose form it is: only the phone's outbox reads that, and the API holds it against who is signed in.
NO_RECORDS = {
    "amount", "anyway", "apply", "area", "basic", "citation", "cite", "class", "class_named", "code", "days", "do",
    "email", "ends_on", "file", "finished", "first", "first_day", "fringe", "fringe_to_plan", "from_inches", "gross",
    "guarantee_hours", "height_band", "how_much", "kept", "kind", "language", "last", "last_day", "leaving", "look",
    "looked_at", "missed_on", "name", "new", "new_password1", "new_password2", "next", "note", "old", "on", "own",
    "password", "pay_day_after", "photo", "place", "plan", "quantity", "rate", "read_on", "reason", "reference",
    "required", "role", "rules", "said_in", "says", "seen", "sender", "set", "shown", "signed_on", "started",
    "starts_on", "step", "text", "time_zone", "to", "topic", "uuid", "wall_type", "weeks", "why", "words", "worked_on",
}  # fmt: skip
_FIELD = re.compile(
    r"<(?:input|select|textarea|button)\b[^>]*?\bname=\"((?:[^\"{]|\{\{.*?\}\}|\{%.*?%\})*)\"", re.DOTALL
)
# What differs from one showing of a form to the next: the token against forgery, and the UUIDs made for it.
_FRESH = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}|value=\"[0-9A-Za-z]{64}\"")


@dataclass(frozen=True)
class Form:
    """A form that is taken as it stands. `ids` says for each field that holds an id what it is an id of."""

    page: str
    parts: list[Any]
    role: str
    sent: dict[str, Any]
    ids: dict[str, str]


def things_of(world: World) -> dict[str, Any]:
    """Work of a week that is still open, what the office recorded beside it, and a dispute."""
    entries = work_a_week(world)
    person = world.people[0]
    agreed = AgreementFacts(
        person, "hourly guarantee", FIRST_DAY, FIRST_DAY, None, Decimal(22), "productive", "22 an hour", "drawer 2"
    )
    minimum = MinimumFacts(world.job, Decimal("19.10"), FIRST_DAY, "Exampleton Code 4.1", date(2026, 11, 20))
    missed: dict[str, Any] = {"missed_on": FIRST_DAY, "kind": "rest", "why": "pour next door"}
    worker = world.actors["worker"]
    disputed = entries["STUDS"]
    word = WordRequest(uuid4(), disputed, person, "disputed", "it was less", NOW)
    word_say(actor=worker, request=word, now=NOW)
    ids = {
        "agreement": agreement_record(actor=world.owner, facts=agreed, now=NOW).pk,
        "minimum": local_minimum_record(actor=world.owner, facts=minimum, now=NOW).pk,
        "missed": missed_break_record(actor=world.owner, person=person, **missed, now=NOW).pk,
        "entry": entries["BOARD"], "disputed": disputed, "unit": world.unit("B", "TRACK"), "person": person,
        "job": world.job, "crew": world.crew, "member": world.foreman.membership,
    }  # fmt: skip
    with organisation_scope(world.organisation):
        ids["operation"] = Operation.objects.get(code="TRACK").pk
        ids["hours"] = Hours.objects.get(person=person).uuid
    return ids


def forms(world: World, mine: dict[str, Any]) -> Iterator[Form]:
    """Forms that hold, between them, every field that holds an id."""
    person, unit = mine["person"], mine["unit"]
    place = {"role": "foreman", "jobs": mine["job"], "crews": mine["crew"]}
    offered = {"jobs": "job", "crews": "crew"}
    yield Form("invite", [], "office", place | {"email": "wren@example.org"}, offered)
    yield Form("member", [mine["member"]], "office", {"role": "foreman", "jobs": mine["job"]}, {"jobs": "job"})
    worker = {"email": "lark@example.org", "role": "worker", "person": world.people[1]}
    yield Form("invite", [], "office", worker, {"person": "person"})
    yield Form("devices", [], "office", {"member": mine["member"], "name": "spare", "days": "30"}, {"member": "member"})
    yield Form("operations", [], "office", {"operation": mine["operation"], "to": "off"}, {"operation": "operation"})
    verdict = {f"uuid-{unit}": str(uuid4()), f"verdict-{unit}": "reopened", f"reason-{unit}": "a joint stands open"}
    yield Form("inspect", [mine["job"], wall_of(world, world.job)], "foreman", verdict, dict.fromkeys(verdict, "unit"))
    entry = {"uuid": str(uuid4()), "how_much": "part", "quantity": "1", "worked_on": "2026-11-18"}
    yield Form("log-entry", [unit], "foreman", entry | {"who": f"crew {mine['crew']}"}, {"who": "crew"})
    one = {"who": "people", "person": person, f"parts-{person}": "1"}
    yield Form("log-entry", [unit], "foreman", entry | one, {"person": "person"})
    yield Form("correct-entry", [mine["entry"]], "foreman", entry | one, {"person": "person"})
    hours = {f"uuid-{person}": str(uuid4()), f"hours-{person}": "1", "kind": "rest", "worked_on": "2026-11-18"}
    named = {f"uuid-{person}": "person", f"hours-{person}": "person"}
    fresh = hours | {"worked_on": "2026-11-19", "shown": "2026-11-19"}
    yield Form("hours", [mine["job"]], "foreman", fresh, named)
    yield Form("correct-hours", [mine["hours"]], "foreman", hours | {"kind": "piece"}, named)
    said = {"uuid": str(uuid4()), "about": mine["entry"], "says": "confirmed"}
    yield Form("my-work", [], "worker", said, {"about": "entry"})
    settled = {"uuid": str(uuid4()), "about": mine["disputed"], "person": person, "reason": "counted again"}
    yield Form("disputes", [], "office", settled, {"about": "disputed", "person": "person"})
    yield from pay_forms(world, mine)


def pay_forms(world: World, mine: dict[str, Any]) -> Iterator[Form]:
    other_person = world.people[2]
    for page in ("agreements", "missed-breaks", "person-record", "final-pay"):
        yield Form(page, [], "office", good(world, page, other_person), {"person": "person"})
    later = good(world, "local-minimums", 0) | {"starts_on": "2026-11-23"}
    yield Form("local-minimums", [], "office", later, {"job": "job"})
    for page, field in (("agreements", "agreement"), ("local-minimums", "minimum"), ("missed-breaks", "missed")):
        yield Form(page, [], "office", {"do": "withdraw", field: mine[field]}, {field: field})
    price = good(world, "price-set", 0) | {"paid_for": mine["operation"], "job": mine["job"]}
    yield Form("price-set", [], "office", price, {"paid_for": "operation", "job": "job"})


def fields_of_templates() -> set[str]:
    """Names of all fields of all templates; N for what is put into a name."""
    found: set[str] = set()
    for app in ("jobs", "payroll"):
        for template in (Path(apps.get_app_config(app).path) / "templates").rglob("*.html"):
            found |= {re.sub(r"\{\{.*?\}\}", "N", name) for name in _FIELD.findall(template.read_text())}
    return found


@pytest.fixture
def firms(
    world: World, other: World, clock: Callable[[datetime], None]
) -> tuple[World, World, list[Form], list[tuple[str, dict[str, Any]]]]:
    """Two organisations, forms of the first, and ids that are none of its: (where, kind -> id)."""
    clock(AFTER)
    mine = things_of(world)
    far = things_out_of_reach(world)
    near = {"crew": far.crew, "person": far.person, "unit": far.unit, "entry": far.entry}
    return world, other, list(forms(world, mine)), [("another firm", things_of(other)), ("another job", near)]


def with_id(form: Form, field: str, value: Any) -> dict[str, Any]:
    """What the form sends, with another id in a field, or in the field's name."""
    if re.search(r"-\d+$", field):
        return {(f"{field.rsplit('-', 1)[0]}-{value}" if name == field else name): v for name, v in form.sent.items()}
    return form.sent | {field: f"crew {value}" if field == "who" else value}


def answered(world: World, form: Form, sent: dict[str, Any]) -> tuple[int, str, dict[str, int]]:
    """Status, text without what differs each time, and the rows that came of it; all undone."""
    client = signed_in(world.actors[form.role])
    with transaction.atomic():
        before = rows_written(world)
        answer = client.post(reverse(form.page, args=form.parts), sent)
        after = rows_written(world)
        transaction.set_rollback(True)
    written = {name: count for name, count in after.items() if count != before[name]}
    # A file that is handed out is streamed.
    text = "" if answer.streaming else answer.content.decode()
    return answer.status_code, _FRESH.sub("", text), written


def test_every_field_of_every_form_is_known_as_an_id_or_as_none(firms: Any) -> None:
    fields = fields_of_templates()
    assert fields == IDS | CHOOSING | NO_RECORDS, "name the field in IDS and forge it in `forms`, or in NO_RECORDS"
    forged = {re.sub(r"-\d+$", "-N", field) for form in firms[2] for field in form.ids}
    assert forged | {"membership"} == IDS  # A membership belongs to no organisation's page: see below.


def test_the_forms_are_taken_as_they_stand(firms: Any) -> None:
    world, _, known, _ = firms
    for form in known:
        status, text, written = answered(world, form, form.sent)
        assert status in {200, 302}, (form.page, status, re.sub(r"<[^>]+>|\s+", " ", text))
        assert written or form.page in {"person-record", "price-set"}, form.page


def test_an_id_of_elsewhere_is_answered_as_one_of_nothing_and_nothing_is_written(firms: Any) -> None:
    world, _, known, beyond = firms
    for form in known:
        for field, kind in form.ids.items():
            nothing = NO_UUID if kind in {"entry", "disputed", "hours"} else NOWHERE
            status, text, written = answered(world, form, with_id(form, field, nothing))
            assert (status in {400, 404, 409}) and not written, (form.page, field, status)
            for where, things in beyond:
                if kind not in things or (where == "another job" and form.role == "office"):
                    continue
                found = answered(world, form, with_id(form, field, things[kind]))
                named = rf"\b(?:{things[kind]}|{nothing})\b"
                assert found[0] == status and not found[2], (form.page, field, where)
                assert re.sub(named, "ID", found[1]) == re.sub(named, "ID", text), (form.page, field, where)


def test_what_is_no_id_is_refused_and_nothing_is_written(firms: Any) -> None:
    world, _, known, _ = firms
    for form in known:
        for field in form.ids:
            for value in (*NO_IDS, "\u0661", "9" * 400):
                status, _, written = answered(world, form, with_id(form, field, str(value)))
                if value == "" and field in {"job", "member", "person"} and status < 400:
                    continue  # Nobody in particular: all jobs, himself.
                assert status in {400, 404} and not written, (form.page, field, value, status)


def test_a_membership_of_another_is_not_taken(world: World, other: World) -> None:
    client = signed_in(world.actors["office"])
    for wanted in (other.owner.membership, world.owner.membership, NOWHERE, "", "x"):
        answer = client.post(reverse("choose-organisation"), {"membership": wanted})
        assert answer.status_code == 200
        assert "Bramble" not in answer.content.decode()
    assert client.get(reverse("members")).context["guest"].actor.membership == world.actors["office"].membership
