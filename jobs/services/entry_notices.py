"""What the site itself says of an entry: board before framing, out of the hanging order, work that was inspected.

One statement for a batch, after all of it is decided, so that what stands in the same batch counts, in any order.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from jobs.notices import Logged, Notice, notices_elsewhere
from jobs.prepared import cursor_for
from jobs.requests import plain
from jobs.selectors.unit_states import part_words
from jobs.services.entry_decisions import Decided
from jobs.services.entry_state import State
from jobs.tenancy import organisation_in_scope

_LOOK = "Look at it on site; log that too if it is up, or leave this sheet off until it is."
# Columns: work unit asked about, kind, operation or verdict, the other work unit, its wall, face and layer, measured
# and done, because or day, and the sheets a rule is about.
_SITE = """
WITH asked AS (
    SELECT w.id, w.organisation_id, w.level_id, w.wall_id, w.operation_id, w.face, w.layer, o.measure
      FROM jobs_workunit w
      JOIN jobs_operation o ON o.organisation_id = w.organisation_id AND o.id = w.operation_id
     WHERE w.organisation_id = %(organisation)s AND w.id = ANY(%(units)s)
)
SELECT a.id, 'inspected', i.verdict, NULL::bigint, '', '', 0, 0::numeric, 0::numeric, i.inspected_on::text, NULL::int[]
  FROM asked a CROSS JOIN LATERAL (
    SELECT n.verdict, n.inspected_on FROM jobs_inspection n
     WHERE n.organisation_id = a.organisation_id AND n.work_unit_id = a.id ORDER BY n.id DESC LIMIT 1) i
UNION ALL
SELECT a.id, 'framing first', o.name, f.id, '', '', 0, f.measured, f.done, '', NULL
  FROM asked a
  JOIN jobs_workunit f ON f.organisation_id = a.organisation_id AND f.wall_id = a.wall_id
  JOIN jobs_operation o ON o.organisation_id = f.organisation_id AND o.id = f.operation_id
   AND o.measure IN ('track', 'studs', 'stud length')
 WHERE a.measure IN ('board', 'sheets') AND f.done < f.measured
UNION ALL
SELECT a.id, g.kind, '', f.id, g.first_wall, g.first_face, g.first_layer, f.measured, f.done, g.because, g.steps
  FROM asked a
 CROSS JOIN LATERAL (
    SELECT v.pieces -> 'goes_first' AS rules FROM jobs_wallversion v
      JOIN jobs_planrevision r ON r.organisation_id = v.organisation_id AND r.id = v.revision_id
     WHERE v.organisation_id = a.organisation_id AND v.wall_id = a.wall_id ORDER BY r.number DESC LIMIT 1) newest
 CROSS JOIN LATERAL jsonb_to_recordset(newest.rules) AS g (
    kind text, face text, layer int, steps int[], first_wall text, first_face text, first_layer int, because text)
  JOIN jobs_wall fw ON fw.organisation_id = a.organisation_id AND fw.level_id = a.level_id AND fw.mark = g.first_wall
  JOIN jobs_workunit f ON f.organisation_id = a.organisation_id AND f.wall_id = fw.id
   AND f.operation_id = a.operation_id AND f.id <> a.id
   AND (f.face = '' OR f.face = g.first_face) AND f.layer IN (0, g.first_layer)
 WHERE a.measure = 'board' AND (a.face = '' OR a.face = g.face) AND a.layer IN (0, g.layer)
   AND f.done < f.measured
 ORDER BY 1, 2, 4
"""


def entries_notice(decided: Sequence[Decided], state: State) -> dict[UUID, tuple[Notice, ...]]:
    """Notices of decided entries, by UUID; those of the site first. An entry taken back to 0 gets none of the site."""
    if not decided:
        return {}
    rows = _rows({one.unit.id for one in decided})
    found = {
        one.request.uuid: _unique([_notice(row) for row in rows if _counts(row, one, state)] if one.quantity else [])
        for one in decided
    }
    logged = [
        Logged(
            one.request.uuid, one.unit.job, one.unit.id, one.unit.operation, one.unit.operation_name,
            one.request.worked_on, one.quantity,
        )
        for one in decided
    ]  # fmt: skip
    elsewhere = notices_elsewhere(logged)
    return {uuid: (*notices, *elsewhere.get(uuid, ())) for uuid, notices in found.items()}


def _rows(units: set[int]) -> list[Any]:
    with cursor_for(len(units)) as cursor:
        cursor.execute(_SITE, {"organisation": organisation_in_scope(), "units": sorted(units)})
        return cursor.fetchall()


def _counts(row: Any, one: Decided, state: State) -> bool:
    """Whether what a row tells is so for this entry, once the batch is counted."""
    unit, kind, _, other, *_, steps = row
    if unit != one.unit.id:
        return False
    if kind == "inspected":
        return one.replaces is None
    moved = state.units.get(other)
    if moved is not None and moved.done >= moved.measured:
        return False
    # Named sheets are judged by their own rules alone.
    named = one.request.part.steps if one.request.part else ()
    return not (named and steps) or bool(set(named) & set(steps))


def _notice(row: Any) -> Notice:
    _, kind, name, _, wall, face, layer, measured, done, because, _ = row
    if kind == "inspected":
        return _inspected(name, because)
    if kind == "framing first":
        sentence = f"Board is logged while {name} stands at {plain(done)} of {plain(measured)} on this wall."
        return Notice(kind, sentence, "Log the framing that stands, or look whether the board went up too soon.")
    place = f"wall {wall}, {part_words(face, layer, '')}"
    return Notice(kind, f"The board of {place} is not logged as done, and goes up before this: {because}.", _LOOK)


def _inspected(verdict: str, day: str) -> Notice:
    if verdict == "accepted":
        return Notice(
            "inspected", f"This work was accepted on {day} already.", "Have it inspected again, for more was done."
        )
    return Notice(
        "inspected",
        f"This work was reopened on {day}. Mending is paid as hours of rework, not by the piece again.",
        "Log the hours of mending as rework, and have it inspected.",
    )


def _unique(notices: Sequence[Notice]) -> tuple[Notice, ...]:
    return tuple(dict.fromkeys(notices))
