"""In which units a part of a work unit can be told, by the counts of the newest plan that draws its wall."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import OuterRef, Subquery

from jobs.models import WallVersion, WorkUnit
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
