"""Signing in and out: which of the two was wrong is not told, and nobody is led away from the site."""

from __future__ import annotations

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.models import User
from jobs.services.organisations import member_add
from jobs.tenancy import organisation_scope
from tests.jobs.world import NOW, World

PASSWORD = "correct horse on a wall"


@pytest.fixture
def user(world: World) -> User:
    user = User.objects.get(pk=world.foreman.user)
    user.set_password(PASSWORD)
    user.save(update_fields=["password"])
    return user


def test_the_password_opens_the_first_page(user: User) -> None:
    client = Client()
    answer = client.post(reverse("sign-in"), {"email": user.email.upper(), "password": PASSWORD})
    assert answer["Location"] == reverse("home")
    assert client.get("/").status_code == 200
    assert user.password.startswith("argon2")


@pytest.mark.parametrize("typed", [{"password": "something else"}, {"email": "nobody@example.org"}, {"password": ""}])
def test_a_wrong_one_is_refused_in_the_same_words(user: User, typed: dict[str, str]) -> None:
    client = Client()
    answer = client.post(reverse("sign-in"), {"email": user.email, "password": PASSWORD} | typed)
    assert answer.status_code == 400
    assert "do not belong together" in answer.content.decode()
    assert PASSWORD not in answer.content.decode()
    assert client.get("/").status_code == 302


@pytest.mark.parametrize("away", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)"])
def test_it_leads_nowhere_else(user: User, away: str) -> None:
    answer = Client().post(reverse("sign-in"), {"email": user.email, "password": PASSWORD, "next": away})
    assert answer["Location"] == reverse("home")


def test_it_leads_back_to_the_page_that_was_asked_for(world: World, user: User) -> None:
    client = Client()
    wanted = reverse("job", args=[world.job])
    to_sign_in = client.get(wanted)["Location"]
    shown = client.get(to_sign_in).content.decode()
    assert f'name="next" value="{wanted}"' in shown
    answer = client.post(reverse("sign-in"), {"email": user.email, "password": PASSWORD, "next": wanted})
    assert answer["Location"] == wanted


def test_a_form_without_its_token_is_refused(user: User) -> None:
    client = Client(enforce_csrf_checks=True)
    answer = client.post(reverse("sign-in"), {"email": user.email, "password": PASSWORD})
    assert answer.status_code == 403
    assert "This form has grown old" in answer.content.decode()


def test_signing_out_ends_the_session(user: User) -> None:
    client = Client()
    client.force_login(user)
    assert client.get(reverse("sign-out")).status_code == 405
    client.post(reverse("sign-out"))
    assert client.get("/").status_code == 302


def test_one_who_belongs_to_two_organisations_chooses(world: World, other: World, user: User) -> None:
    with transaction.atomic(), organisation_scope(other.organisation):
        second = member_add(actor=other.owner, user=user, role="office", now=NOW)
    client = Client()
    client.force_login(user)
    assert client.get("/")["Location"] == reverse("choose-organisation")
    choices = client.get(reverse("choose-organisation")).content.decode()
    assert "Alder &amp; Quill Interiors" in choices and "Bramble Partitions" in choices
    client.post(reverse("choose-organisation"), {"membership": str(second.pk)})
    assert "Bramble Partitions" in client.get("/").content.decode()
    assert client.get(reverse("job", args=[world.job])).status_code == 404
    client.post(reverse("choose-organisation"), {"membership": str(world.foreman.membership)})
    assert client.get(reverse("job", args=[world.job])).status_code == 200


def test_a_membership_of_somebody_else_cannot_be_chosen(world: World, other: World, user: User) -> None:
    with transaction.atomic(), organisation_scope(other.organisation):
        member_add(actor=other.owner, user=user, role="worker", now=NOW)
    client = Client()
    client.force_login(user)
    answer = client.post(reverse("choose-organisation"), {"membership": str(world.owner.membership)})
    assert answer.status_code == 200
    assert client.get("/")["Location"] == reverse("choose-organisation")


def test_error_pages_are_our_own_and_give_a_next_step(user: User) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(user)
    missing = client.get("/nothing/here/")
    assert missing.status_code == 404
    assert "Go to the first page" in missing.content.decode()
    assert "urlpatterns" not in missing.content.decode()
    gone = client.get("/jobs/999999/")
    assert "job 999999 was not found" in gone.content.decode().lower()
    refused = client.get(reverse("weeks"))
    assert refused.status_code == 403
    assert "Not for your role" in refused.content.decode()


def test_a_broken_page_says_so_without_its_insides(user: User, monkeypatch: pytest.MonkeyPatch) -> None:
    def break_down(*_: object) -> None:
        raise RuntimeError("the inside of the fault")

    monkeypatch.setattr("jobs.pages.home.job_lines", break_down)
    client = Client(raise_request_exception=False)
    client.force_login(user)
    answer = client.get("/")
    assert answer.status_code == 500
    assert "Something broke here" in answer.content.decode()
    assert "inside of the fault" not in answer.content.decode()
