"""Who reads, and how he signs in: his password, and every browser that is signed in as him."""

from __future__ import annotations

from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from jobs.models import User
from jobs.pages import passwords
from jobs.pages.doors import Guest, answer, page
from jobs.services.passwords import sessions_end


@page
def account(request: HttpRequest, guest: Guest) -> HttpResponse:
    """His sign-in, with links to what he can change."""
    return answer(request, guest, "jobs/account.html", words=guest.words, ended="ended" in request.GET)


@page
def change_password(request: HttpRequest, guest: Guest) -> HttpResponse:
    """The old password, then a new one."""
    wrong: list[str] = []
    if request.method == "POST":
        done, wrong = passwords.change(request, _user(request))
        if done is not None:
            return done
    status = 400 if wrong else 200
    return answer(request, guest, "jobs/password_change.html", status=status, words=guest.words, wrong=wrong)


@page
def end_sessions(request: HttpRequest, guest: Guest) -> HttpResponse:
    """Sign out every other browser."""
    user = _user(request)
    sessions_end(user=user, now=timezone.now())
    update_session_auth_hash(request, user)
    return redirect(reverse("account", query={"ended": 1}))


def _user(request: HttpRequest) -> User:
    return User.objects.get(pk=request.user.pk)
