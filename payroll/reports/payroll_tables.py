"""A closed week's earnings and bases as tables for the firm's payroll, in a format of our own (DEVELOPERS.md)."""

from __future__ import annotations

import io

from payroll.reports.bundle import bundle
from payroll.reports.csv_out import csv_bytes
from payroll.selectors.payroll_export import FORMAT, PayrollExport

EARNINGS = (
    "week", "statement", "number", "person", "class", "for_week", "job", "code", "hours", "amount", "currency",
)  # fmt: skip
BASES = (
    "week", "statement", "number", "person", "gross", "ordinary", "premiums", "fringe_in_cash", "corrections", "hours",
    "overtime_hours", "double_hours", "days_worked", "currency",
)  # fmt: skip


def earnings_csv(export: PayrollExport) -> bytes:
    """A row for each statement, job and code."""
    return csv_bytes(
        EARNINGS,
        (
            (
                export.first_day, row.statement, row.number, row.name, row.worker_class, row.for_week, row.job,
                row.code, row.hours, row.amount, row.currency,
            )
            for row in export.earnings
        ),
    )  # fmt: skip


def bases_csv(export: PayrollExport) -> bytes:
    """A row for each statement."""
    return csv_bytes(
        BASES,
        (
            (
                export.first_day, row.statement, row.number, row.name, row.gross, row.ordinary, row.premiums,
                row.fringe_in_cash, row.corrections, row.hours, row.overtime_hours, row.double_hours, row.days_worked,
                row.currency,
            )
            for row in export.bases
        ),
    )  # fmt: skip


def payroll_zip(export: PayrollExport) -> bytes:
    """Both tables with their hashes; the same closed week gives the same bytes."""
    about = {
        "format": FORMAT,
        "week": export.first_day.isoformat(),
        "statements": len(export.bases),
        "gross": str(export.gross),
    }
    packed = io.BytesIO()
    with bundle(packed) as files:
        files.write("earnings.csv", earnings_csv(export))
        files.write("bases.csv", bases_csv(export))
        files.manifest(about)
    return packed.getvalue()
