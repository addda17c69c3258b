"""Forgotten passwords: told to nobody who is known, a link good once, sessions ended, a way in that cannot be closed.

Sources: OWASP Forgot Password Cheat Sheet (the same answer in the same time, single use, short life, sessions ended);
OWASP Session Management Cheat Sheet.
"""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.tokens import default_token_generator
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from jobs.models import AuditRecord, User
from jobs.services.passwords import password_changed_mail, password_reset_mail
from jobs.tenancy import organisation_scope
from tests.jobs.world import World
from tests.pages.conftest import signed_in

OLD, NEW = "correct horse on a wall", "seven sheets to the wind"


@pytest.fixture
def user(world: World) -> User:
    user = User.objects.get(pk=world.foreman.user)
    user.set_password(OLD)
    user.save(update_fields=["password"])
    return user


def link_of(user: User) -> str:
    """The address in the mail, without the site."""
    assert password_reset_mail(email=user.email)
    found = re.search(r"https?://[^/]+(/password/new/\S+)", mail.outbox[-1].body)
    assert found
    return found[1]


def follow(link: str) -> tuple[Client, str]:
    client = Client()
    return client, client.get(link)["Location"]


def choose(client: Client, address: str, password: str = NEW) -> Any:
    return client.post(address, {"new_password1": password, "new_password2": password})


def test_the_link_of_the_mail_sets_a_new_password(user: User):
    client, address = follow(link_of(user))
    answer = choose(client, address)
    assert answer["Location"].startswith(reverse("sign-in"))
    user.refresh_from_db()
    assert user.check_password(NEW)
    assert client.get("/").status_code == 302, "the link alone signs nobody in"


def test_the_token_leaves_the_address_and_pages_send_no_referrer_elsewhere(user: User):
    link = link_of(user)
    client, address = follow(link)
    assert address != link and link.split("/")[-2] not in address
    assert client.get(address)["Referrer-Policy"] == "same-origin"


def test_a_used_link_is_good_no_more(user: User):
    link = link_of(user)
    client, address = follow(link)
    choose(client, address)
    again = Client().get(link)
    assert again.status_code == 404
    assert "good no more" in again.content.decode()
    assert choose(client, address, "yet another password").status_code == 404


def test_a_link_runs_out_and_dies_with_a_sign_in(user: User, monkeypatch: pytest.MonkeyPatch):
    link = link_of(user)
    now = default_token_generator._now() + timedelta(hours=1, seconds=1)
    monkeypatch.setattr(type(default_token_generator), "_now", lambda self: now)
    assert Client().get(link).status_code == 404
    monkeypatch.undo()
    assert Client().get(link).status_code == 302
    Client().post(reverse("sign-in"), {"email": user.email, "password": OLD})
    assert Client().get(link).status_code == 404


@pytest.mark.parametrize("token", ["abc-def", "c0-" + "0" * 32, "x"])
def test_a_guessed_link_opens_nothing(user: User, token: str):
    uid = urlsafe_base64_encode(force_bytes(user.pk))
    assert Client().get(reverse("password-new", args=[uid, token])).status_code == 404
    assert Client().get(reverse("password-new", args=["!!", token])).status_code == 404


def test_a_link_of_one_user_does_not_open_another(user: User, world: World):
    token = default_token_generator.make_token(user)
    theirs = urlsafe_base64_encode(force_bytes(world.owner.user))
    assert Client().get(reverse("password-new", args=[theirs, token])).status_code == 404


def test_asking_answers_and_queues_alike_whether_the_address_is_known(
    user: User, django_capture_on_commit_callbacks: Any, django_assert_num_queries: Any
):
    answers = []
    for address in (user.email, "nobody@example.org"):
        # No query tells them apart, so no time does: only the worker looks.
        with django_capture_on_commit_callbacks() as queued, django_assert_num_queries(2):
            answer = Client().post(reverse("password-forgotten"), {"email": address})
        answers.append((answer.status_code, answer["Location"], len(queued)))
    assert answers == [(302, reverse("password-mailed"), 1)] * 2
    assert len(mail.outbox) == 0


def test_only_the_worker_tells_them_apart(user: User):
    assert not password_reset_mail(email="nobody@example.org")
    User.objects.filter(pk=user.pk).update(is_active=False)
    assert not password_reset_mail(email=user.email)
    assert mail.outbox == []


