"""What every view of the API stands on: the door, and the organisation in scope for the request."""

from __future__ import annotations

from contextlib import ExitStack
from datetime import datetime
from typing import Any

from django.utils import timezone
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import NotFound
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.actors import Actor
from jobs.api.door import DeviceAuthentication, PageAuthentication, TablePermission
from jobs.api.problems import exception_handler
from jobs.api.reading import BoundedJSON
from jobs.services.devices import device_use_note
from jobs.tenancy import organisation_scope


class FieldView(GenericAPIView):
    """A view behind the door: `self.actor` acts, `self.now` is the moment of receipt, the organisation is in scope."""

    authentication_classes: tuple[type[BaseAuthentication], ...] = (DeviceAuthentication,)
    permission_classes = (TablePermission,)
    parser_classes = (BoundedJSON,)
    http_method_names = ("get", "post", "head")
    actor: Actor
    now: datetime

    def get_exception_handler(self) -> Any:
        return exception_handler

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        self.now = timezone.now()
        if isinstance(request.user, Actor):
            self.actor = request.user
            self._open.enter_context(organisation_scope(self.actor.organisation, to_the_end=True))
            if request.auth is not None:
                device_use_note(device=request.auth.actor.device, last_used_at=request.auth.last_used_at, now=self.now)

    def paginate_queryset(self, queryset: Any) -> Any:
        """One page. Raises NotFound for a cursor that was not given out here."""
        try:
            return super().paginate_queryset(queryset)
        except (ValueError, OverflowError) as error:
            raise NotFound("This cursor is not one of ours.") from error

    def dispatch(self, request: Any, *args: Any, **kwargs: Any) -> Response:
        with ExitStack() as self._open:
            return super().dispatch(request, *args, **kwargs)


class PageOrDeviceView(FieldView):
    """A view that the scripts of our own pages ask too, in the session of who is signed in."""

    authentication_classes = (DeviceAuthentication, PageAuthentication)
