"""Doubles to exact lengths. A model's coordinates are doubles and carry the noise of their own arithmetic.

The rule, here and nowhere else: a length of a metric model is rounded to 0.0001 mm, one of a model in inches or feet
to 1/640,000 in (which holds every 1/64 and every 1/10,000 of an inch); half away from zero. From there on it is exact.
"""

from __future__ import annotations

import math

from framing.length import TICKS_PER_MM, Length
from framing.readers.models.values import NotTaken

METRIC_GRID: Length = TICKS_PER_MM // 10_000  # 320 ticks
IMPERIAL_GRID: Length = 127  # 1/640,000 in
LONGEST_MM = 25_000_000.0


def exact(millimetres: float, *, is_imperial: bool) -> Length:
    """Ticks of a double in mm, on the grid of the model's unit. Raises NotTaken where it is no length."""
    if not math.isfinite(millimetres) or abs(millimetres) > LONGEST_MM:
        raise NotTaken(f"has a length of {millimetres:.6g} mm, which is past 25 km or no number")
    grid = IMPERIAL_GRID if is_imperial else METRIC_GRID
    steps = abs(millimetres) * TICKS_PER_MM / grid
    whole = math.floor(steps + 0.5)
    return (-whole if millimetres < 0 else whole) * grid


def shown(millimetres: float) -> str:
    """A measured length for a sentence, in both systems."""
    return f"{millimetres / 25.4:.2f} in ({millimetres:.1f} mm)"
