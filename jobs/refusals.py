"""Refusals: what a service says when it will not do a thing. Each names the thing, the value, why, and what to do.

A refusal is an answer, not an accident. The API turns each kind into one status and a problem document; pages show
its sentences beside the fields.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import ClassVar

from django.db import DatabaseError


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing that is wrong. `path` names the field, as in `shares.people[1].person`; empty for the whole."""

    path: str
    sentence: str


class Refusal(Exception):
    """Base of all refusals; raise a kind of it."""

    kind: ClassVar[str] = "refused"
    title: ClassVar[str] = "The request was refused"

    def __init__(self, *mistakes: Mistake) -> None:
        self.mistakes = mistakes
        super().__init__(" ".join(mistake.sentence for mistake in mistakes))


class Invalid(Refusal):
    """A value cannot be used."""

    kind = "invalid"
    title = "Some values cannot be used"


class NotFound(Refusal):
    """Nothing of that name is in the reach of who asks; said alike for what does not exist and what is not his."""

    kind = "not-found"
    title = "Not found"


class NotAllowed(Refusal):
    """The role of who asks does not do this."""

    kind = "not-allowed"
    title = "Not allowed for this role"


class OverClaim(Refusal):
    """The entry would take a work unit past its measured quantity."""

    kind = "over-claim"
    title = "More than is left of the work unit"


class UuidReused(Refusal):
    """The UUID was received before with other content, or from someone else."""

    kind = "uuid-reused"
    title = "The UUID was used before"


class AlreadyReplaced(Refusal):
    """The entry or hours to correct were corrected already; correct the newest."""

    kind = "already-replaced"
    title = "Already corrected"


class Conflict(Refusal):
    """Something of that name stands already."""

    kind = "conflict"
    title = "In the way of what stands already"


# The next step for a program; a page has another.
ASK_FOR_THE_LIST = "Ask for the list and choose one of it."


def invalid(path: str, sentence: str) -> Invalid:
    return Invalid(Mistake(path, sentence))


def not_found(path: str, thing: str, value: object) -> NotFound:
    return NotFound(Mistake(path, f"{thing} {value} was not found. {ASK_FOR_THE_LIST}"))


def raise_mistakes(mistakes: Sequence[Mistake]) -> None:
    """Raise Invalid with all of them, if there are any."""
    if mistakes:
        raise Invalid(*mistakes)


# Constraints whose violation is an answer, and the refusal it becomes. The services check before they write; these
# catch what only the database can see.
_BY_CONSTRAINT: dict[str, tuple[type[Refusal], str, str]] = {
    "entries_never_past_measured": (
        OverClaim,
        "quantity",
        "Less than that is left of the work unit. Claim what is left.",
    ),
    "receipt_uuid_is_used_once": (
        UuidReused,
        "uuid",
        "This UUID was used before. Send the operation again with a new one.",
    ),
    "entry_is_replaced_at_most_once": (
        AlreadyReplaced,
        "replaces",
        "This entry was corrected already. Correct the newest.",
    ),
    "hours_are_replaced_at_most_once": (
        AlreadyReplaced,
        "replaces",
        "These hours were corrected already. Correct the newest.",
    ),
    "hours_fit_in_their_day": (
        Conflict,
        "hours",
        "The day would have more hours than a day has. Correct the earlier ones.",
    ),
    "hours_do_not_overlap": (
        Conflict,
        "started_at",
        "The person has other hours at that time already. Correct those first, or mend the times.",
    ),
    "person_number_is_unique": (Conflict, "number", "Another person has this number. Choose another one."),
    "crew_name_is_unique": (Conflict, "name", "Another crew has this name. Choose another one."),
    "job_code_is_unique": (Conflict, "code", "Another job has this code. Choose another one."),
    "operation_code_is_unique": (Conflict, "code", "Another operation has this code. Choose another one."),
    "membership_once_per_user": (Conflict, "user", "This user is a member already. Change the role instead."),
    "organisation_keeps_an_owner": (
        Conflict,
        "role",
        "This is the last owner, and an organisation keeps one. Make another member an owner first.",
    ),
    "invitation_stands_once": (
        Conflict,
        "email",
        "This address is invited already. Send that invitation again, or withdraw it first.",
    ),
    "crew_member_once": (Conflict, "person", "This person is in the crew already."),
    "budget_line_once": (
        Conflict,
        "operation",
        "This job has a budget line for the operation already. Change that one.",
    ),
}


def refusal_of(error: DatabaseError) -> Refusal | None:
    """The refusal that a database error stands for, by the name of the violated constraint; None for an accident."""
    diagnosis = getattr(error.__cause__, "diag", None)
    known = _BY_CONSTRAINT.get(getattr(diagnosis, "constraint_name", None) or "")
    if known is None:
        return None
    kind, path, sentence = known
    return kind(Mistake(path, sentence))


@contextmanager
def database_refusals() -> Iterator[None]:
    """Turn violated constraints that are answers into refusals; let everything else through."""
    try:
        yield
    except DatabaseError as error:
        refusal = refusal_of(error)
        if refusal is None:
            raise
        raise refusal from error
