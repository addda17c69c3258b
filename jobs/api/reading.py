"""Reading a request's body: JSON of a bounded size and depth."""

from __future__ import annotations

from collections.abc import Mapping
from typing import IO, Any

from rest_framework.exceptions import APIException, ParseError
from rest_framework.parsers import BaseParser, JSONParser

# 500 entries with notes of full length and a dozen people each stay below half of it.
LARGEST = 2 * 1024 * 1024


class TooLarge(APIException):
    """The body is larger than any request needs to be."""

    status_code = 413

    def __init__(self, largest: int) -> None:
        super().__init__(f"The body is larger than {largest:,} bytes.")


class BoundedJSON(BaseParser):
    """JSON as Django REST framework reads it, without a body that could exhaust memory or the stack.

    It is no `JSONParser`: the body of those is read before they are asked, up to another bound, whose refusal is no
    problem document.
    """

    media_type = JSONParser.media_type
    largest = LARGEST

    def parse(
        self, stream: IO[Any], media_type: str | None = None, parser_context: Mapping[str, Any] | None = None
    ) -> Any:
        request = (parser_context or {}).get("request")
        if request is not None and int(request.META.get("CONTENT_LENGTH") or 0) > self.largest:
            raise TooLarge(self.largest)
        try:
            return JSONParser().parse(stream, media_type, parser_context)
        except RecursionError as error:
            raise ParseError("The JSON is nested too deeply.") from error
