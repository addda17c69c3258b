"""Entries and hours held against the audit records of their making: a row changed behind the services is found."""

from __future__ import annotations

from django.db import connection

from jobs.tenancy import organisation_in_scope

# Ids are compared where they are those under which the record was written: a restore gives new ones.
_ENTRIES = """
SELECT COALESCE(e.uuid::text, a.subject_key),
       CASE WHEN e.id IS NULL THEN 'it was removed'
            WHEN a.id IS NULL THEN 'no audit record tells of it'
            WHEN e.quantity <> (a.after->>'quantity')::numeric
            THEN 'its quantity is ' || e.quantity || ', logged was ' || (a.after->>'quantity')
            WHEN e.worked_on::text <> a.after->>'worked_on'
            THEN 'its day is ' || e.worked_on || ', logged was ' || (a.after->>'worked_on')
            WHEN (e.started_at, e.finished_at) IS DISTINCT FROM
                 ((a.after->>'started_at')::timestamptz, (a.after->>'finished_at')::timestamptz)
            THEN 'when in the day it was made is not what was logged'
            WHEN a.written_in IS NULL AND e.work_unit_id::text <> a.after->>'work_unit'
            THEN 'it stands for work unit ' || e.work_unit_id || ', logged was ' || (a.after->>'work_unit')
            ELSE 'its shares are not those that were logged' END
  FROM (SELECT * FROM jobs_auditrecord
         WHERE organisation_id = %(organisation)s AND action IN ('entry_log', 'entry_correct')) a
  FULL JOIN (SELECT * FROM jobs_entry WHERE organisation_id = %(organisation)s) e ON a.subject_key = e.uuid::text
 WHERE e.id IS NULL OR a.id IS NULL OR e.quantity <> (a.after->>'quantity')::numeric
    OR e.worked_on::text <> a.after->>'worked_on'
    OR (e.started_at, e.finished_at) IS DISTINCT FROM
       ((a.after->>'started_at')::timestamptz, (a.after->>'finished_at')::timestamptz)
    OR (a.written_in IS NULL AND (
        e.work_unit_id::text <> a.after->>'work_unit'
        OR (SELECT array_agg(s.person_id::text || ' ' || s.quantity ORDER BY s.person_id) FROM jobs_entryshare s
             WHERE s.organisation_id = e.organisation_id AND s.entry_id = e.id)
           IS DISTINCT FROM
           (SELECT array_agg((part->>0) || ' ' || (part->>1)::numeric(14, 4) ORDER BY (part->>0)::bigint)
              FROM jsonb_array_elements(a.after->'shares') AS part)))
    OR (SELECT array_agg(s.quantity ORDER BY s.quantity) FROM jobs_entryshare s
         WHERE s.organisation_id = e.organisation_id AND s.entry_id = e.id)
       IS DISTINCT FROM
       (SELECT array_agg((part->>1)::numeric ORDER BY (part->>1)::numeric)
          FROM jsonb_array_elements(a.after->'shares') AS part)
 ORDER BY 1
"""
_HOURS = """
SELECT COALESCE(h.uuid::text, a.subject_key),
       CASE WHEN h.id IS NULL THEN 'they were removed'
            WHEN a.id IS NULL THEN 'no audit record tells of them'
            WHEN a.written_in IS NULL AND (h.person_id::text <> a.after->>'person' OR h.job_id::text <> a.after->>'job')
            THEN 'they are of person ' || h.person_id || ' on job ' || h.job_id || ', logged was person '
                 || (a.after->>'person') || ' on job ' || (a.after->>'job')
            ELSE 'they are ' || h.minutes || ' minutes of ' || h.kind || ' on ' || h.worked_on || ', logged was '
                 || (a.after->>'hours') || ' h of ' || (a.after->>'kind') || ' on ' || (a.after->>'worked_on') END
  FROM (SELECT * FROM jobs_auditrecord
         WHERE organisation_id = %(organisation)s AND action IN ('hours_log', 'hours_correct')) a
  FULL JOIN (SELECT * FROM jobs_hours WHERE organisation_id = %(organisation)s) h ON a.subject_key = h.uuid::text
 WHERE h.id IS NULL OR a.id IS NULL OR h.kind <> a.after->>'kind' OR h.worked_on::text <> a.after->>'worked_on'
    OR (a.written_in IS NULL AND (h.person_id::text <> a.after->>'person' OR h.job_id::text <> a.after->>'job'))
    OR h.minutes <> split_part(a.after->>'hours', ':', 1)::int * 60 + split_part(a.after->>'hours', ':', 2)::int
 ORDER BY 1
"""


def facts_changed() -> list[str]:
    """A sentence for each entry and each hours of the organisation in scope that is not what was logged."""
    given = {"organisation": organisation_in_scope()}
    with connection.cursor() as cursor:
        cursor.execute(_ENTRIES, given)
        found = [f"entry {uuid}: {why}." for uuid, why in cursor.fetchall()]
        cursor.execute(_HOURS, given)
        return found + [f"hours {uuid}: {why}." for uuid, why in cursor.fetchall()]
