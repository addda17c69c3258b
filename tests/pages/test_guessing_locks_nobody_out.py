"""Passwords guessed at the sign-in page: the guesser waits, the rightful owner does not.

Sources: OWASP, "Slow Down Online Guessing Attacks with Device Cookies" and Authentication Cheat Sheet (login
throttling); NIST SP 800-63B, 5.2.2.
"""

from __future__ import annotations

import pytest
from django.conf import settings
from django.http import HttpResponse
from django.test import Client, RequestFactory
from django.urls import reverse

from jobs import throttle
from jobs.browsers import COOKIE
from jobs.models import User
from jobs.networks import client_address, network_of
from tests.jobs.world import World

PASSWORD = "correct horse on a wall"
ATTACKER, HOME = "203.0.113.9", "198.51.100.7"


@pytest.fixture
def user(world: World) -> User:
    user = User.objects.get(pk=world.foreman.user)
    user.set_password(PASSWORD)
    user.save(update_fields=["password"])
    return user


def attempt(email: str, password: str, network: str, client: Client | None = None) -> HttpResponse:
    client = client or Client()
    typed = {"email": email, "password": password}
    return client.post(reverse("sign-in"), typed, REMOTE_ADDR=network)


def guess(email: str, times: int, network: str = ATTACKER, client: Client | None = None) -> list[int]:
    return [attempt(email, f"wrong {n}", network, client).status_code for n in range(times)]


def test_a_guesser_is_told_to_wait_and_then_not_even_the_right_password_is_looked_at(user: User):
    assert guess(user.email, 7) == [400] * 5 + [429] * 2
    told = attempt(user.email, PASSWORD, ATTACKER)
    assert told.status_code == 429
    assert 0 < int(told["Retry-After"]) <= 30
    assert "Wait a little" in told.content.decode()
    assert "_auth_user_id" not in told.client.session


def test_the_owner_elsewhere_is_let_in_meanwhile(user: User):
    guess(user.email, 7)
    assert attempt(user.email, PASSWORD, HOME).status_code == 302


def test_the_owners_own_browser_is_let_in_from_the_guessers_network_too(user: User):
    mine = Client()
    assert attempt(user.email, PASSWORD, HOME, mine).status_code == 302
    mine.post(reverse("sign-out"))
    guess(user.email, 7)
    assert attempt(user.email, PASSWORD, ATTACKER, mine).status_code == 302


def test_guessing_from_everywhere_slows_after_100_and_leaves_the_known_browser_in(user: User):
    mine = Client()
    attempt(user.email, PASSWORD, HOME, mine)
    mine.post(reverse("sign-out"))
    # One guess from each of many networks, as hired machines would.
    seen = [guess(user.email, 1, f"10.{n // 250}.{n % 250}.1")[0] for n in range(103)]
    assert seen == [400] * 100 + [429] * 3
    assert attempt(user.email, PASSWORD, HOME).status_code == 429
    assert attempt(user.email, PASSWORD, HOME, mine).status_code == 302


def test_a_known_browser_guesses_no_better_and_its_cookie_is_good_for_one_account(user: User, world: World):
    mine, other = Client(), User.objects.get(pk=world.owner.user)
    attempt(user.email, PASSWORD, HOME, mine)
    mine.post(reverse("sign-out"))
    assert guess(user.email, 12, HOME, mine) == [400] * 10 + [429] * 2
    assert guess(other.email, 7, HOME, mine) == [400] * 5 + [429] * 2


@pytest.mark.parametrize("forged", ["", "made-up", "eyJhIjoxfQ:1abc:xyz"])
def test_a_cookie_of_ones_own_making_is_worth_nothing(user: User, forged: str):
    attacker = Client()
    attacker.cookies[COOKIE] = forged
    assert guess(user.email, 7, client=attacker)[-1] == 429


def test_a_wrong_password_makes_no_browser_known(user: User):
    client = Client()
    guess(user.email, 1, client=client)
    assert COOKIE not in client.cookies


def test_the_cookie_is_closed_to_scripts_and_tells_no_address(user: User):
    client = Client()
    attempt(user.email, PASSWORD, HOME, client)
    assert client.cookies[COOKIE]["httponly"]
    assert client.cookies[COOKIE]["samesite"] == "Lax"
    assert user.email not in client.cookies[COOKIE].value


