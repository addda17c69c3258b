"""Who comes in by the API: the device of a token, then the permission table."""

from __future__ import annotations

from typing import Any, NoReturn

from django.conf import settings
from django.utils import timezone
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication, SessionAuthentication
from rest_framework.exceptions import AuthenticationFailed, Throttled
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from jobs.actors import Actor
from jobs.networks import network_of
from jobs.permissions import DESK, NOBODY, allowed
from jobs.selectors.seats import seat_of
from jobs.signin import MEMBERSHIP, SECOND_FACTOR, DeviceFound, device_by_token, membership_chosen, memberships_of
from jobs.tenancy import organisation_scope
from jobs.throttle import BAD_TOKEN, Counter, wait_or_count

# With it a page's script says for whom the page was made: the id of his membership.
PAGE_MEMBER = "X-Member"


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


class PageAuthentication(BaseAuthentication):
    """The session of a page, for what its own scripts ask; with the proof that the request is the page's own (CSRF)."""

    def authenticate(self, request: Request) -> tuple[Actor, None] | None:
        user = getattr(request._request, "user", None)
        if user is None or not user.is_authenticated:
            return None
        actor = membership_chosen(memberships_of(user.pk), request._request.session.get(MEMBERSHIP))
        if actor is None or (not request._request.session.get(SECOND_FACTOR) and _must_prove_more(actor)):
            return None
        SessionAuthentication().enforce_csrf(request)
        # The page may have been opened by somebody else of this browser, whose entries are not this one's to send.
        if request.headers.get(PAGE_MEMBER) != str(actor.membership):
            raise AuthenticationFailed("Another member has signed in on this browser since this page was opened.")
        return actor, None

    def authenticate_header(self, request: Request) -> str:
        return "Token"


def _must_prove_more(actor: Actor) -> bool:
    """Whether the pages would first ask the actor for his second factor."""
    if actor.role not in DESK:
        return False
    with organisation_scope(actor.organisation):
        seat = seat_of(actor, timezone.now())
    return seat.second_factor_required


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


class PageSessionScheme(OpenApiAuthenticationExtension):
    """How the schema describes the session of a page."""

    target_class = "jobs.api.door.PageAuthentication"
    name = "pageSession"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {
            "type": "apiKey",
            "in": "cookie",
            "name": settings.SESSION_COOKIE_NAME,
            "description": "the session of the site's own pages, with X-CSRFToken where something is sent",
        }
