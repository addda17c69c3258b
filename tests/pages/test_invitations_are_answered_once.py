"""Invitations: mailed by the worker, good once, for a week, for one address; attacked by replay and other accounts."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from django.core import mail
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import reverse

from jobs.models import AuditRecord, Crew, Invitation, JobAccess, Membership, User
from jobs.refusals import Conflict, Invalid, NotAllowed, NotFound
from jobs.services.invitations import (
    LIFE,
    invitation_accept,
    invitation_mail,
    invitation_make,
    invitation_send_again,
    invitation_withdraw,
)
from jobs.services.members import member_end
from jobs.signin import invitation_by_token, memberships_of
from jobs.tenancy import organisation_scope
from tests.jobs.sql import as_application
from tests.jobs.world import NOW, World
from tests.pages.conftest import signed_in

ADDRESS = "new.foreman@example.org"
PASSWORD = "four studs and a door"


def invited(world: World, email: str = ADDRESS, role: str = "foreman", **place: object) -> tuple[Invitation, str]:
    """An invitation and the token of its mail."""
    made = invitation_make(actor=world.owner, email=email, role=role, now=NOW, **place)
    return made, mailed(world, made)


def mailed(world: World, invitation: Invitation) -> str:
    assert invitation_mail(organisation=world.organisation, invitation=invitation.pk, now=NOW)
    found = re.search(r"/invitation/([\w-]{43})/", mail.outbox[-1].body)
    assert found, mail.outbox[-1].body
    return found[1]


def opened(token: str) -> Client:
    client = Client()
    answer = client.get(reverse("invitation-link", args=[token]))
    assert answer["Location"] == reverse("invitation")
    return client


def test_a_new_foreman_joins_with_his_jobs_and_crews(world: World):
    _, token = invited(world, jobs=[world.job], crews=[world.crew])
    assert mail.outbox[-1].to == [ADDRESS]
    client = opened(token)
    assert "Alder &amp; Quill Interiors invites you" in client.get(reverse("invitation")).content.decode()
    answer = client.post(reverse("invitation"), {"password": PASSWORD})
    assert answer["Location"] == reverse("home")
    assert client.get(reverse("job", args=[world.job])).status_code == 200
    user = User.objects.get(email=ADDRESS)
    assert user.check_password(PASSWORD)
    with organisation_scope(world.organisation):
        member = Membership.objects.get(user=user)
        assert (member.role, member.active) == ("foreman", True)
        assert JobAccess.objects.filter(membership=member, job=world.job).exists()
        assert Crew.objects.get(pk=world.crew).foreman_id == member.pk


def test_the_token_stands_in_no_row_and_no_audit_record_tells_the_address(world: World):
    _, token = invited(world)
    rows = as_application(
        world, "SELECT i::text FROM jobs_invitation i UNION ALL SELECT a::text FROM jobs_auditrecord a"
    )
    assert rows
    assert not any(token in row[0] for row in rows)
    audited = as_application(world, "SELECT a::text FROM jobs_auditrecord a")
    assert not any(ADDRESS in row[0] for row in audited)


def test_a_replay_lets_nobody_in(world: World):
    invitation, token = invited(world)
    opened(token).post(reverse("invitation"), {"password": PASSWORD})
    again = opened(token).post(reverse("invitation"), {"password": "another password here"})
    assert again.status_code == 404
    assert User.objects.get(email=ADDRESS).check_password(PASSWORD)
    with organisation_scope(world.organisation):
        kept = Invitation.objects.get(pk=invitation.pk)
        assert (kept.email, kept.token_digest) == ("", None)


@pytest.mark.parametrize("token", ["", "no-token", "A" * 43, "\u00e9" * 43])
def test_a_guessed_token_opens_nothing(world: World, token: str):
    invited(world)
    assert invitation_by_token(token, NOW) is None
    with pytest.raises(NotFound):
        invitation_accept(token=token, user=None, password=PASSWORD, now=NOW)


def test_it_runs_out_after_a_week(world: World):
    _, token = invited(world)
    assert invitation_by_token(token, NOW + LIFE - timedelta(seconds=1)) is not None
    assert invitation_by_token(token, NOW + LIFE) is None
    with pytest.raises(NotFound):
        invitation_accept(token=token, user=None, password=PASSWORD, now=NOW + LIFE)


def test_sending_again_makes_another_link_and_ends_the_one_before(world: World):
    invitation, first = invited(world)
    invitation_send_again(actor=world.owner, invitation=invitation.pk, now=NOW)
    assert invitation_by_token(first, NOW) is None
    second = mailed(world, invitation)
    assert invitation_by_token(second, NOW) is not None


def test_withdrawn_it_is_good_no_more_and_its_address_is_erased(world: World):
    invitation, token = invited(world)
    invitation_withdraw(actor=world.owner, invitation=invitation.pk, now=NOW)
    assert invitation_by_token(token, NOW) is None
    assert not invitation_mail(organisation=world.organisation, invitation=invitation.pk, now=NOW)
    with organisation_scope(world.organisation):
        assert Invitation.objects.get(pk=invitation.pk).email == ""


def test_an_account_of_the_address_is_not_taken_over_and_joins_by_its_own_password(world: World, outsider: User):
    outsider.set_password(PASSWORD)
    outsider.save(update_fields=["password"])
    _, token = invited(world, email=outsider.email)
    client = opened(token)
    refused = client.post(reverse("invitation"), {"password": "a password of a thief"})
    assert refused.status_code == 409
    assert User.objects.get(pk=outsider.pk).check_password(PASSWORD)
    assert memberships_of(outsider.pk) == []
    typed = {"email": outsider.email, "password": PASSWORD, "next": reverse("invitation")}
    assert client.post(reverse("sign-in"), typed)["Location"] == reverse("invitation")
    assert "Join Alder" in client.get(reverse("invitation")).content.decode()
    assert client.post(reverse("invitation"))["Location"] == reverse("home")
    assert [one.actor.role for one in memberships_of(outsider.pk)] == ["foreman"]


def test_another_users_session_cannot_take_it(world: World, outsider: User):
    _, token = invited(world)
    client = Client()
    client.force_login(outsider)
    client.get(reverse("invitation-link", args=[token]))
    assert "Sign out" in client.get(reverse("invitation")).content.decode()
    assert client.post(reverse("invitation")).status_code == 409
    assert memberships_of(outsider.pk) == []


@pytest.mark.parametrize("password", ["", "short", "1234567890", "password123"])
def test_a_password_that_is_easily_guessed_is_refused(world: World, password: str):
    # NIST SP 800-63B, 5.1.1.2: a least length, and no password of a list of common ones.
    _, token = invited(world)
    answer = opened(token).post(reverse("invitation"), {"password": password})
    assert answer.status_code == 400
    assert not User.objects.filter(email=ADDRESS).exists()
    assert invitation_by_token(token, NOW) is not None


def test_a_former_member_comes_back_as_himself(world: World):
    user = User.objects.get(pk=world.foreman.user)
    member_end(actor=world.owner, membership=world.foreman.membership or 0, now=NOW)
    _, token = invited(world, email=user.email, role="worker", person=world.people[1])
    _, membership = invitation_accept(token=token, user=user, password="", now=NOW)
    assert membership.pk == world.foreman.membership
    assert (membership.role, membership.active) == ("worker", True)


def test_a_member_is_not_invited_and_an_address_is_invited_once(world: World):
    with pytest.raises(Conflict, match="member already"):
        invitation_make(
            actor=world.owner, email=User.objects.get(pk=world.foreman.user).email, role="worker",
            person=world.people[0], now=NOW,
        )  # fmt: skip
    invited(world)
    with pytest.raises(Conflict, match="invited already"):
        invitation_make(actor=world.owner, email=ADDRESS.upper(), role="foreman", now=NOW)


@pytest.mark.parametrize("role", ["owner", "office"])
def test_the_office_invites_nobody_above_foremen(world: World, role: str):
    office = world.actors["office"]
    with pytest.raises(NotAllowed, match="Ask an owner"):
        invitation_make(actor=office, email=ADDRESS, role=role, now=NOW)
    theirs, _ = invited(world, role=role)
    for change in (invitation_send_again, invitation_withdraw):
        with pytest.raises(NotAllowed):
            change(actor=office, invitation=theirs.pk, now=NOW)
    answer = signed_in(office).post(reverse("invite"), {"email": "x@example.org", "role": role})
    assert answer.status_code == 403


@pytest.mark.parametrize("who", ["foreman", "worker"])
def test_foremen_and_workers_invite_nobody(world: World, who: str):
    with pytest.raises(NotAllowed):
        invitation_make(actor=world.actors[who], email=ADDRESS, role="worker", person=world.people[0], now=NOW)


def test_what_is_offered_must_stand_here(world: World, other: World):
    with pytest.raises(Invalid) as refused:
        invitation_make(
            actor=world.owner, email="no address", role="king", person=other.people[0], jobs=[other.job],
            crews=[other.crew], now=NOW,
        )  # fmt: skip
    assert [one.path for one in refused.value.mistakes] == ["email", "role", "person", "jobs", "crews"]
    with pytest.raises(Invalid, match="Choose the person"):
        invitation_make(actor=world.owner, email=ADDRESS, role="worker", now=NOW)


def test_another_organisation_neither_sees_nor_touches_it(world: World, other: World):
    invitation, _ = invited(world)
    for change in (invitation_send_again, invitation_withdraw):
        with pytest.raises(NotFound):
            change(actor=other.owner, invitation=invitation.pk, now=NOW)
    assert ADDRESS not in signed_in(other.owner).get(reverse("members")).content.decode()
    assert as_application(other, "SELECT id FROM jobs_invitation") == []
    with pytest.raises(DatabaseError, match="row-level security"):
        as_application(
            other,
            "INSERT INTO jobs_invitation (organisation_id, email, role, jobs, crews, invited_by_id, created_at,"
            " expires_at) VALUES (%s, 'a@b.example', 'owner', '{}', '{}', 1, now(), now() + interval '1 day')",
            [world.organisation],
        )


def test_every_step_is_audited(world: World):
    invitation, _ = invited(world)
    invitation_send_again(actor=world.owner, invitation=invitation.pk, now=NOW)
    token = mailed(world, invitation)
    invitation_accept(token=token, user=None, password=PASSWORD, now=NOW)
    second, _ = invited(world, email="b@example.org")
    invitation_withdraw(actor=world.owner, invitation=second.pk, now=NOW)
    with organisation_scope(world.organisation):
        actions = set(AuditRecord.objects.values_list("action", flat=True))
    assert {"invitation_make", "invitation_send_again", "invitation_accept", "invitation_withdraw"} <= actions


def test_the_page_queues_the_mail_once_committed(world: World, django_capture_on_commit_callbacks: object):
    with django_capture_on_commit_callbacks() as queued:  # type: ignore[operator]
        typed = {"email": ADDRESS, "role": "foreman", "jobs": world.job, "crews": world.crew}
        answer = signed_in(world.owner).post(reverse("invite"), typed)
    assert answer["Location"] == reverse("members")
    assert len(queued) == 1
    assert "not yet" in signed_in(world.owner).get(reverse("members")).content.decode()


def test_a_failed_mail_leaves_no_token(world: World, monkeypatch: pytest.MonkeyPatch):
    made = invitation_make(actor=world.owner, email=ADDRESS, role="foreman", now=NOW)

    def away(**_: object) -> None:
        raise ConnectionRefusedError

    monkeypatch.setattr("jobs.services.invitations.mail_send", away)
    with pytest.raises(ConnectionRefusedError), transaction.atomic():
        invitation_mail(organisation=world.organisation, invitation=made.pk, now=datetime.now(UTC))
    with organisation_scope(world.organisation):
        assert Invitation.objects.get(pk=made.pk).token_digest is None


def test_a_foreman_without_jobs_and_crews_is_hinted_at_before_the_mail(world: World):
    office = signed_in(world.actors["office"])
    typed = {"email": ADDRESS, "role": "foreman"}
    page = office.post(reverse("invite"), typed)
    assert "No job is ticked" in page.content.decode() and "No crew is ticked" in page.content.decode()
    with transaction.atomic(), organisation_scope(world.organisation):
        assert not Invitation.objects.exists()
    assert office.post(reverse("invite"), typed | {"anyway": "1"}).status_code == 302
    with transaction.atomic(), organisation_scope(world.organisation):
        assert Invitation.objects.count() == 1
