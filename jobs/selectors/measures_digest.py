"""One digest over all that a plan revision measured, as its import writes it into the audit."""

from __future__ import annotations

from django.db import connection

from jobs.tenancy import organisation_in_scope

# By the ids under which the organisation was written first, so that a restored one has the same.
MEASURES_DIGEST = """
SELECT encode(sha256(convert_to(COALESCE(
         string_agg(w.unit || ' ' || w.before || ' ' || w.measured, ',' ORDER BY w.unit), ''), 'UTF8')), 'hex')
  FROM (SELECT COALESCE(f.former, m.work_unit_id) AS unit, m.before, m.measured
          FROM jobs_workunitmeasure m
          LEFT JOIN jobs_formerid f ON f.organisation_id = m.organisation_id AND f.written_in = {written_in}
                                   AND f.kind = 'jobs.workunit' AND f.now = m.work_unit_id
         WHERE m.organisation_id = %(organisation)s AND m.revision_id = {revision}) w
"""


def measures_digest(revision: int) -> str:
    """The SHA-256 over the work units that a revision of the organisation in scope measured: what was, what became."""
    with connection.cursor() as cursor:
        given = {"organisation": organisation_in_scope(), "revision": revision}
        cursor.execute(MEASURES_DIGEST.format(revision="%(revision)s", written_in="NULL::bigint"), given)
        return str(cursor.fetchone()[0])
