"""Invitations: an offer of membership by mail, good once and for a week.

The token is made where the mail is sent, in the worker, and stands nowhere else: neither the queue nor the database nor
a page ever holds it. A mail sent twice, as a task may be, leaves the later link good.
"""

from __future__ import annotations

import secrets
from collections.abc import Collection
from dataclasses import replace
from datetime import datetime, timedelta

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction

from jobs.actors import Actor
from jobs.models import Crew, Invitation, Job, Membership, Organisation, Person, User
from jobs.queue import queue_on_commit
from jobs.refusals import Conflict, Invalid, Mistake, NotAllowed, database_refusals, not_found, raise_mistakes
from jobs.selectors.members import ranks_over
from jobs.services.mail import mail_send
from jobs.services.members import place_mistakes, reach_set
from jobs.services.office import office_work, write_down
from jobs.services.people import person_language_choose
from jobs.signin import invitation_by_token, token_digest
from jobs.tenancy import organisation_scope

LIFE = timedelta(days=7)


def invitation_make(
    *,
    actor: Actor,
    email: str,
    role: str,
    person: int | None = None,
    jobs: Collection[int] = (),
    crews: Collection[int] = (),
    now: datetime,
) -> Invitation:
    """Offer a place to the owner of an e-mail address; the mail is sent once this is committed.

    Raises Invalid, NotAllowed, and Conflict for a member or for whom an invitation stands.
    """
    address = email.strip().lower()
    with office_work(actor):
        mistakes = [] if _is_email(address) else [Mistake("email", f"{address[:60]!r} is no e-mail address.")]
        raise_mistakes(mistakes + place_mistakes(role=role, person=person, jobs=jobs, crews=crews))
        _may_offer(actor, role)
        if Membership.objects.filter(user__email=address, active=True).exists():
            raise Conflict(Mistake("email", f"{address} is a member already. Change the role on the member's page."))
        invitation = Invitation.objects.create(
            email=address,
            role=role,
            person_id=person,
            jobs=sorted(set(jobs)),
            crews=sorted(set(crews)),
            invited_by_id=actor.membership,
            created_at=now,
            expires_at=now + LIFE,
        )
        after = {"role": role, "person": person, "jobs": invitation.jobs, "crews": invitation.crews}
        write_down(actor, now, "invitation_make", "invitation", invitation.pk, after)
        queue_on_commit("jobs.invitation_mail", actor.organisation, invitation.pk)
        return invitation


def invitation_send_again(*, actor: Actor, invitation: int, now: datetime) -> Invitation:
    """Send it anew, good for a week from now; the link before is good no more. Raises NotFound, NotAllowed."""
    with office_work(actor):
        found = _standing(actor, invitation)
        found.expires_at = now + LIFE
        found.token_digest = None
        found.save(update_fields=["expires_at", "token_digest"])
        after = {"expires_at": found.expires_at.isoformat()}
        write_down(actor, now, "invitation_send_again", "invitation", found.pk, after)
        queue_on_commit("jobs.invitation_mail", actor.organisation, found.pk)
        return found


def invitation_withdraw(*, actor: Actor, invitation: int, now: datetime) -> Invitation:
    """Take it back: its link is good no more, its address is erased. Raises NotFound, NotAllowed."""
    with office_work(actor):
        found = _standing(actor, invitation)
        found.withdrawn_at, found.email, found.token_digest = now, "", None
        found.save(update_fields=["withdrawn_at", "email", "token_digest"])
        after = {"withdrawn_at": now.isoformat()}
        write_down(actor, now, "invitation_withdraw", "invitation", found.pk, after)
        return found


def invitation_mail(*, organisation: int, invitation: int, now: datetime) -> bool:
    """Make the token and mail it; False for an invitation that stands no more. Called by the worker."""
    token = secrets.token_urlsafe(32)
    with transaction.atomic(), organisation_scope(organisation):
        found = Invitation.objects.filter(pk=invitation, accepted_at=None, withdrawn_at=None, expires_at__gt=now)
        one = found.select_for_update(no_key=True).first()
        if one is None:
            return False
        one.token_digest, one.sent_at = token_digest(token), now
        one.save(update_fields=["token_digest", "sent_at"])
        firm = Organisation.objects.get(pk=organisation).name
        # Inside the transaction: a mail that cannot be sent leaves no token behind, and the task is tried again.
        known = Person.objects.filter(pk=one.person_id).values_list("language", flat=True).first() or "en"
        context = {"organisation": firm, "role": one.role, "token": token, "expires_at": one.expires_at}
        mail_send(to=one.email, template="invitation", language=known, context=context)
    return True


