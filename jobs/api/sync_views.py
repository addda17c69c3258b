"""Phones that come back on line: what they kept is received, and they are told what changed meanwhile."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api import sync_answers, sync_parse, sync_shapes
from jobs.api.access import PageOrDeviceView
from jobs.api.responses import read_responses, write_responses
from jobs.refusals import Refusal
from jobs.selectors.changes import changes_since
from jobs.services.sync import operations_receive

SINCE = OpenApiParameter(
    "since", str, description="the cursor of the last answer; left out to start from the beginning"
)


class Sync(PageOrDeviceView):
    """Up to 500 operations at once, each received or refused on its own, and the changes since a cursor."""

    @extend_schema(
        operation_id="sync",
        request=sync_shapes.SyncIn,
        responses=write_responses(sync_shapes.SyncOut, status=200),
    )
    def post(self, request: Request) -> Response:
        """Receive operations in any order, then tell the first page of changes since the cursor, if `since` is given.

        Sent again after a cut line, the same operations get the same answers.
        """
        items, since, wants_changes = sync_parse.body(request.data)
        asked = [sync_parse.operation(item) for item in items]
        good = [one for one in asked if not isinstance(one, Refusal)]
        received = iter(operations_receive(actor=self.actor, operations=good, now=self.now))
        outcomes = [one if isinstance(one, Refusal) else next(received) for one in asked]
        answer: dict[str, Any] = {
            "operations": [
                sync_answers.outcome(sync_parse.uuid_told(item), one) for item, one in zip(items, outcomes, strict=True)
            ]
        }
        if wants_changes:
            answer["changes"] = sync_answers.changes(changes_since(actor=self.actor, since=since))
        return Response(answer)


class Changes(PageOrDeviceView):
    """What changed since a cursor, in the reach of the token: jobs, levels, walls, work units, crews and people."""

    @extend_schema(operation_id="changes", parameters=[SINCE], responses=read_responses(sync_shapes.ChangesOut))
    def get(self, request: Request) -> Response:
        """One page. Ask again with its cursor: at once while `more` is true, else when next on line."""
        since = request.query_params.get("since")
        return Response(sync_answers.changes(changes_since(actor=self.actor, since=since or None)))
