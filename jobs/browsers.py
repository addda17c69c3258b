"""Browsers known for an account: a signed cookie, given after a whole sign-in, that opens nothing by itself.

It says one thing: somebody who could sign in as this user has used this browser. `jobs.throttle` says what for. It is
bound to the account and to a number of the browser's own, and signed with the site's key, so none can be made up.
"""

from __future__ import annotations

import secrets

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import salted_hmac

COOKIE = "known_browser"
SALT = "jobs.browsers"
LIFE = 400 * 86_400
# One browser on a site may be shared by a foreman and an office; more accounts than this drop the oldest.
MOST = 5


def known_browser(request: HttpRequest, email: str) -> str | None:
    """The browser's number for the account of this e-mail; None where nobody signed in to it here."""
    return _read(request).get(_account(email))


def remember_browser(request: HttpRequest, response: HttpResponse, email: str) -> None:
    """Make the browser known for the account of this e-mail, after a whole sign-in."""
    known, account = _read(request), _account(email)
    number = known.pop(account, None) or secrets.token_urlsafe(12)
    kept = dict(list(known.items())[-(MOST - 1) :]) | {account: number}
    response.set_cookie(
        COOKIE,
        signing.dumps(kept, salt=SALT, compress=True),
        max_age=LIFE,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )


def _account(email: str) -> str:
    return salted_hmac(SALT, email.strip().lower(), algorithm="sha256").hexdigest()[:24]


def _read(request: HttpRequest) -> dict[str, str]:
    try:
        told = signing.loads(request.COOKIES.get(COOKIE, ""), salt=SALT, max_age=LIFE)
    except signing.BadSignature:
        return {}
    return told if isinstance(told, dict) else {}
