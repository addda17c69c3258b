"""Writing statements: drafts by COPY into temporary tables, from there set by set into the records, under row security.

COPY into a table with row security is refused by PostgreSQL; INSERT ... SELECT from a temporary table is checked like
any insert. The cents of a piece line are shared over its entries in SQL, with the rule of `payroll.law.allot`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import connection

from jobs.tenancy import organisation_in_scope
from payroll.chain import BEGINNING, Link, figures_content, line_content, statement_digest
from payroll.models import PayWeek, Statement
from payroll.reports.canonical import canonical
from payroll.selectors.pricing import Draft
from payroll.services.closing_lock import closing_lock

_DRAFTS = """
CREATE TEMPORARY TABLE IF NOT EXISTS draft_statement (
  number bigint, pay_week_id bigint, paid_in_id bigint, person_id bigint, corrects_id bigint, worker_class text,
  rule_set text, rules_version text, currency text, gross numeric, difference numeric, overpaid numeric, hours jsonb,
  regular_rate text, regular_rate_because jsonb, floors jsonb, parameters jsonb, cautions jsonb, previous_digest bytea,
  digest bytea, id bigint DEFAULT nextval('payroll_statement_id_seq')
) ON COMMIT DROP;
CREATE TEMPORARY TABLE IF NOT EXISTS draft_line (
  number bigint, position int, person_id bigint, code text, text text, job_id bigint, operation_id bigint,
  quantity numeric(14, 4), unit text, rate numeric, amount numeric(14, 2), because jsonb, pays_number bigint,
  piece_job bigint, piece_operation bigint, piece_rate numeric,
  id bigint DEFAULT nextval('payroll_statementline_id_seq')
) ON COMMIT DROP;
CREATE TEMPORARY TABLE IF NOT EXISTS draft_share (
  number bigint, position int, job_id bigint, amount numeric
) ON COMMIT DROP;
TRUNCATE draft_statement, draft_line, draft_share
"""
_STATEMENT_COLUMNS = (
    "number, pay_week_id, paid_in_id, person_id, corrects_id, worker_class, rule_set, rules_version, currency, gross, "
    "difference, overpaid, hours, regular_rate, regular_rate_because, floors, parameters, cautions, "
    "previous_digest, digest"
)
_LINE_COLUMNS = (
    "number, position, person_id, code, text, job_id, operation_id, quantity, unit, rate, amount, because, "
    "pays_number, piece_job, piece_operation, piece_rate"
)
_SHARE_COLUMNS = "number, position, job_id, amount"
_STATEMENTS = f"""
INSERT INTO payroll_statement (organisation_id, id, {_STATEMENT_COLUMNS})
SELECT %(organisation)s, id, {_STATEMENT_COLUMNS} FROM draft_statement ORDER BY number
"""  # noqa: S608
_LINES = """
INSERT INTO payroll_statementline (organisation_id, id, statement_id, position, code, text, job_id, operation_id,
                                   quantity, unit, rate, amount, because, pays_id)
SELECT %(organisation)s, d.id, s.id, d.position, d.code, d.text, d.job_id, d.operation_id, d.quantity, d.unit, d.rate,
       d.amount, d.because, p.id
  FROM draft_line d
  JOIN draft_statement s ON s.number = d.number
  LEFT JOIN payroll_statement p ON p.organisation_id = %(organisation)s AND p.number = d.pays_number
 ORDER BY d.number, d.position
"""
_SHARES = """
INSERT INTO payroll_jobshare (organisation_id, line_id, job_id, amount)
SELECT %(organisation)s, d.id, s.job_id, s.amount
  FROM draft_share s JOIN draft_line d ON d.number = s.number AND d.position = s.position
 ORDER BY d.id, s.job_id
"""


def allotment_parts(lines: str) -> str:
    """SQL that shares whole cents: `lines` gives line, key, quantity, amount and total; the answer adds `part`.

    Everyone gets the whole cents of an exact share, by div(); one cent more goes to the largest remainders, ties in the
    order of keys. This is `payroll.law.allot`, and a test holds the two together.
    """
    return f"""
    SELECT *, (whole + (place <= spare)::int) / 100 AS part
      FROM (
        SELECT *, row_number() OVER (PARTITION BY line ORDER BY rest DESC, key) AS place,
               cents - sum(whole) OVER (PARTITION BY line) AS spare
          FROM (
            SELECT *, amount * 100 AS cents, div(amount * 100 * quantity, total) AS whole,
                   mod(amount * 100 * quantity, total) AS rest
              FROM ({lines}) given
          ) parts
      ) placed
    """  # noqa: S608


_EARNED = """
SELECT d.id AS line, w.entry_id AS key, w.rate_id, w.quantity, d.amount, d.quantity AS total
  FROM draft_line d
  JOIN {prefix}_share w ON w.person_id = d.person_id AND w.job_id = d.piece_job AND w.operation_id = d.piece_operation
   AND w.rate = d.piece_rate
 WHERE d.code = 'piece'
