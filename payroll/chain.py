"""The chain of statements: what a statement's digest covers, and the bytes it is made of.

Each organisation has one chain. A digest is the SHA-256 of the canonical content of a statement, which holds the digest
before it, every line, and a digest of the entries and quantities behind them. Content holds ids, never names, so that a
name can be forgotten and the chain still be made again from the rows.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from payroll.reports.canonical import canonical

BEGINNING = bytes(32)


@dataclass(frozen=True, slots=True)
class Link:
    """What is particular to a statement's place: who and which weeks, money paid, and the statement it follows."""

    organisation: int
    number: int
    previous: bytes
    person: int
    worked: date
    paid_in: date
    corrects: int | None
    difference: Decimal
    overpaid: Decimal


def statement_digest(link: Link, figures: Mapping[str, Any], lines: Sequence[Mapping[str, Any]], work: str) -> bytes:
    """SHA-256 over one statement. `figures` and `lines` as `figures_content` and `line_content` give them."""
    content = {
        "organisation": link.organisation,
        "number": link.number,
        "previous": link.previous.hex(),
        "person": link.person,
        "worked": link.worked.isoformat(),
        "paid_in": link.paid_in.isoformat(),
        "corrects": link.corrects,
        "difference": f"{link.difference:.2f}",
        "overpaid": f"{link.overpaid:.2f}",
        "figures": dict(figures),
        "lines": [dict(line) for line in lines],
        "work": work,
    }
    return hashlib.sha256(canonical(content)).digest()


def figures_content(statement: Any) -> dict[str, Any]:
    """The figures of a statement or of its draft that its digest covers."""
    return {
        "worker_class": statement.worker_class,
        "rule_set": statement.rule_set,
        "rules_version": statement.rules_version,
        "currency": statement.currency,
        "gross": f"{statement.gross:.2f}",
        "hours": statement.hours,
        "regular_rate": statement.regular_rate,
        "regular_rate_because": statement.regular_rate_because,
        "floors": statement.floors,
        "parameters": statement.parameters,
        "cautions": statement.cautions,
    }


def line_content(line: Any, job: int | None, pays: int | None) -> dict[str, Any]:
    """The part of a line, or of its draft, that the digest covers. `pays` numbers the statement it pays, if any."""
    return {
        "code": line.code,
        "text": line.text,
        "job": job,
        "quantity": f"{line.quantity:.4f}",
        "unit": line.unit,
        "rate": f"{line.rate:.6f}",
        "amount": f"{line.amount:.2f}",
        "because": line.because,
        "pays": pays,
    }
