"""The door of every page: signed in, at one organisation, in a role that the permission table lets through.

A page is not wrapped in one transaction. It reads inside `reading(actor)`; a service opens its own transaction. So a
refused service leaves nothing behind, and the page that shows the refusal can still read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import wraps
from typing import Any
from urllib.parse import urlencode

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import get_language_from_request

from jobs.actors import Actor
from jobs.permissions import allowed, roles_allowed
from jobs.refusals import NotAllowed, NotFound
from jobs.selectors.seats import Seat, seat_of
from jobs.signin import MEMBERSHIP, SECOND_FACTOR, membership_chosen, memberships_of
from jobs.tenancy import organisation_scope
from jobs.wording import WorkWords, work_words

# Where an organisation asks one of its desk, these pages open without: they are the way to it.
OPEN_WITHOUT = frozenset({"second-factor", "account"})
View = Callable[..., HttpResponse]
# Scripts, styles and pictures from here alone, none of them within a page.
CONTENT_POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self'; script-src 'self'; connect-src 'self'; worker-src 'self'; "
    "form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)


@dataclass(frozen=True, slots=True)
class Guest:
    """Who is at the door: the actor, his seat, and whether he has other organisations to go to."""

    actor: Actor
    seat: Seat
    has_others: bool

    @property
    def words(self) -> WorkWords:
        """The words of his language, for what is about himself."""
        return work_words(self.seat.language)


@contextmanager
def reading(actor: Actor) -> Iterator[None]:
    """A transaction in the actor's organisation, to read in."""
    with transaction.atomic(), organisation_scope(actor.organisation):
        yield


def page(view: View) -> View:
    """Let a member through to `view(request, guest, ...)`; send others to sign in, to choose, or away.

    What is not found or belongs to another organisation answers 404, what the role does not do 403.
    """

    @transaction.non_atomic_requests
    @wraps(view)
    def through(request: HttpRequest, **parts: Any) -> HttpResponse:
        name = request.resolver_match.view_name if request.resolver_match else ""
        method = request.method or ""
        if not roles_allowed(name, method):
            return HttpResponseNotAllowed([known for known in ("GET", "POST") if roles_allowed(name, known)])
        if not request.user.is_authenticated:
            return sign_in_first(request)
        choices = memberships_of(request.user.pk)
        actor = membership_chosen(choices, request.session.get(MEMBERSHIP))
        if actor is None:
            words = work_words(get_language_from_request(request))
            return (
                redirect("choose-organisation")
                if choices
                else render(request, "jobs/no_organisation.html", {"words": words}, status=403)
            )
        with reading(actor):
            guest = Guest(actor, seat_of(actor, timezone.now()), len(choices) > 1)
        if asked_for_second_factor(request, guest) and name not in OPEN_WITHOUT:
            return redirect("second-factor")
        # Error pages, which no view answers, show his firm too.
        request.guest = guest
        if not allowed(name, method, actor.role):
            raise PermissionDenied(f"The role {actor.role} does not open this page.")
        try:
            return closed(view(request, guest, **parts))
        except NotFound as refusal:
            raise Http404(str(refusal)) from refusal
        except NotAllowed as refusal:
            raise PermissionDenied(str(refusal)) from refusal

    return through


def asked_for_second_factor(request: HttpRequest, guest: Guest) -> bool:
    """Whether the organisation asks a second factor of him that this session has not proved."""
    return guest.seat.second_factor_required and guest.seat.is_office and not request.session.get(SECOND_FACTOR)


def sign_in_first(request: HttpRequest) -> HttpResponse:
    """Off to sign in, and back to the page that was asked for."""
    back = f"?{urlencode({'next': request.get_full_path()})}" if request.path != "/" else ""
    return redirect(reverse("sign-in") + back)


def safe_way(request: HttpRequest, way: str) -> str:
    """The address to go on to, or the first page for one that leads away from here."""
    here = url_has_allowed_host_and_scheme(way, allowed_hosts={request.get_host()}, require_https=request.is_secure())
    return way if here else "home"


def closed(response: HttpResponse) -> HttpResponse:
    """Add the headers of every page: it loads nothing from elsewhere and is kept by no cache."""
    response.headers.setdefault("Content-Security-Policy", CONTENT_POLICY)
    response.headers.setdefault("Cache-Control", "private, no-store")
    return response


def answer(request: HttpRequest, guest: Guest, template: str, status: int = 200, **context: Any) -> HttpResponse:
    """Render a page for a member."""
    return render(request, template, {"guest": guest, **context}, status=status)
