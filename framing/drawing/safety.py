"""What every crew book says before anything else: where the work hurts people, and what comes before these sheets.

Each notice names its public source; the wording is ours and replaces no rule.
"""

from __future__ import annotations

from typing import NamedTuple


class Notice(NamedTuple):
    subject: str
    words: str
    source: str


LIMITS = (
    Notice(
        "What these sheets are",
        "A layout of interior, non-load-bearing partitions, worked out from a plan as it was given. Check the plan, "
        "the openings and the site before cutting. Local codes, approved drawings and licensed practice come first.",
        "",
    ),
    Notice(
        "Load-bearing walls",
        "are outside of these sheets. Do not frame, cut or open one by them.",
        "",
    ),
    Notice(
        "Fire-rated walls",
        "are built as their listed design says: board, joints, screws and their spacing, sealant, heads. Where a sheet "
        "here differs, the listed design holds.",
        "",
    ),
)

SAFETY = (
    Notice(
        "Sheet-steel edges cut",
        "Wear cut-resistant gloves and eye protection when cutting, carrying and setting studs and track.",
        "29 CFR 1926.95, 1926.102",
    ),
    Notice(
        "Powder-actuated tools",
        "Only operators trained in the tool at hand, with eye protection; test it each day before loading; never leave "
        "it loaded; never into what a pin may pass through, crack or glance off.",
        "29 CFR 1926.302(e)",
    ),
    Notice(
        "Dust",
        "Drilling and cutting concrete, and sanding joint compound, can raise respirable silica. Assess the exposure; "
        "use water or a vacuum with a fine filter, and respirators where that is not enough.",
        "29 CFR 1926.1153",
    ),
    Notice(
        "Ladders and stilts",
        "Set a portable ladder at one foot out for four up, secured, on firm ground; keep three points on it; do not "
        "stand on its top. Stilts only on a floor that is flat and clear.",
        "29 CFR 1926.1053(b)",
    ),
    Notice(
        "Board is heavy",
        "Carry sheets with two people or a lift, and stack them flat where the floor is known to hold the load.",
        "common practice, no source",
    ),
    Notice(
        "Before drilling, pinning or cutting",
        "Know what runs in the slab, the wall and the ceiling: cables, pipes, tendons.",
        "common practice, no source",
    ),
)

FOOT = (
    "Interior partitions that bear no load. Fire-rated walls follow their listed design. "
    "Local codes and licensed practice come first."
)
