"""In which units a part of a work unit can be told, by the counts of the newest plan that draws its wall; and which
sheets were told by number already."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from django.db.models import Exists, OuterRef, Subquery

from jobs.models import Entry, WallVersion, WorkUnit
from jobs.spoken import Spoken, spoken_of


def spoken_of_units(units: Iterable[int]) -> dict[int, Spoken]:
    """By work unit. Two statements, whatever their number."""
    wanted = sorted(set(units))
    if not wanted:
        return {}
    newest = WallVersion.objects.filter(wall=OuterRef("wall")).order_by("-revision__number")
    rows = list(
        WorkUnit.objects.filter(pk__in=wanted)
        .annotate(version=Subquery(newest.values("pk")[:1]))
        .values_list("pk", "operation__measure", "face", "layer", "measured", "version")
    )
    drawn = {
        version["pk"]: version
        for version in WallVersion.objects.filter(pk__in={row[5] for row in rows if row[5]}).values(
            "pk", "revision__number", "geometry", "counts", "faces", "pieces"
        )
    }
    return {
        pk: spoken_of(
            measure=measure,
            face=face,
            layer=layer,
            measured=measured,
            plan=drawn[version]["revision__number"] if version else 0,
            drawn=drawn.get(version),
        )
        for pk, measure, face, layer, measured, version in rows
    }


def sheets_logged(units: Iterable[int]) -> dict[int, dict[tuple[int, int], UUID]]:
    """Sheets that entries in force name, by work unit: (plan revision, number) -> the entry's UUID."""
    found: dict[int, dict[tuple[int, int], UUID]] = {}
    replaced = Exists(Entry.objects.filter(replaces=OuterRef("pk")))
    named = Entry.objects.filter(~replaced, work_unit__in=sorted(set(units)), said__has_key="steps", quantity__gt=0)
    for unit, uuid, said in named.values_list("work_unit", "uuid", "said"):
        found.setdefault(unit, {}).update({(said["plan"], step): uuid for step in said["steps"]})
    return found
