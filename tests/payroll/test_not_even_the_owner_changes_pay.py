"""The role that owns the tables is bound by the same triggers: pay is not changed by a migration or a console
either."""

from __future__ import annotations

import pytest
from django.db import DatabaseError, connections, transaction

from tests.payroll.test_the_database_refuses import NEVER_CHANGED


@pytest.mark.parametrize("table", NEVER_CHANGED)
def test_rows_of_pay_are_never_changed_or_deleted_by_their_owner(committed_db: None, table: str):
    for sql in (f"UPDATE {table} SET organisation_id = organisation_id", f"DELETE FROM {table}"):
        with (
            pytest.raises(DatabaseError, match="never changed or deleted"),
            transaction.atomic(using="owner"),
            connections["owner"].cursor() as cursor,
        ):
            cursor.execute(sql)
