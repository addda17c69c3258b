"""Where a junction lies on the paper of its detail."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from framing.drawing.meeting_parts import Met, Part, Turned
from framing.drawing.paper import Scale
from framing.drawing.places import Place
from framing.drawing.shapes import Spot
from framing.length import TICKS_PER_INCH as INCH


@dataclass(frozen=True, slots=True)
class OnPaper:
    """The junction's axes put on paper: `x`, `y` of their origin in mm."""

    met: Met
    turned: Turned
    scale: Scale
    x: float
    y: float
    is_metric: bool

    def spot(self, place: Place) -> Spot:
        x, y = self.turned.at(place)
        return Spot(self.x + self.scale.mm(x), self.y - self.scale.mm(y))

    def spots(self, places: Sequence[Place]) -> list[Spot]:
        return [self.spot(place) for place in places]

    def way(self, part: Part) -> Spot:
        """The direction along a wall away from the junction, on paper, of length 1."""
        ax, ay = part.away()
        start = self.spot((0.0, 0.0))
        far = self.spot((ax * 1000 * INCH, ay * 1000 * INCH))
        size = math.hypot(far.x - start.x, far.y - start.y)
        return Spot((far.x - start.x) / size, (far.y - start.y) / size)
