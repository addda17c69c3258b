"""Organisations kept apart: the scope, the manager that refuses to work without one, and the sign-in look-ups.

A scope lasts for one transaction at most. It is held twice: in Python, where the manager adds the organisation to
every query, and in PostgreSQL (`SET LOCAL`), where row security hides and refuses everything else. The third lock,
composite foreign keys, is made in migrations (see `jobs/tenancy_sql.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, ClassVar, TypeVar

from django.db import DEFAULT_DB_ALIAS, connections, models, transaction
from psycopg.pq import TransactionStatus

SETTING = "piecewall.organisation"
_scope: ContextVar[int | None] = ContextVar("piecewall_organisation", default=None)


class NoOrganisation(Exception):
    """A record was read or written while no organisation was in scope."""


class WrongOrganisation(Exception):
    """A record of one organisation was about to be written, or a query run, in the scope of another."""


def organisation_in_scope() -> int:
    """The id of the organisation in scope. Raises NoOrganisation outside a scope."""
    current = _scope.get()
    if current is None:
        raise NoOrganisation(
            "No organisation is in scope. Open organisation_scope(organisation) inside a transaction first."
        )
    return current


@contextmanager
def organisation_scope(organisation: models.Model | int, *, to_the_end: bool = False) -> Iterator[int]:
    """Work as one organisation until the block ends; the scope before it comes back afterwards.

    `to_the_end` is for a request whose transaction ends with the block: the database is not told, it forgets anyway.

    Takes an Organisation or its id. Raises NoOrganisation for None, and TransactionManagementError outside a
    transaction, where PostgreSQL would forget the setting at once.
    """
    wanted = organisation.pk if isinstance(organisation, models.Model) else organisation
    if not isinstance(wanted, int) or isinstance(wanted, bool):
        raise NoOrganisation(f"{organisation!r} is no saved organisation. Pass an Organisation or its id.")
    connection = connections[DEFAULT_DB_ALIAS]
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError(
            "organisation_scope needs a transaction: outside of one the database forgets the organisation at once. "
            "Wrap the block in transaction.atomic()."
        )
    before = _scope.get()
    if before == wanted:
        yield wanted
        return
    _tell_database(wanted)
    token = _scope.set(wanted)
    try:
        yield wanted
    finally:
        _scope.reset(token)
        # In a failed transaction nothing more can be said, and nothing needs to be: its end takes the setting with it.
        if (
            not to_the_end
            and connection.connection is not None
            and connection.connection.info.transaction_status == TransactionStatus.INTRANS
        ):
            _tell_database(before)


def _tell_database(organisation: int | None) -> None:
    with connections[DEFAULT_DB_ALIAS].cursor() as cursor:
        cursor.execute("SELECT set_config(%s, %s, true)", [SETTING, "" if organisation is None else str(organisation)])


M = TypeVar("M", bound="Record")


class RecordQuerySet(models.QuerySet[M]):
    """A query bound to the organisation it was made for; it refuses to run in the scope of another or of none."""

    def _same_scope(self) -> int:
        current = organisation_in_scope()
        bound = self._hints.get("organisation", current)
        if bound != current:
            raise WrongOrganisation(
                f"A query made for organisation {bound} was run in the scope of {current}. Make it anew."
            )
        return current

    def _stamp(self, rows: Iterable[M]) -> list[M]:
        self._same_scope()
        stamped = list(rows)
        for row in stamped:
            row.take_organisation()
        return stamped

    def _fetch_all(self) -> None:
        if self._result_cache is None:
            self._same_scope()
        super()._fetch_all()

    def iterator(self, *args: Any, **kwargs: Any) -> Iterator[M]:
        self._same_scope()
        return super().iterator(*args, **kwargs)

    def exists(self) -> bool:
        self._same_scope()
        return super().exists()

    def count(self) -> int:
        self._same_scope()
        return super().count()

    def aggregate(self, *args: Any, **kwargs: Any) -> dict[str, Any]:
        self._same_scope()
        return super().aggregate(*args, **kwargs)

    def explain(self, *args: Any, **kwargs: Any) -> str:
        self._same_scope()
        return super().explain(*args, **kwargs)

    def update(self, **kwargs: Any) -> int:
        self._same_scope()
        return super().update(**kwargs)

    def _update(self, values: Any) -> int:
        self._same_scope()
        return super()._update(values)

    def delete(self) -> tuple[int, dict[str, int]]:
        self._same_scope()
        return super().delete()

    def bulk_create(self, objs: Iterable[M], *args: Any, **kwargs: Any) -> list[M]:
        return super().bulk_create(self._stamp(objs), *args, **kwargs)

    def bulk_update(self, objs: Iterable[M], *args: Any, **kwargs: Any) -> int:
        return super().bulk_update(self._stamp(objs), *args, **kwargs)

    def _insert(self, objs: Any, *args: Any, **kwargs: Any) -> Any:
        return super()._insert(self._stamp(objs), *args, **kwargs)


class RecordManager(models.Manager.from_queryset(RecordQuerySet)):  # type: ignore[misc]
    """Sees the rows of the organisation in scope, and raises NoOrganisation when there is none."""

    def get_queryset(self) -> RecordQuerySet[Any]:
        current = organisation_in_scope()
        hints = {**self._hints, "organisation": current}
        return RecordQuerySet(model=self.model, using=self._db, hints=hints).filter(organisation_id=current)


def own_key(to: str, **options: Any) -> models.ForeignKey:
    """A foreign key to a record of the same organisation.

    The database constraint and its index are composite, (organisation, key), and are made in a migration with
    `tenancy_sql.own_key`; Django's own single-column ones would neither keep organisations apart nor be used.
    """
    options.setdefault("related_name", "+")
    return models.ForeignKey(to, on_delete=models.PROTECT, db_constraint=False, db_index=False, **options)


class Record(models.Model):
    """A row that belongs to one organisation, taken from the scope when it is first saved."""

    organisation = models.ForeignKey(
        "jobs.Organisation",
        on_delete=models.PROTECT,
        related_name="+",
        db_constraint=False,
        db_index=False,
        editable=False,
    )
    organisation_id: int | None
    objects: ClassVar[RecordManager] = RecordManager()

    class Meta:
        abstract = True
        base_manager_name = "objects"

    def take_organisation(self) -> None:
        """Stamp the organisation in scope. Raises NoOrganisation, or WrongOrganisation if the row bears another."""
        current = organisation_in_scope()
        if self.organisation_id is None:
            self.organisation_id = current
        elif self.organisation_id != current:
            kind = self._meta.verbose_name
            raise WrongOrganisation(
                f"{kind} of organisation {self.organisation_id} cannot be saved in the scope of {current}."
            )

    def save(self, *args: Any, **kwargs: Any) -> None:
        self.take_organisation()
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        self.take_organisation()
        return super().delete(*args, **kwargs)


def organisation_ids() -> list[int]:
    """Ids of all organisations, for scheduled work that opens each one's scope in turn."""
    with connections[DEFAULT_DB_ALIAS].cursor() as cursor:
        cursor.execute("SELECT organisation_id FROM piecewall_organisations()")
        return [row[0] for row in cursor.fetchall()]
