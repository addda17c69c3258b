"""Hatching keeps inside its shape, clipping cuts as it should: shapely as an independent measure."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, MultiPoint, Polygon

from framing.drawing.hatch import clip, hatched
from framing.drawing.marks import spread

COORDINATE = st.floats(-50, 50, allow_nan=False)
SPOTS = st.lists(st.tuples(COORDINATE, COORDINATE), min_size=4, max_size=9)


def convex(spots: list[tuple[float, float]]) -> list[tuple[float, float]] | None:
    hull = MultiPoint(spots).convex_hull
    return list(hull.exterior.coords)[:-1] if isinstance(hull, Polygon) and hull.area > 1 else None


@given(SPOTS, st.sampled_from([0.0, 45.0, 60.0, 90.0, 135.0]))
def test_hatching_stays_inside(spots: list[tuple[float, float]], angle: float):
    shape = convex(spots)
    if shape is None:
        return
    polygon = Polygon(shape)
    lines = hatched(shape, angle, 2.0)
    for line in lines:
        assert polygon.buffer(1e-6).contains(LineString(line.spots))
    # Lines 2 mm apart over an area: their length is the area over the gap, give or take the edges.
    total = sum(LineString(line.spots).length for line in lines)
    assert abs(total * 2.0 - polygon.area) <= 2.0 * polygon.length


@given(SPOTS, SPOTS)
def test_clipping_leaves_what_both_hold(spots: list[tuple[float, float]], window: list[tuple[float, float]]):
    shape, frame = convex(spots), convex(window)
    if shape is None or frame is None:
        return
    expected = Polygon(shape).intersection(Polygon(frame)).area
    found = clip(shape, frame)
    area = Polygon(found).area if len(found) >= 3 else 0.0
    assert math.isclose(area, expected, abs_tol=1e-6)


@given(st.lists(st.floats(0, 100, allow_nan=False), min_size=1, max_size=20).map(sorted), st.floats(0.5, 4))
def test_figures_moved_apart_keep_their_order_and_gap(places: list[float], gap: float):
    moved = spread(places, gap, -50, 150)
    assert len(moved) == len(places)
    assert all(b - a >= gap - 1e-9 for a, b in pairwise(moved))
    if all(b - a >= gap for a, b in pairwise(places)):
        assert moved == pytest.approx(places)