def invitation_accept(
    *, token: str, user: User | None, password: str, now: datetime, language: str = "en"
) -> tuple[User, Membership]:
    """Answer an invitation, once. `user` is who is signed in; nobody, and a password for somebody who is new here.

    `language` is the one he read it in: his own from now on, where the office named none but English.
    An account of the invited address is never taken over: its owner signs in first. Raises NotFound for a token that is
    good no more, Invalid for a password that will not do, Conflict for another's account.
    """
    found = invitation_by_token(token, now)
    if found is None:
        raise not_found("token", "invitation", "of this link")
    with database_refusals(), transaction.atomic(), organisation_scope(found.organisation):
        one = Invitation.objects.select_for_update().filter(pk=found.id, accepted_at=None, withdrawn_at=None).first()
        if one is None or bytes(one.token_digest or b"") != token_digest(token):
            raise not_found("token", "invitation", "of this link")
        member_user = _invited_user(one.email, user, password)
        membership = _seat(one, member_user)
        actor = Actor(found.organisation, membership.pk, membership.role, user=member_user.pk)
        after = {"user": member_user.pk, "role": one.role, "person": one.person_id, "invitation": one.pk}
        write_down(actor, now, "invitation_accept", "membership", membership.pk, after)
        reach_set(actor, membership, jobs=_still("job", one.jobs), crews=_still("crew", one.crews), now=now)
        if one.person_id is not None and language != "en":
            _language_take(actor, one.person_id, language, now)
        one.accepted_at, one.membership, one.email, one.token_digest = now, membership, "", None
        one.save(update_fields=["accepted_at", "membership", "email", "token_digest"])
        return member_user, membership


def _invited_user(email: str, user: User | None, password: str) -> User:
    if user is not None:
        if user.email != email:
            sentence = (
                f"{user.email} is signed in, and the invitation is for {email}. Sign out and open the link again."
            )
            raise Conflict(Mistake("user", sentence))
        return user
    if User.objects.filter(email=email).exists():
        raise Conflict(Mistake("user", f"{email} has an account. Sign in with it, and you come back here."))
    new = User(email=email)
    try:
        validate_password(password, new)
    except ValidationError as mistakes:
        raise Invalid(*(Mistake("password", sentence) for sentence in mistakes.messages)) from mistakes
    return User.objects.create_user(email, password)


def _language_take(actor: Actor, person: int, language: str, now: datetime) -> None:
    """Keep the language of who answered, where it stands at English, which nobody has to choose."""
    if Person.objects.filter(pk=person, language="en").exists():
        person_language_choose(actor=replace(actor, person=person), language=language, now=now)


def _seat(one: Invitation, user: User) -> Membership:
    """The membership, new or, for somebody who was a member before, in force again."""
    before = Membership.objects.select_for_update(no_key=True).filter(user=user).first()
    if before is None:
        return Membership.objects.create(user=user, role=one.role, person_id=one.person_id)
    if before.active:
        raise Conflict(Mistake("user", f"{user.email} is a member already. Nothing was changed."))
    before.role, before.person_id, before.active = one.role, one.person_id, True
    before.save(update_fields=["role", "person", "active"])
    return before


def _standing(actor: Actor, invitation: int) -> Invitation:
    standing = Invitation.objects.select_for_update().filter(accepted_at=None, withdrawn_at=None)
    found = standing.filter(pk=invitation).first() if invitation < 2**63 else None
    if found is None:
        raise not_found("invitation", "invitation", invitation)
    _may_offer(actor, found.role)
    return found


def _may_offer(actor: Actor, role: str) -> None:
    if not ranks_over(actor.role, role):
        raise NotAllowed(Mistake("role", f"the role {actor.role} invites nobody as {role}. Ask an owner."))


def _still(kind: str, ids: Collection[int]) -> list[int]:
    """Those of the ids that stand: a job or crew may have gone meanwhile."""
    model = {"job": Job, "crew": Crew}[kind]
    return list(model.objects.filter(pk__in=ids).values_list("pk", flat=True))


def _is_email(address: str) -> bool:
    try:
        validate_email(address)
    except ValidationError:
        return False
    return len(address) <= 254
