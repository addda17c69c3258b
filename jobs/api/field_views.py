"""Receiving from the field: entries, hours, inspections."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api import answers, parse, shapes
from jobs.api.access import FieldView
from jobs.api.problems import problem_of
from jobs.api.responses import read_responses, write_responses
from jobs.refusals import Refusal
from jobs.requests import EntryRequest
from jobs.selectors.reach import entries_of, hours_of, words_of
from jobs.services.entries import entry_batch_log, entry_log
from jobs.services.hours import hours_log
from jobs.services.inspections import inspection_record
from jobs.services.words import word_say

MOST_ENTRIES = 500


class Entries(FieldView):
    """Entries in the reach of the token, newest first; and the place to log one."""

    @extend_schema(operation_id="entries_list", responses=read_responses(shapes.EntryOut(many=True)))
    def get(self, request: Request) -> Response:
        own = self.actor.person if self.actor.role == "worker" else None
        entries = entries_of(self.actor).select_related("replaces").prefetch_related("shares")
        page = self.paginate_queryset(entries)
        return self.get_paginated_response([answers.entry_row(entry, own) for entry in page])

    @extend_schema(operation_id="entry_log", request=shapes.EntryIn, responses=write_responses(shapes.EntryOut))
    def post(self, request: Request) -> Response:
        """Log an entry or a correction. A UUID sent again gets the first answer again."""
        entry = entry_log(actor=self.actor, request=parse.entry_request(request.data), now=self.now)
        return Response(answers.entry_answer(entry), status=201)


class EntryBatch(FieldView):
    """Many entries at once, each received or refused on its own."""

    @extend_schema(
        operation_id="entry_batch_log",
        request=shapes.EntryBatchIn,
        responses=write_responses(shapes.EntryBatchOut, status=200),
    )
    def post(self, request: Request) -> Response:
        items = parse.batch(request.data, MOST_ENTRIES)
        asked: list[EntryRequest | Refusal] = [_read(item) for item in items]
        good = [one for one in asked if isinstance(one, EntryRequest)]
        logged = iter(entry_batch_log(actor=self.actor, requests=good, now=self.now))
        outcomes = [next(logged) if isinstance(one, EntryRequest) else one for one in asked]
        return Response({"entries": [_outcome(item, one) for item, one in zip(items, outcomes, strict=True)]})


class HoursOfPeople(FieldView):
    """Hours in the reach of the token, newest first; and the place to log some."""

    @extend_schema(operation_id="hours_list", responses=read_responses(shapes.HoursOut(many=True)))
    def get(self, request: Request) -> Response:
        page = self.paginate_queryset(hours_of(self.actor).select_related("replaces"))
        return self.get_paginated_response([answers.hours_row(hours) for hours in page])

    @extend_schema(operation_id="hours_log", request=shapes.HoursIn, responses=write_responses(shapes.HoursOut))
    def post(self, request: Request) -> Response:
        """Log hours or their correction. A UUID sent again gets the first answer again."""
        hours = hours_log(actor=self.actor, request=parse.hours_request(request.data), now=self.now)
        return Response(answers.hours_answer(hours), status=201)


class Inspections(FieldView):
    """The place to accept or reopen a work unit."""

    @extend_schema(
        operation_id="inspection_record", request=shapes.InspectionIn, responses=write_responses(shapes.InspectionOut)
    )
    def post(self, request: Request) -> Response:
        inspection = inspection_record(actor=self.actor, request=parse.inspection_request(request.data), now=self.now)
        return Response(answers.inspection_answer(inspection), status=201)


class Words(FieldView):
    """Words of people on entries and hours about them, newest first; and the place to say one."""

    @extend_schema(operation_id="words_list", responses=read_responses(shapes.WordOut(many=True)))
    def get(self, request: Request) -> Response:
        page = self.paginate_queryset(words_of(self.actor).prefetch_related("notes"))
        return self.get_paginated_response([answers.word_row(word) for word in page])

    @extend_schema(operation_id="word_say", request=shapes.WordIn, responses=write_responses(shapes.WordOut))
    def post(self, request: Request) -> Response:
        """Confirm or dispute what was logged about oneself; the office settles a dispute. Sent again it counts once."""
        word = word_say(actor=self.actor, request=parse.word_request(request.data), now=self.now)
        return Response(answers.word_answer(word), status=201)


def _read(item: Any) -> EntryRequest | Refusal:
    try:
        return parse.entry_request(item)
    except Refusal as refusal:
        return refusal


def _outcome(item: Any, outcome: Any) -> dict[str, Any]:
    uuid = item.get("uuid") if isinstance(item, dict) else None
    told = uuid if isinstance(uuid, str) and len(uuid) <= 100 else None
    if isinstance(outcome, Refusal):
        problem = problem_of(outcome)
        return {"uuid": told, "status": problem["status"], "problem": problem}
    return {"uuid": told, "status": 201, "entry": answers.entry_answer(outcome)}
