"""A batch whose line is cut anywhere, and that is sent again: all of it arrives, once, and was never half there."""

from __future__ import annotations

import json
import socket
import time
from collections.abc import Iterator
from typing import Any
from urllib.parse import urlsplit
from uuid import UUID, uuid4

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from jobs.models import AuditRecord, Entry, EntryShare, Receipt
from jobs.tenancy import organisation_scope
from tests.jobs.world import World, entry_json, make_world

ITEMS = 4
# Where the line is cut: after which part of the request, as a share of that part's bytes.
CUTS = [
    ("before anything", "head", 0.0),
    ("in the request line", "head", 0.05),
    ("in the headers", "head", 0.5),
    ("before the last header ends", "head", 0.99),
    ("between headers and body", "body", 0.0),
    ("after the first byte of the body", "body", 0.001),
    ("in the middle of the body", "body", 0.5),
    ("in a later entry", "body", 0.9),
    ("before the last byte", "body", 0.999),
    ("before the answer", "all", 1.0),
    ("in the middle of the answer", "answer", 1.0),
]


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[World]:
    with django_db_blocker.unblock():
        yield make_world()


def request_of(world: World, entries: list[dict[str, Any]]) -> tuple[bytes, bytes]:
    body = json.dumps({"entries": entries}).encode()
    head = (
        "POST /api/entries/batch/ HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"
        f"Authorization: Token {world.tokens['foreman']}\r\nContent-Length: {len(body)}\r\nConnection: close\r\n\r\n"
    )
    return head.encode(), body


def send(site: str, content: bytes, *, answer: int | None = None) -> bytes:
    """Send bytes and hang up: at once, or after `answer` bytes of an answer; -1 reads it whole."""
    address = urlsplit(site)
    with socket.create_connection((address.hostname, address.port), timeout=30) as line:
        line.sendall(content)
        if answer is None:
            return b""
        if answer > 0:
            return line.recv(answer)
        got = b""
        while block := line.recv(65536):
            got += block
        return got


def kept(world: World, uuids: list[UUID]) -> list[int]:
    with transaction.atomic(), organisation_scope(world.organisation):
        return [
            Receipt.objects.filter(uuid__in=uuids).count(),
            Entry.objects.filter(uuid__in=uuids).count(),
            EntryShare.objects.filter(entry__uuid__in=uuids).count(),
            AuditRecord.objects.filter(subject_key__in=[str(uuid) for uuid in uuids]).count(),
        ]


def settled(world: World, uuids: list[UUID]) -> list[int]:
    """What is kept once the server has had time to do whatever it does with a cut request."""
    for _ in range(10):
        time.sleep(0.05)
        if any(found := kept(world, uuids)):
            break
    return found


@pytest.mark.parametrize(("where", "part", "share"), CUTS, ids=[where for where, _, _ in CUTS])
def test_sent_again_after_a_cut(committed_db: None, world: World, live_site: str, where: str, part: str, share: float):
    uuids = [uuid4() for _ in range(ITEMS)]
    entries = [entry_json(world, world.unit("A", "TRACK"), "0.25", uuid) for uuid in uuids]
    head, body = request_of(world, entries)
    whole = [ITEMS, ITEMS, ITEMS * len(world.people), ITEMS]
    if part == "head":
        send(live_site, head[: int(len(head) * share)])
    elif part == "body":
        send(live_site, head + body[: int(len(body) * share)])
    else:
        send(live_site, head + body, answer=20 if part == "answer" else None)
    found = settled(world, uuids)
    assert found in ([0, 0, 0, 0], whole), "half of a batch was kept"
    if part in {"head", "body"}:
        assert found == [0, 0, 0, 0], "a request that never came whole was obeyed"
    answers = [send(live_site, head + body, answer=-1).split(b"\r\n\r\n", 1) for _ in range(2)]
    for answer_head, answer in answers:
        assert answer_head.startswith(b"HTTP/1.1 200"), answer_head
        assert [one["status"] for one in json.loads(answer)["entries"]] == [201] * ITEMS
    assert answers[0][1] == answers[1][1]
    assert kept(world, uuids) == whole