def test_one_network_over_many_accounts_is_slowed(world: World):
    seen = [guess(f"somebody{n}@example.org", 1)[0] for n in range(52)]
    assert seen == [400] * 50 + [429] * 2


def test_an_address_that_is_not_known_is_answered_alike(user: User):
    known, unknown = attempt(user.email, "wrong", HOME), attempt("nobody@example.org", "wrong", HOME)
    same = (known.content.decode().replace(user.email, "nobody@example.org"), known.status_code)
    strip = lambda text: text.split("csrfmiddlewaretoken")[0]  # noqa: E731
    assert (strip(same[0]), same[1]) == (strip(unknown.content.decode()), unknown.status_code)
    assert guess("nobody@example.org", 7, HOME)[-1] == 429


def test_an_address_in_another_case_is_the_same_account(user: User):
    guess(user.email.upper(), 3)
    assert guess(f" {user.email} ", 3) == [400, 400, 429]


def test_the_right_password_forgets_the_slips_before_it(user: User):
    for _ in range(4):
        guess(user.email, 4, HOME)
        assert attempt(user.email, PASSWORD, HOME).status_code == 302


def test_without_redis_people_sign_in_and_guessers_wait(user: User, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(settings, "REDIS_URL", "redis://127.0.0.1:1/0")
    monkeypatch.setattr(throttle, "_memory", throttle.Memory())
    assert attempt(user.email, PASSWORD, HOME).status_code == 302
    assert guess(user.email, 7) == [400] * 5 + [429] * 2


@pytest.mark.parametrize(
    ("proxies", "remote", "forwarded", "believed"),
    [
        (0, ATTACKER, HOME, ATTACKER),
        (1, "10.0.0.1", HOME, HOME),
        # What stands to the left of the last proxy's word was written by the sender himself.
        (1, "10.0.0.1", f"1.2.3.4, {ATTACKER}", ATTACKER),
        (2, "10.0.0.1", f"1.2.3.4, {ATTACKER}, 10.0.0.2", ATTACKER),
        (2, "10.0.0.1", ATTACKER, "10.0.0.1"),
        (1, "10.0.0.1", "unknown", ""),
        (0, "", "", ""),
        (0, "::ffff:192.0.2.7", "", "192.0.2.7"),
    ],
)
def test_a_forwarded_address_is_believed_as_far_as_proxies_are_told_of(
    monkeypatch: pytest.MonkeyPatch, proxies: int, remote: str, forwarded: str, believed: str
):
    monkeypatch.setattr(settings, "PROXY_COUNT", proxies)
    request = RequestFactory().get("/", REMOTE_ADDR=remote, HTTP_X_FORWARDED_FOR=forwarded)
    assert client_address(request) == believed


@pytest.mark.parametrize(
    ("address", "network"), [("192.0.2.77", "192.0.2.0/24"), ("2001:db8:1:2ff::9", "2001:db8:1:200::/56")]
)
def test_a_network_is_the_share_of_one_subscriber(address: str, network: str):
    assert network_of(RequestFactory().get("/", REMOTE_ADDR=address)) == network


def test_a_forged_header_moves_nobody_to_another_network(user: User):
    typed = {"email": user.email, "password": "wrong"}
    seen = [
        Client()
        .post(reverse("sign-in"), typed, REMOTE_ADDR=ATTACKER, headers={"x-forwarded-for": f"192.0.2.{n}"})
        .status_code
        for n in range(7)
    ]
    assert seen == [400] * 5 + [429] * 2


def test_a_session_key_from_before_the_sign_in_is_worth_nothing_after_it(user: User):
    # OWASP Session Management Cheat Sheet: renew the session id after any privilege change (fixation).
    victim, attacker = Client(), Client()
    fixed = attacker.session
    fixed["planted"] = True
    fixed.save()
    attacker.cookies[settings.SESSION_COOKIE_NAME] = fixed.session_key
    victim.cookies[settings.SESSION_COOKIE_NAME] = fixed.session_key
    assert attempt(user.email, PASSWORD, HOME, victim).status_code == 302
    assert victim.cookies[settings.SESSION_COOKIE_NAME].value != fixed.session_key
    assert victim.get("/").status_code == 200
    assert attacker.get("/").status_code == 302
