"""Photos of entries: received and handed out as base64 in JSON, so that every call has one form."""

from __future__ import annotations

import base64
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api import parse, shapes
from jobs.api.access import FieldView
from jobs.api.answers import moment
from jobs.api.reading import BoundedJSON
from jobs.api.responses import read_responses, write_responses
from jobs.pictures import MOST_BYTES
from jobs.refusals import not_found
from jobs.selectors.photos import PhotoRow, photo_image, photo_rows, photos_of_entry
from jobs.selectors.reach import entries_of
from jobs.services.photos import photo_add


class PhotoJSON(BoundedJSON):
    """A body with one photo: base64 has a third more bytes, and the rest is small."""

    largest = MOST_BYTES * 4 // 3 + 10_000


class EntryPhotos(FieldView):
    """Photos of an entry in the reach of the token; and the place to add one."""

    parser_classes = (PhotoJSON,)

    @extend_schema(operation_id="entry_photos_list", responses=read_responses(shapes.PhotosOut))
    def get(self, request: Request, uuid: UUID) -> Response:
        """All of them, those of the entries before a correction too."""
        return Response({"photos": [_row(photo) for photo in photos_of_entry(self.actor, uuid)]})

    @extend_schema(operation_id="photo_add", request=shapes.PhotoIn, responses=write_responses(shapes.PhotoOut))
    def post(self, request: Request, uuid: UUID) -> Response:
        """Add a photo. It is encoded anew without metadata; a UUID sent again gets the first answer again."""
        if not entries_of(self.actor).filter(uuid=uuid).exists():
            raise not_found("entry", "entry", uuid)
        asked = parse.photo_request(request.data, uuid)
        return Response(_row(photo_add(actor=self.actor, request=asked, now=self.now)), status=201)


class Photo(FieldView):
    """One photo with its image."""

    @extend_schema(operation_id="photo", responses=read_responses(shapes.PhotoWithImageOut))
    def get(self, request: Request, photo: UUID) -> Response:
        image = photo_image(self.actor, photo)
        [row] = photo_rows(self.actor, uuid=photo)
        return Response(_row(row) | {"photo": base64.b64encode(image).decode()})


def _row(photo: PhotoRow) -> dict[str, Any]:
    return {
        "uuid": str(photo.uuid),
        "entry": str(photo.entry),
        "sha256": photo.sha256,
        "width": photo.width,
        "height": photo.height,
        "size": photo.size,
        "received_at": moment(photo.received_at),
    }
