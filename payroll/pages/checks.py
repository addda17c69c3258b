"""Checking a statement by the hash on its paper, without signing in.

Least disclosure: whoever asks must hold the hash, 256 bits that nobody can guess, so he has seen the paper or its code.
A code may be photographed without the paper, so the page names neither firm nor person nor money. It says whether a
statement with this hash stands, for which week (so that code and paper can be seen to belong together), and whether
another took its place. A forged paper could bear a true code; so the gross can be typed, and the page says whether it
agrees, never what it is. Tries are counted by network, which ends guessing amounts too.
"""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal, InvalidOperation
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import get_language_from_request

from jobs import throttle
from jobs.networks import network_of
from jobs.pages.doors import closed
from jobs.permissions import roles_allowed
from payroll.reports.wording import LANGUAGES, Words, words_of
from payroll.selectors.checking import statement_standing

CHECKS = throttle.Rule("statement-checks", free=40, first=10, longest=600, keep=throttle.HOUR)
_DIGEST = re.compile(r"[0-9a-fA-F]{64}")
_AMOUNT = re.compile(r"\d{1,12}(?:[.,]\d{1,2})?")


def statement_check(request: HttpRequest, digest: str) -> HttpResponse:
    """Say whether a statement with this hash stands, in the language asked for or that the browser prefers."""
    if not roles_allowed("statement-check", request.method or ""):
        return closed(HttpResponseNotAllowed(["GET"]))
    words = words_of(_language(request))
    wait = throttle.wait_or_count([throttle.Counter(CHECKS, network_of(request))], timezone.now().timestamp())
    if wait:
        refused = _page(request, words, 429, said=[words.label("check_too_many", seconds=wait)])
        refused.headers["Retry-After"] = str(wait)
        return refused
    gross, unread = _gross(request.GET.get("gross", ""))
    found = statement_standing(bytes.fromhex(digest), gross) if _DIGEST.fullmatch(digest) else None
    if found is None:
        return _page(request, words, 404, said=[words.label("check_none")], digest=digest[:64])
    last = found.first_day + timedelta(days=6)
    said = [
        words.label("check_stands"),
        words.label("check_week", span=words.span(found.first_day, last)),
        words.label("check_superseded" if found.superseded else "check_in_force"),
    ]
    if unread:
        said.append(words.label("check_gross_how"))
    elif found.agrees is not None:
        said.append(words.label("check_gross_same" if found.agrees else "check_gross_other"))
    return _page(request, words, 200, said=said, digest=digest.lower(), asks=True, warns=found.superseded)


def _page(request: HttpRequest, words: Words, status: int, **context: Any) -> HttpResponse:
    names = [(code, words_of(code).label("language")) for code in LANGUAGES]
    given = {"words": words, "languages": names, **context}
    return closed(render(request, "payroll/check.html", given, status=status))


def _language(request: HttpRequest) -> str:
    asked = request.GET.get("language", "")
    return asked if asked in LANGUAGES else get_language_from_request(request)


def _gross(typed: str) -> tuple[Decimal | None, bool]:
    """The amount typed, and whether it could not be read."""
    plain = re.sub(r"[\s$\u00a0\u202f]", "", typed)
    if not plain:
        return None, False
    # 1,234.56 and 1234,56 both: a comma before three figures sets thousands apart.
    plain = re.sub(r",(?=\d{3}(?:\D|$))", "", plain)
    if not _AMOUNT.fullmatch(plain):
        return None, True
    try:
        return Decimal(plain.replace(",", ".")), False
    except InvalidOperation:
        return None, True
