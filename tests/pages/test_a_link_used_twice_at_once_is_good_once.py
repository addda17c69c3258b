"""Links of mails used by many at one moment: one gets in, the others are told that the link is good no more."""

from __future__ import annotations

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.models import AuditRecord, Membership, User
from jobs.services import invitations
from jobs.tenancy import organisation_scope
from tests.jobs.world import World, make_world
from tests.pages.test_a_new_password_by_mail import choose, follow, link_of
from tests.pages.test_invitations_are_answered_once import invited, opened
from tests.support.at_once import at_once

MANY = 8


@pytest.fixture
def firm(committed_db: None) -> World:
    return make_world()


def audited(world: World, action: str) -> int:
    with transaction.atomic(), organisation_scope(world.organisation):
        return AuditRecord.objects.filter(action=action).count()


def test_one_invitation_taken_by_many_lets_one_in(firm: World, monkeypatch: pytest.MonkeyPatch) -> None:
    # The mail is made here, once: a worker that another test left running would send it anew, with another link.
    monkeypatch.setattr(invitations, "queue_on_commit", lambda task, *values: None)
    address = f"wren-{firm.organisation}@example.org"
    _, token = invited(firm, email=address, jobs=[firm.job])
    clients = [(opened(token), f"a password of browser {number}") for number in range(MANY)]

    def take(given: tuple[Client, str]) -> int:
        return given[0].post(reverse("invitation"), {"password": given[1]}).status_code

    answers = at_once(take, clients)
    assert sorted(answers) == [302, *[404] * (MANY - 1)], answers
    user = User.objects.get(email=address)
    assert user.check_password(clients[answers.index(302)][1])
    with transaction.atomic(), organisation_scope(firm.organisation):
        assert Membership.objects.filter(user=user).count() == 1
    assert audited(firm, "invitation_accept") == 1


def test_one_link_of_a_forgotten_password_sets_one_password(firm: World) -> None:
    user = User.objects.get(pk=firm.foreman.user)
    user.set_password("correct horse on a wall")
    user.save(update_fields=["password"])
    link = link_of(user)
    tries = [(*follow(link), f"seven sheets to wind {number}") for number in range(MANY)]
    answers = at_once(lambda one: choose(*one).status_code, tries)
    assert sorted(answers) == [302, *[404] * (MANY - 1)], answers
    user.refresh_from_db()
    assert user.check_password(tries[answers.index(302)][2])
    assert audited(firm, "password_set") == 1
