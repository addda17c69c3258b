"""Signing in and out, and choosing among several organisations."""

from __future__ import annotations

from django import forms
from django.contrib.auth import authenticate, login, logout
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.crypto import constant_time_compare
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from jobs.browsers import remember_browser
from jobs.models import User
from jobs.pages.doors import safe_way, sign_in_first
from jobs.pages.errors import too_many
from jobs.pages.tongue import spoken
from jobs.pages.tries import code_counters, code_was_right, password_counters, password_was_right, seconds_to_wait
from jobs.selectors.second_factors import has_second_factor
from jobs.services.second_factors import code_check
from jobs.signin import MEMBERSHIP, SECOND_FACTOR, memberships_of

HALF = "half_signed_in"
HALF_SECONDS = 600
BACKEND = "django.contrib.auth.backends.ModelBackend"
TOO_MANY = "Too many passwords were tried for this sign-in."


class SignInForm(forms.Form):
    """An address and a password; which of the two was wrong is not told."""

    email = forms.CharField(max_length=254)
    password = forms.CharField(max_length=512, strip=False)


@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Show the form, or try what was typed."""
    back = request.POST.get("next") or request.GET.get("next") or ""
    form = SignInForm(request.POST or None)
    typed = {"email": request.POST.get("email", ""), "next": back}
    if request.method != "POST":
        return spoken(request, "jobs/sign_in.html", typed)
    user = None
    if form.is_valid():
        counters = password_counters(request, form.cleaned_data["email"].strip().lower())
        if wait := seconds_to_wait(counters):
            return too_many(request, wait, TOO_MANY, ways_in=True)
        user = authenticate(request, **form.cleaned_data)
    if not isinstance(user, User):
        refused = "The e-mail and the password do not belong together. Check both and try again, or ask your office."
        return spoken(request, "jobs/sign_in.html", {**typed, "refused": refused}, status=400)
    password_was_right(counters)
    way = safe_way(request, back)
    return ask_for_code(request, user, way) if has_second_factor(user.pk) else let_in(request, user, way)


def ask_for_code(request: HttpRequest, user: User, way: str) -> HttpResponse:
    """Half signed in: who gave his password is kept in a session of a new key, which opens nothing yet."""
    request.session.cycle_key()
    request.session[HALF] = {
        "user": user.pk,
        "round": user.get_session_auth_hash(),
        "until": timezone.now().timestamp() + HALF_SECONDS,
        "way": way,
    }
    return redirect("sign-in-code")


@never_cache
@sensitive_post_parameters("code")
@transaction.non_atomic_requests
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in_code(request: HttpRequest) -> HttpResponse:
    """The second step: a code of the app, or a recovery code."""
    half = request.session.get(HALF) or {}
    user = User.objects.filter(pk=half.get("user"), is_active=True).first()
    stands = user is not None and half["until"] > timezone.now().timestamp()
    if user is None or not stands or not constant_time_compare(half["round"], user.get_session_auth_hash()):
        request.session.pop(HALF, None)
        return redirect("sign-in")
    if request.method != "POST":
        return spoken(request, "jobs/sign_in_code.html")
    counters = code_counters(request, user)
    if wait := seconds_to_wait(counters):
        return too_many(request, wait, "Too many codes were tried for this sign-in.")
    if not code_check(user=user, code=request.POST.get("code", "")):
        refused = "This code is not right, or was used before. Wait for the next one and type that."
        return spoken(request, "jobs/sign_in_code.html", {"refused": refused}, status=400)
    code_was_right(counters)
    way = str(half["way"])
    request.session.pop(HALF)
    response = let_in(request, user, way)
    request.session[SECOND_FACTOR] = True
    return response


def let_in(request: HttpRequest, user: User, way: str) -> HttpResponse:
    """A session of a new key for a user who proved himself whole, and a browser known from now on."""
    login(request, user, backend=BACKEND)
    response = redirect(way)
    remember_browser(request, response, user.email)
    return response


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session."""
    logout(request)
    return redirect("sign-in")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def choose_organisation(request: HttpRequest) -> HttpResponse:
    """List the organisations of who is signed in, or work in the chosen one from now on."""
    if not request.user.is_authenticated:
        return sign_in_first(request)
    choices = memberships_of(request.user.pk)
    if request.method == "POST":
        wanted = request.POST.get("membership", "")
        chosen = next((choice for choice in choices if str(choice.actor.membership) == wanted), None)
        if chosen is not None:
            request.session[MEMBERSHIP] = chosen.actor.membership
            return redirect("home")
    return spoken(request, "jobs/choose_organisation.html", {"choices": choices})
