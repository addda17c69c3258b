"""Second factors: set up and confirmed by a code, checked once for each code, ended by one.

Recovery codes stand in for a lost phone. They are shown once and kept as digests under the site's key, so that a copy
of the database alone cannot be tried on (NIST SP 800-63B, 5.1.2.2: look-up secrets are kept as digests, each is good
once). Guessing is slowed by `jobs.throttle`, which cannot be turned against the owner; django-otp's own throttle could
be, and is switched off.
"""

from __future__ import annotations

import re
import secrets
from base64 import b32encode
from collections.abc import Callable
from datetime import datetime
from typing import TypeVar

from django.db import transaction
from django.utils.crypto import salted_hmac
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken

from jobs.actors import Actor
from jobs.models import Organisation, SecondFactor, User
from jobs.refusals import Conflict, Invalid, Mistake, NotAllowed, database_refusals
from jobs.services.office import write_down
from jobs.services.passwords import user_write_down
from jobs.tenancy import organisation_scope

Answer = TypeVar("Answer")
CODES = 10
CODE_BITS = 80
_SIX = re.compile(r"[0-9]{6}", re.ASCII)
_RECOVERY = re.compile(r"[a-z2-7]{16}", re.ASCII)


def factor_begin(*, user: User) -> SecondFactor:
    """Offer a new secret, which counts for nothing until it is confirmed. Raises Conflict where one stands."""
    with transaction.atomic():
        _lock(user)
        if _confirmed(user) is not None:
            raise Conflict(Mistake("", "You have a second factor already. End it first, with a code of it."))
        SecondFactor.objects.filter(user=user).delete()
        return SecondFactor.objects.create(user=user, name="app", confirmed=False)


def factor_offered(*, user: User) -> SecondFactor | None:
    """The secret that waits to be confirmed."""
    return SecondFactor.objects.filter(user=user, confirmed=False).first()


def factor_confirm(*, user: User, code: str, now: datetime) -> list[str]:
    """Take the offered secret into use, once the app gives a right code of it; answers the recovery codes.

    Every other session of the user ends: none of them proved the second factor. Raises Invalid.
    """
    with transaction.atomic():
        _lock(user)
        offered = SecondFactor.objects.select_for_update().filter(user=user, confirmed=False).first()
        if offered is None or not _SIX.fullmatch(_typed(code)) or not offered.verify_token(_typed(code)):
            raise _wrong_code()
        offered.confirmed = True
        offered.save(update_fields=["confirmed"])
        _next_round(user)
        user_write_down(user=user, action="second_factor_start", after={}, now=now)
        return _new_codes(user)


def code_check(*, user: User, code: str) -> bool:
    """Whether a code of the app or a recovery code is right. It is so once: the same one again is wrong."""
    typed = _typed(code)
    with transaction.atomic():
        _lock(user)
        if _SIX.fullmatch(typed):
            factor = _confirmed(user)
            return factor is not None and bool(factor.verify_token(typed))
        if _RECOVERY.fullmatch(typed):
            kept = StaticDevice.objects.filter(user=user, confirmed=True).first()
            return kept is not None and bool(kept.verify_token(_digest(user, typed)))
        return False


def factor_end(*, user: User, code: str, now: datetime) -> None:
    """End it, with a last code of it. Raises Invalid."""
    _with_code(user, code, lambda: factor_remove(user=user, how="by a code", now=now))


def factor_remove(*, user: User, how: str, now: datetime) -> bool:
    """Take a user's second factor and recovery codes away; False where he has none. Every session of his ends."""
    with transaction.atomic():
        _lock(user)
        gone, _ = SecondFactor.objects.filter(user=user).delete()
        StaticDevice.objects.filter(user=user).delete()
        if gone:
            _next_round(user)
            user_write_down(user=user, action="second_factor_end", after={"how": how}, now=now)
        return bool(gone)


def recovery_codes_renew(*, user: User, code: str, now: datetime) -> list[str]:
    """New recovery codes in place of those before, for a code. Raises Invalid."""

    def renew() -> list[str]:
        user_write_down(user=user, action="recovery_codes_renew", after={}, now=now)
        return _new_codes(user)

    return _with_code(user, code, renew)


def codes_left(*, user: User) -> int:
    return StaticToken.objects.filter(device__user=user).count()


def second_factor_require(*, actor: Actor, required: bool, now: datetime) -> None:
    """Ask a second factor of every owner and office of the organisation, or ask it no more. Raises NotAllowed."""
    if actor.role not in {"owner", "system"}:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not decide this. Ask an owner."))
    with database_refusals(), transaction.atomic(), organisation_scope(actor.organisation):
        organisation = Organisation.objects.select_for_update(no_key=True).get(pk=actor.organisation)
        before = organisation.second_factor_required
        if before != required:
            organisation.second_factor_required = required
            organisation.save(update_fields=["second_factor_required"])
            after = {"required": required}
            write_down(
                actor, now, "second_factor_require", "organisation", actor.organisation, after, {"required": before}
            )


def _with_code(user: User, code: str, then: Callable[[], Answer]) -> Answer:
    if not code_check(user=user, code=code):
        raise _wrong_code()
    with transaction.atomic():
        return then()


def _lock(user: User) -> None:
    """One step of a user at a time: a code sent twice at one moment is right once."""
    User.objects.select_for_update(no_key=True).get(pk=user.pk)


def _confirmed(user: User) -> SecondFactor | None:
    return SecondFactor.objects.select_for_update().filter(user=user, confirmed=True).first()


def _next_round(user: User) -> None:
    user.session_round = User.objects.values_list("session_round", flat=True).get(pk=user.pk) + 1
    user.save(update_fields=["session_round"])


def _new_codes(user: User) -> list[str]:
    StaticDevice.objects.filter(user=user).delete()
    kept = StaticDevice.objects.create(user=user, name="recovery", confirmed=True)
    codes = [b32encode(secrets.token_bytes(CODE_BITS // 8)).decode().lower() for _ in range(CODES)]
    StaticToken.objects.bulk_create(StaticToken(device=kept, token=_digest(user, code)) for code in codes)
    return ["-".join(code[place : place + 4] for place in range(0, 16, 4)) for code in codes]


def _digest(user: User, code: str) -> str:
    digest = salted_hmac("jobs.recovery_code", f"{user.pk} {code}", algorithm="sha256").digest()
    return b32encode(digest[: CODE_BITS // 8]).decode()


def _typed(code: str) -> str:
    """As typed, without the spaces and dashes that people and apps put in."""
    return re.sub(r"[\s-]", "", code[:60]).lower()


def _wrong_code() -> Invalid:
    return Invalid(Mistake("code", "This code is not right, or was used before. Wait for the next one and type that."))