def test_the_link_leads_to_this_site_whatever_host_a_request_names(user: User):
    # OWASP: a reset link built from the Host header can be sent to a site of the attacker.
    answer = Client().post(reverse("password-forgotten"), {"email": user.email}, headers={"host": "evil.example"})
    assert answer.status_code == 400
    link_of(user)
    assert "http://127.0.0.1:8000/password/new/" in mail.outbox[-1].body


def test_mails_are_counted_for_known_and_unknown_alike(user: User):
    for address in (user.email, "nobody@example.org"):
        seen = [Client().post(reverse("password-forgotten"), {"email": address}).status_code for _ in range(5)]
        assert seen == [302] * 3 + [429] * 2


def test_one_network_may_not_have_mail_sent_to_everybody(user: User):
    page = reverse("password-forgotten")
    seen = [Client().post(page, {"email": f"somebody{n}@example.org"}).status_code for n in range(22)]
    assert seen == [302] * 20 + [429] * 2


def test_a_new_password_by_mail_opens_an_account_that_is_being_guessed_at(user: User):
    # Guessing is slowed over every unknown browser; the mail makes this one known.
    link = link_of(user)
    for n in range(103):
        Client().post(reverse("sign-in"), {"email": user.email, "password": "x"}, REMOTE_ADDR=f"10.1.{n}.1")
    client, address = follow(link)
    typed = {"email": user.email, "password": NEW}
    assert client.post(reverse("sign-in"), typed, REMOTE_ADDR="192.0.2.1").status_code == 429
    choose(client, address)
    assert client.post(reverse("sign-in"), typed, REMOTE_ADDR="192.0.2.1").status_code == 302


def test_every_session_ends_with_the_password_and_the_one_that_changed_it_goes_on(user: User, world: World):
    mine, other = signed_in(world.foreman), signed_in(world.foreman)
    key = mine.session.session_key
    answer = mine.post(reverse("password-change"), {"old": OLD, "new": NEW})
    assert answer["Location"] == reverse("account")
    assert other.get("/").status_code == 302
    assert mine.get("/").status_code == 200
    assert mine.session.session_key != key
    user.refresh_from_db()
    assert user.check_password(NEW)


def test_a_session_ends_when_the_password_is_reset_by_mail(user: User, world: World):
    thief = signed_in(world.foreman)
    client, address = follow(link_of(user))
    choose(client, address)
    assert thief.get("/").status_code == 302


def test_changing_asks_for_the_old_one_and_a_session_cannot_guess_it(user: User, world: World):
    thief = signed_in(world.foreman)
    seen = [thief.post(reverse("password-change"), {"old": f"x{n}", "new": NEW}).status_code for n in range(7)]
    assert seen == [400] * 5 + [429] * 2
    user.refresh_from_db()
    assert user.check_password(OLD)


@pytest.mark.parametrize("password", ["short", "password123", "1234567890"])
def test_a_weak_one_is_refused_on_both_ways(user: User, world: World, password: str):
    answer = signed_in(world.foreman).post(reverse("password-change"), {"old": OLD, "new": password})
    assert answer.status_code == 400
    client, address = follow(link_of(user))
    assert choose(client, address, password).status_code == 400
    user.refresh_from_db()
    assert user.check_password(OLD)


def test_signing_out_everywhere_leaves_this_browser_in(user: User, world: World):
    mine, other = signed_in(world.foreman), signed_in(world.foreman)
    mine.post(reverse("sessions-end"))
    assert other.get("/").status_code == 302
    assert mine.get("/").status_code == 200


def test_it_is_on_record_in_the_organisation_and_the_user_is_told(user: User, world: World, other: World):
    signed_in(world.foreman).post(reverse("password-change"), {"old": OLD, "new": NEW})
    with organisation_scope(world.organisation):
        record = AuditRecord.objects.get(action="password_set")
        assert (record.subject_kind, record.subject_key) == ("user", str(user.pk))
        assert "horse" not in str(record.after) and "argon" not in str(record.after)
    with organisation_scope(other.organisation):
        assert not AuditRecord.objects.filter(action="password_set").exists()
    assert password_changed_mail(user=user.pk)
    assert "was changed" in mail.outbox[-1].body
