"""No model has changed without its migration."""

from __future__ import annotations

from io import StringIO

from django.core.management import call_command


def test_nothing_is_left_to_migrate(db: None):
    said = StringIO()
    try:
        call_command("makemigrations", check=True, dry_run=True, stdout=said)
    except SystemExit:
        raise AssertionError(said.getvalue()) from None
    assert "No changes detected" in said.getvalue()
