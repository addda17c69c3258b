"""Hatching as plain lines, cut to a shape: nothing that a writer or a photocopier could do its own way."""

from __future__ import annotations

import math
from collections.abc import Sequence

from framing.drawing.shapes import FINE_LINE, Path, Pen, Spot

Spots = Sequence[tuple[float, float]]


def hatched(shape: Spots, angle: float, gap: float, pen: Pen = FINE_LINE) -> list[Path]:
    """Parallel lines across a convex shape, `gap` mm apart, at `angle` degrees; lines of equal angle line up."""
    sine, cosine = math.sin(math.radians(angle)), math.cos(math.radians(angle))
    turned = [(x * cosine + y * sine, y * cosine - x * sine) for x, y in shape]
    low, high = min(y for _, y in turned), max(y for _, y in turned)
    found = []
    for step in range(math.ceil(low / gap), math.floor(high / gap) + 1):
        level = step * gap
        crossings = _crossings(turned, level)
        if len(crossings) == 2 and crossings[1] - crossings[0] > 0.05:
            ends = [Spot(x * cosine - level * sine, x * sine + level * cosine) for x in crossings]
            found.append(Path(tuple(ends), pen))
    return found


def _crossings(shape: Spots, level: float) -> list[float]:
    found = []
    for (x1, y1), (x2, y2) in zip(shape, [*shape[1:], shape[0]], strict=True):
        if (y1 <= level) != (y2 <= level):
            found.append(x1 + (x2 - x1) * (level - y1) / (y2 - y1))
    return sorted(found)


def clip(shape: Spots, window: Spots) -> list[tuple[float, float]]:
    """The part of a shape inside a convex window (Sutherland and Hodgman); the window's corners in order."""
    found = list(shape)
    area = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(window, [*window[1:], window[0]], strict=True))
    sign = 1 if area > 0 else -1
    for (ax, ay), (bx, by) in zip(window, [*window[1:], window[0]], strict=True):
        sides = [sign * ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) for x, y in found]
        kept: list[tuple[float, float]] = []
        for index, (spot, side) in enumerate(zip(found, sides, strict=True)):
            before, side_before = found[index - 1], sides[index - 1]
            if (side >= 0) != (side_before >= 0):
                part = side_before / (side_before - side)
                kept.append((before[0] + (spot[0] - before[0]) * part, before[1] + (spot[1] - before[1]) * part))
            if side >= 0:
                kept.append(spot)
        found = kept
        if not found:
            break
    return found
