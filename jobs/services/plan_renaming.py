"""Walls and openings that a revised plan gives other marks: the record stays, with all the work on it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from jobs.models import Wall, WorkUnit
from jobs.plan_matching import Pair, openings_renamed


def marks_rename(job: int, pairs: Sequence[Pair]) -> list[list[Any]]:
    """Give walls and openings the marks of the new plan; [wall id, old, new] of each wall.

    A mark may pass to another wall, so all leave their old ones first. One that still belongs to a wall of an earlier
    plan is taken over: the wall that is gone bears it with '(gone)'.
    """
    renamed = [(pair.before, pair.after) for pair in pairs if pair.renamed and pair.before and pair.after]
    for before, _ in renamed:
        Wall.objects.filter(pk=before.id).update(mark=f"~{before.id}")
    for before, after in renamed:
        level = Wall.objects.values_list("level_id", flat=True).get(pk=before.id)
        _mark_free(job, level, after.mark)
        Wall.objects.filter(pk=before.id).update(mark=after.mark)
    for pair in pairs:
        if pair.before is not None:
            _openings_rename(pair.before.id, openings_renamed(pair))
    return [[before.id, before.mark, after.mark] for before, after in renamed]


def _mark_free(job: int, level: int, mark: str) -> None:
    holder = Wall.objects.filter(job=job, level=level, mark=mark).first()
    if holder is None:
        return
    nth, gone = 1, f"{mark[:30]} (gone)"
    while Wall.objects.filter(job=job, level=level, mark=gone).exists():
        nth += 1
        gone = f"{mark[:30]} (gone {nth})"
    holder.mark = gone
    holder.save(update_fields=["mark"])


def _openings_rename(wall: int, renamed: Mapping[str, str]) -> None:
    """As walls: all leave their marks first. Work units of an opening that is gone make way for it."""
    if not renamed:
        return
    units = WorkUnit.objects.filter(wall=wall)
    for old in renamed:
        units.filter(opening=old).update(opening=f"~{old}"[:40])
    for old, new in renamed.items():
        if units.filter(opening=new).exists():
            units.filter(opening=new).update(opening=f"{new[:20]} gone {units.filter(opening=new)[0].pk}"[:40])
        units.filter(opening=f"~{old}"[:40]).update(opening=new)
