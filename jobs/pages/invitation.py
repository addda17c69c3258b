"""Answering an invitation: whoever holds the link of the mail is let in once."""

from __future__ import annotations

from django.conf import settings
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from jobs import throttle
from jobs.models import User
from jobs.pages.errors import too_many
from jobs.pages.signing import let_in
from jobs.pages.tongue import language_keep, spoken, words_for
from jobs.pages.tries import by_network, seconds_to_wait
from jobs.refusals import Conflict, Invalid, NotFound
from jobs.services.invitations import invitation_accept
from jobs.signin import MEMBERSHIP, invitation_by_token
from jobs.wording import LANGUAGES

LINK = "invitation"


@never_cache
@require_http_methods(["GET", "HEAD"])
def link(request: HttpRequest, token: str) -> HttpResponse:
    """Take the token out of the address, where logs and referrers would keep it, into the session."""
    counters = by_network(request, throttle.LINK)
    if wait := seconds_to_wait(counters):
        return too_many(request, wait, "Too many links were tried.")
    if invitation_by_token(token, timezone.now()) is not None:
        throttle.was_right(counters)
    request.session[LINK] = token
    response = redirect("invitation")
    # The page speaks as the mail did, unless another language was chosen in this browser.
    if request.GET.get("language") in LANGUAGES and settings.LANGUAGE_COOKIE_NAME not in request.COOKIES:
        language_keep(response, request.GET["language"])
    return response


@never_cache
@sensitive_post_parameters("password")
@transaction.non_atomic_requests
@require_http_methods(["GET", "HEAD", "POST"])
def invitation(request: HttpRequest) -> HttpResponse:
    """Show what is offered and what it takes, or accept it."""
    token = request.session.get(LINK, "")
    found = invitation_by_token(token, timezone.now()) if token else None
    if found is None:
        return _gone(request)
    signed_in = User.objects.get(pk=request.user.pk) if request.user.is_authenticated else None
    wrong: tuple[str, ...] = ()
    status = 200
    if request.method == "POST":
        try:
            password = request.POST.get("password", "")
            user, membership = invitation_accept(
                token=token,
                user=signed_in,
                password=password,
                language=words_for(request).language,
                now=timezone.now(),
            )
        except NotFound:
            return _gone(request)
        except (Invalid, Conflict) as refusal:
            wrong = tuple(mistake.sentence for mistake in refusal.mistakes)
            status = 400 if isinstance(refusal, Invalid) else 409
        else:
            del request.session[LINK]
            way = let_in(request, user, "home") if signed_in is None else redirect("home")
            request.session[MEMBERSHIP] = membership.pk
            return way
    context = {
        "found": found,
        "signed_in": signed_in,
        "is_his": signed_in is not None and signed_in.email == found.email,
        "has_account": signed_in is None and User.objects.filter(email=found.email).exists(),
        "wrong": wrong,
    }
    return spoken(request, "jobs/invitation.html", context, status=status)


def _gone(request: HttpRequest) -> HttpResponse:
    return spoken(request, "jobs/invitation_gone.html", status=404)
