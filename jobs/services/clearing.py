"""What is of use to nobody any more is cleared: sessions past their end, addresses of invitations never answered."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.contrib.sessions.models import Session
from django.db import transaction

from jobs.actors import system
from jobs.models import Invitation
from jobs.services.office import write_down
from jobs.tenancy import organisation_scope

# So long the office can still send it again by one tap.
STALE_AFTER = timedelta(days=30)


def sessions_clear(*, now: datetime) -> int:
    """Delete sessions that are past their end; how many."""
    return Session.objects.filter(expire_date__lt=now).delete()[0]


def invitations_clear(*, organisation: int, now: datetime) -> int:
    """Take back invitations that ended `STALE_AFTER` ago unanswered, which erases their addresses; how many."""
    with transaction.atomic(), organisation_scope(organisation):
        stale = Invitation.objects.select_for_update(no_key=True).filter(
            accepted_at=None, withdrawn_at=None, expires_at__lt=now - STALE_AFTER
        )
        found = list(stale.order_by("pk"))
        for one in found:
            one.withdrawn_at, one.email, one.token_digest = now, "", None
            one.save(update_fields=["withdrawn_at", "email", "token_digest"])
            after = {"withdrawn_at": now.isoformat()}
            write_down(system(organisation), now, "invitation_withdraw", "invitation", one.pk, after)
        return len(found)
