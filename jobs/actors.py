"""Who acts: one value that every service and view is given, so that none of them asks the request."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Actor:
    """A membership at work, and the device it uses if any. `membership` is None for the system itself."""

    organisation: int
    membership: int | None
    role: str
    person: int | None = None
    device: int | None = None
    user: int | None = None

    # What Django and DRF ask of whoever is signed in.
    is_authenticated = True
    is_anonymous = False
    is_active = True

    @property
    def pk(self) -> int | None:
        return self.user

    @property
    def sees_every_job(self) -> bool:
        return self.role in {"owner", "office", "system"}


def system(organisation: int) -> Actor:
    """The program itself, in commands and scheduled tasks."""
    return Actor(organisation=organisation, membership=None, role="system")
