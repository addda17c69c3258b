"""The responses of each kind of call, for the schema: the good one and every problem it may answer."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiResponse

from jobs.api import shapes

_PROBLEM = "application/problem+json"


def _problems(*statuses: tuple[int, str]) -> dict[tuple[int, str], OpenApiResponse]:
    return {(status, _PROBLEM): OpenApiResponse(shapes.Problem, description) for status, description in statuses}


_DOOR = ((401, "no valid token"), (403, "not allowed for this role"))


def read_responses(shape: Any) -> dict[Any, Any]:
    return {(200, "application/json"): shape} | _problems(*_DOOR, (404, "not found, or not yours"))


def write_responses(shape: Any, status: int = 201) -> dict[Any, Any]:
    return {(status, "application/json"): shape} | _problems(
        (400, "some values cannot be used"),
        *_DOOR,
        (404, "not found, or not yours"),
        (409, "more than is left, or a UUID used before"),
        (415, "only JSON is read"),
    )
