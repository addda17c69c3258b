"""Whether a user has a second factor."""

from __future__ import annotations

from collections.abc import Collection

from jobs.models import SecondFactor


def has_second_factor(user: int) -> bool:
    return SecondFactor.objects.filter(user=user, confirmed=True).exists()


def with_second_factor(users: Collection[int]) -> set[int]:
    """Those of the users who have one."""
    return set(SecondFactor.objects.filter(user__in=users, confirmed=True).values_list("user_id", flat=True))
