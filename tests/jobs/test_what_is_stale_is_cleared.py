"""Ended sessions go, and so do the addresses of invitations that nobody answered; what is in use stays."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from django.contrib.sessions.models import Session

from config.celery import app
from config.schedule import SCHEDULE
from jobs.models import AuditRecord, Invitation
from jobs.selectors.audit_chain import audit_breaks
from jobs.services.audit_sealing import audit_seal
from jobs.services.clearing import STALE_AFTER, invitations_clear
from jobs.services.invitations import LIFE, invitation_make
from jobs.tasks import stale_clear
from jobs.tenancy import organisation_scope
from tests.jobs.world import World

DAY = timedelta(days=1)


def test_sessions_past_their_end_go_and_others_stay(world: World):
    now = datetime.now(UTC)
    Session.objects.create(session_key="ended", session_data="", expire_date=now - DAY)
    Session.objects.create(session_key="lasting", session_data="", expire_date=now + DAY)
    stale_clear()
    assert set(Session.objects.filter(session_key__in=["ended", "lasting"]).values_list("pk", flat=True)) == {"lasting"}


def test_an_address_goes_once_its_invitation_is_long_over(world: World, other: World):
    now = datetime.now(UTC)
    made = [
        invitation_make(actor=of.owner, email=f"{of.job}@example.org", role="office", now=now) for of in (world, other)
    ]
    ends = now + LIFE + STALE_AFTER
    assert invitations_clear(organisation=world.organisation, now=ends - DAY) == 0
    assert invitations_clear(organisation=world.organisation, now=ends + DAY) == 1
    assert invitations_clear(organisation=world.organisation, now=ends + DAY) == 0
    audit_seal(organisation=world.organisation, now=ends + DAY)
    with organisation_scope(world.organisation):
        one = Invitation.objects.get(pk=made[0].pk)
        assert (one.email, one.token_digest, one.withdrawn_at) == ("", None, ends + DAY)
        told = AuditRecord.objects.get(action="invitation_withdraw")
        assert (told.actor_id, told.subject_key) == (None, str(one.pk))
        assert not list(audit_breaks())
    with organisation_scope(other.organisation):
        assert Invitation.objects.get(pk=made[1].pk).email


def test_every_scheduled_task_is_one_that_the_worker_knows():
    app.loader.import_default_modules()
    assert {one["task"] for one in SCHEDULE.values()} <= set(app.tasks)
