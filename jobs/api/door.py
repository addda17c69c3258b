"""Who comes in by the API: the device of a token, then the permission table."""

from __future__ import annotations

from typing import Any, NoReturn

from django.utils import timezone
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed, Throttled
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from jobs.actors import Actor
from jobs.networks import network_of
from jobs.permissions import NOBODY, allowed
from jobs.signin import DeviceFound, device_by_token
from jobs.throttle import BAD_TOKEN, Counter, wait_or_count


class DeviceAuthentication(BaseAuthentication):
    """`Authorization: Token ...`, the token of one device. The same answer for a token unknown, expired or revoked."""

    def authenticate(self, request: Request) -> tuple[Actor, DeviceFound] | None:
        scheme, _, token = request.headers.get("Authorization", "").partition(" ")
        if scheme.lower() != "token":
            return None
        device = device_by_token(token.strip(), timezone.now())
        if device is None:
            self._refuse(request)
        return device.actor, device

    @staticmethod
    def _refuse(request: Request) -> NoReturn:
        """401, or 429 to a network that sent many bad tokens. A good token never comes here (see `jobs.throttle`)."""
        network = network_of(request._request)
        counters = [Counter(BAD_TOKEN, network)] if network else []
        wait = wait_or_count(counters, timezone.now().timestamp())
        if wait:
            raise Throttled(wait, "Many tokens that are not valid came from this network.")
        raise AuthenticationFailed("This token is not valid.")

    def authenticate_header(self, request: Request) -> str:
        return "Token"


class TablePermission(BasePermission):
    """Lets in whom the permission table names; a method that a view does not have is left to answer 405."""

    def has_permission(self, request: Request, view: Any) -> bool:
        method = request.method or ""
        if method not in view.allowed_methods:
            return True
        name = request.resolver_match.view_name if request.resolver_match else ""
        role = request.user.role if isinstance(request.user, Actor) else NOBODY
        return allowed(name, method, role)


class DeviceTokenScheme(OpenApiAuthenticationExtension):
    """How the schema describes the token."""

    target_class = "jobs.api.door.DeviceAuthentication"
    name = "deviceToken"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {
            "type": "apiKey",
            "in": "header",
            "name": "Authorization",
            "description": "Token and the device's token",
        }
