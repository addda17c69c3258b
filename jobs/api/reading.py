"""Reading a request's body: JSON of a bounded size and depth."""

from __future__ import annotations

from collections.abc import Mapping
from typing import IO, Any

from rest_framework.exceptions import APIException, ParseError
from rest_framework.parsers import JSONParser

# 500 entries with notes of full length and a dozen people each stay below half of it.
LARGEST = 2 * 1024 * 1024


class TooLarge(APIException):
    """The body is larger than any request needs to be."""

    status_code = 413
    default_detail = f"The body is larger than {LARGEST // 1024 // 1024} MiB."


class BoundedJSON(JSONParser):
    """JSON as Django REST framework reads it, without a body that could exhaust memory or the stack."""

    def parse(
        self, stream: IO[Any], media_type: str | None = None, parser_context: Mapping[str, Any] | None = None
    ) -> Any:
        request = (parser_context or {}).get("request")
        if request is not None and int(request.META.get("CONTENT_LENGTH") or 0) > LARGEST:
            raise TooLarge
        try:
            return super().parse(stream, media_type, parser_context)
        except RecursionError as error:
            raise ParseError("The JSON is nested too deeply.") from error