"""
_ALLOTMENTS = f"""
INSERT INTO payroll_lineallotment (organisation_id, line_id, entry_id, rate_used_id, quantity, amount)
SELECT %(organisation)s, line, key, rate_id, quantity, part FROM ({allotment_parts(_EARNED)}) shared
"""  # noqa: S608
_HOURS = """
INSERT INTO payroll_statementhours (organisation_id, statement_id, hours_id)
SELECT %(organisation)s, d.id, h.hours_id FROM draft_statement d JOIN {prefix}_hours h ON h.person_id = d.person_id
"""

Row = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """A draft and the weeks it is for: worked in `pay_week`, paid in `paid_in`; a correction names what it corrects."""

    draft: Draft
    pay_week: PayWeek
    paid_in: PayWeek
    corrects: Statement | None = None
    difference: Decimal | None = None
    overpaid: Decimal = Decimal("0.00")


class Writer:
    """Appends statements to the organisation's chain, batch by batch. It locks the chain for the transaction."""

    def __init__(self) -> None:
        self._organisation = organisation_in_scope()
        with connection.cursor() as cursor:
            # PostgreSQL keeps the plans that check keys for as long as a session lives. Made while these tables were
            # small, they would read them whole ever after; made like this, they go by the index from the start.
            cursor.execute("SET LOCAL enable_seqscan = off")
            closing_lock()
            cursor.execute(
                "SELECT number, digest FROM payroll_statement WHERE organisation_id = %s ORDER BY number DESC LIMIT 1",
                [self._organisation],
            )
            row = cursor.fetchone()
        self.number: int = row[0] if row else 0
        self._digest = bytes(row[1]) if row else BEGINNING

    def write(self, placed: Sequence[Placed], prefix: str) -> list[int]:
        """Write statements with lines, job shares, allotments and counted hours; returns their numbers in order.

        `prefix` names the gathered tables that hold the work behind them.
        """
        if not placed:
            return []
        numbers: list[int] = []
        statements: list[Row] = []
        lines: list[Row] = []
        shares: list[Row] = []
        for one in placed:
            number, digest, previous = self._follow(one)
            numbers.append(number)
            statements.append(_statement_row(one, number, previous, digest))
            for position, line in enumerate(one.draft.lines, start=1):
                lines.append(_line_row(one.draft.person, number, position, line))
                shares.extend((number, position, job, amount) for job, amount in line.shares)
        given = {"organisation": self._organisation}
        with connection.cursor() as cursor:
            for sql in _DRAFTS.split(";"):
                cursor.execute(sql)
            _copy(cursor, f"draft_statement ({_STATEMENT_COLUMNS})", statements)
            _copy(cursor, f"draft_line ({_LINE_COLUMNS})", lines)
            _copy(cursor, f"draft_share ({_SHARE_COLUMNS})", shares)
            cursor.execute("ANALYZE draft_statement, draft_line, draft_share")
            for sql in (_STATEMENTS, _LINES, _SHARES, _ALLOTMENTS, _HOURS):
                cursor.execute(sql.replace("{prefix}", prefix), given)
        return numbers

    def _follow(self, one: Placed) -> tuple[int, bytes, bytes]:
        self.number += 1
        previous = self._digest
        self._digest = placed_digest(one, self._organisation, self.number, previous)
        return self.number, self._digest, previous


def placed_digest(one: Placed, organisation: int, number: int, previous: bytes) -> bytes:
    """The digest of a draft in its place of the chain."""
    draft = one.draft
    link = Link(
        organisation=organisation,
        number=number,
        previous=previous,
        person=draft.person,
        worked=one.pay_week.first_day,
        paid_in=one.paid_in.first_day,
        corrects=one.corrects.number if one.corrects else None,
        difference=_difference(one),
        overpaid=one.overpaid,
    )
    lines = [line_content(line, line.job, line.pays_number) for line in draft.lines]
    return statement_digest(link, figures_content(draft), lines, draft.work)


def _difference(one: Placed) -> Decimal:
    """What the open week pays for the worked week: all of it, without what it pays for other weeks."""
    if one.difference is not None:
        return one.difference
    return sum((line.amount for line in one.draft.lines if line.code != "correction"), Decimal("0.00"))


def _statement_row(one: Placed, number: int, previous: bytes, digest: bytes) -> Row:
    draft = one.draft
    return (
        number,
        one.pay_week.pk,
        one.paid_in.pk,
        draft.person,
        one.corrects.pk if one.corrects else None,
        draft.worker_class,
        draft.rule_set,
        draft.rules_version,
        draft.currency,
        draft.gross,
        _difference(one),
        one.overpaid,
        _json(draft.hours),
        draft.regular_rate,
        _json(draft.regular_rate_because),
        _json(draft.floors),
        _json(draft.parameters),
        _json(draft.cautions),
        previous,
        digest,
    )


def _line_row(person: int, number: int, position: int, line: Any) -> Row:
    piece = line.piece or (None, None, None)
    return (
        number,
        position,
        person,
        line.code,
        line.text,
        line.job,
        line.operation,
        line.quantity,
        line.unit,
        line.rate,
        line.amount,
        _json(line.because),
        line.pays_number,
        *piece,
    )


def _json(value: Any) -> str:
    return canonical(value).decode()


def _copy(cursor: Any, table: str, rows: Sequence[Row]) -> None:
    with cursor.copy(f"COPY {table} FROM STDIN") as copy:
        for row in rows:
            copy.write_row(row)
