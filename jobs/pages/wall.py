"""A wall: drawings of its faces, its pieces, its work units, and the entries that stand on it."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse

from jobs.geometry import WallDrawing, wall_drawings
from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.printed import feet_inches, tidy
from jobs.selectors.wall_sheet import KeptWalls, WallSheet, kept_walls, wall_sheet

# The counts of a take-off in the words of the trade; lengths are in inches there.
COUNTS = (
    ("track_in", "Track, all rows", "length"),
    ("studs", "Studs", "each"),
    ("stud_in", "Studs, end to end", "length"),
    ("sheets", "Sheets of board", "each"),
    ("board_net_sqft", "Board, openings out", "sq ft"),
    ("board_bought_sqft", "Board, bought", "sq ft"),
    ("board_screws", "Board screws", "each"),
    ("framing_screws", "Framing screws", "each"),
    ("pins", "Pins into floor and ceiling", "each"),
    ("sealant_in", "Sealant under track", "length"),
    ("bead_in", "Corner bead", "length"),
    ("tape_in", "Tape", "length"),
    ("corners", "Corners", "each"),
    ("door_corners", "Door corners", "each"),
    ("over_opening_pieces", "Pieces over openings", "each"),
    ("extras", "Extras", "each"),
)


@page
def wall(request: HttpRequest, guest: Guest, job: int, wall: int) -> HttpResponse:
    with reading(guest.actor):
        sheet = wall_sheet(guest.actor, job, wall)
        kept = kept_walls(guest.actor, job, wall)
    made = _drawn(kept)
    shown = [one for one in made if one.kind == "elevation"]
    others = [one for one in made if one.kind != "elevation"]
    return answer(
        request, guest, "jobs/wall.html", sheet=sheet, drawings=shown, other_drawings=others, counts=_counts(sheet)
    )


@page
def wall_drawing(request: HttpRequest, guest: Guest, job: int, wall: int, name: str) -> HttpResponse:
    """One drawing of a wall as a document of its own, to be zoomed or printed."""
    with reading(guest.actor):
        kept = kept_walls(guest.actor, job, wall)
    for one in _drawn(kept):
        if one.name == name:
            return HttpResponse(one.svg, content_type="image/svg+xml; charset=utf-8")
    raise Http404


def _drawn(kept: KeptWalls) -> tuple[WallDrawing, ...]:
    return wall_drawings(kept.level, kept.walls, kept.mark, is_metric=kept.unit_system == "metric")


def _counts(sheet: WallSheet) -> list[dict[str, Any]]:
    """The counts there are, in the order of the list, each with its reasons; what is not counted is left out."""
    metric = sheet.job.unit_system == "metric"
    return [
        {
            "name": name,
            "figure": feet_inches(value, metric) if unit == "length" else tidy(value),
            "unit": "" if unit == "length" else unit,
            "reasons": sheet.reasons.get(count, ()),
        }
        for count, name, unit in COUNTS
        if (value := sheet.counts.get(count)) not in (None, 0, "0")
    ]
