"""What a try on a page is counted by; `jobs.throttle` says why."""

from __future__ import annotations

from django.http import HttpRequest
from django.utils import timezone

from jobs import throttle
from jobs.browsers import known_browser
from jobs.models import User
from jobs.networks import network_of
from jobs.throttle import Counter


def password_counters(request: HttpRequest, email: str) -> list[Counter]:
    """The counters of a password typed for an account."""
    known = known_browser(request, email)
    if known:
        return [Counter(throttle.KNOWN_BROWSER, f"{email} {known}")]
    network = network_of(request)
    counters = [Counter(throttle.ACCOUNT, email)]
    if network:
        counters += [Counter(throttle.ACCOUNT_AND_NETWORK, f"{email} {network}"), Counter(throttle.NETWORK, network)]
    return counters


def code_counters(request: HttpRequest, user: User) -> list[Counter]:
    """The counter of a code typed as a second factor."""
    known = known_browser(request, user.email)
    return [Counter(throttle.KNOWN_CODE, f"{user.pk} {known}") if known else Counter(throttle.CODE, str(user.pk))]


def code_was_right(counters: list[Counter]) -> None:
    """Take the try back. A known browser's slips are forgotten; all others' are not, for they may be guesses."""
    throttle.was_right(counters)
    for counter in counters:
        if counter.rule == throttle.KNOWN_CODE:
            throttle.forget(counter)


def by_network(request: HttpRequest, rule: throttle.Rule) -> list[Counter]:
    """One counter of the sender's network; none where it is not known."""
    network = network_of(request)
    return [Counter(rule, network)] if network else []


def seconds_to_wait(counters: list[Counter]) -> int:
    """0, and the try is counted; or how long to wait."""
    return throttle.wait_or_count(counters, timezone.now().timestamp())


def password_was_right(counters: list[Counter]) -> None:
    """Take the try back, and forget the failures of this account from this network."""
    throttle.was_right(counters)
    for counter in counters:
        if counter.rule in {throttle.ACCOUNT_AND_NETWORK, throttle.KNOWN_BROWSER}:
            throttle.forget(counter)
