"""Passwords: a new one by mail, or in place of the old. Either way every session of the user ends.

Whoever asks for a mail is never told whether the address is known: the page always queues the same task, and only the
worker looks. So neither the words nor the time of the answer tell (OWASP Forgot Password Cheat Sheet). Tokens are
Django's: signed, good for an hour, and good no more once the password or the last sign-in has changed.
"""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.tokens import default_token_generator
from django.db import transaction
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from jobs.models import User
from jobs.queue import queue_on_commit
from jobs.services.mail import mail_send
from jobs.services.office import write_down
from jobs.signin import memberships_of
from jobs.tenancy import organisation_scope


def password_reset_ask(*, email: str, language: str = "en") -> None:
    """Have the worker send a link, if the address is somebody's, in the language in which it was asked for."""
    queue_on_commit("jobs.password_reset_mail", email.strip().lower()[:254], language)


def password_reset_mail(*, email: str, language: str = "en") -> bool:
    """Mail a link to the user of an address; False where there is none. Called by the worker."""
    user = User.objects.filter(email=email, is_active=True).first()
    if user is None:
        return False
    context = {
        "email": user.email,
        "uid": urlsafe_base64_encode(force_bytes(user.pk)),
        "token": default_token_generator.make_token(user),
    }
    mail_send(to=user.email, template="password_reset", language=language, context=context)
    return True


def password_set(*, user: User, password: str, how: str, now: datetime, language: str = "en") -> None:
    """Set a password that was found good; `how` is "by mail" or "by the old one". Sessions end by it.

    Every organisation of the user has a record of it, and he is told by mail in `language`.
    """
    with transaction.atomic():
        user.set_password(password)
        user.save(update_fields=["password"])
        user_write_down(user=user, action="password_set", after={"how": how}, now=now)
        queue_on_commit("jobs.password_changed_mail", user.pk, language)


def password_changed_mail(*, user: int, language: str = "en") -> bool:
    """Tell a user that his password was changed. Called by the worker."""
    found = User.objects.filter(pk=user, is_active=True).first()
    if found is None:
        return False
    mail_send(to=found.email, template="password_changed", language=language, context={"email": found.email})
    return True


def sessions_end(*, user: User, now: datetime) -> None:
    """End every session of a user, the one that asks too unless it is renewed."""
    with transaction.atomic():
        locked = User.objects.select_for_update(no_key=True).get(pk=user.pk)
        user.session_round = locked.session_round + 1
        user.save(update_fields=["session_round"])
        user_write_down(user=user, action="sessions_end", after={}, now=now)


def user_write_down(*, user: User, action: str, after: dict[str, str], now: datetime) -> None:
    """An audit record of what a user did with his own sign-in, in each of his organisations."""
    for choice in memberships_of(user.pk):
        with organisation_scope(choice.actor.organisation):
            write_down(choice.actor, now, action, "user", user.pk, after)
