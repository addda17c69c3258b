"""Scheduled work of the records. A task opens the organisation's scope, calls one service, and may run twice."""

from __future__ import annotations

from datetime import UTC, datetime

from celery import shared_task

from jobs.services.audit_sealing import audit_seal
from jobs.services.clearing import invitations_clear, sessions_clear
from jobs.services.invitations import invitation_mail
from jobs.services.passwords import password_changed_mail, password_reset_mail
from jobs.tenancy import organisation_ids


@shared_task(name="jobs.audit_seal_organisation", acks_late=True)
def audit_seal_organisation(organisation_id: int) -> int:
    """Seal one organisation's audit records; answers how many were sealed. Run again, it finds nothing to do."""
    return audit_seal(organisation=organisation_id, now=datetime.now(UTC))


@shared_task(name="jobs.audit_seal_due", ignore_result=True)
def audit_seal_due() -> None:
    """Beat's entry: queue the sealing of every organisation, so that a large one does not hold up the others."""
    for organisation in organisation_ids():
        audit_seal_organisation.delay(organisation)


@shared_task(name="jobs.stale_clear", ignore_result=True)
def stale_clear() -> None:
    """Beat's entry: clear ended sessions and unanswered invitations. Run again, it finds nothing to do."""
    now = datetime.now(UTC)
    sessions_clear(now=now)
    for organisation in organisation_ids():
        invitations_clear(organisation=organisation, now=now)


# Mail servers are away at times: tried again after 1, 2, 4 ... minutes, for an hour and some.
_MAIL = {
    "autoretry_for": (OSError,),
    "retry_backoff": 60,
    "retry_backoff_max": 1800,
    "max_retries": 6,
    "ignore_result": True,
}


@shared_task(name="jobs.invitation_mail", **_MAIL)
def invitation_mail_send(organisation_id: int, invitation_id: int) -> None:
    """Mail an invitation. Run twice it sends two, of which the later is good."""
    invitation_mail(organisation=organisation_id, invitation=invitation_id, now=datetime.now(UTC))


@shared_task(name="jobs.password_reset_mail", **_MAIL)
def password_reset_mail_send(email: str, language: str = "en") -> None:
    """Mail a link to a new password, if the address is somebody's. Run twice it sends two good ones."""
    password_reset_mail(email=email, language=language)


@shared_task(name="jobs.password_changed_mail", **_MAIL)
def password_changed_mail_send(user_id: int, language: str = "en") -> None:
    """Tell a user that his password was changed."""
    password_changed_mail(user=user_id, language=language)
