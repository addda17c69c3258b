"""A plan in millimetres is printed in millimetres, though the printed object holds decimal inches.

Ground: 1 in = 25.4 mm (international inch, 1959); the lengths are worked by hand from the rules of counting.
"""

from __future__ import annotations

import re

from framing.printed import takeoff_text
from tests.framing.floor import Json, door, plan, taken, wall


def metric() -> Json:
    """A room corner in millimetres: A runs through 3734 mm, B laps it."""
    return plan(
        wall("A", (0, 0), (3734, 0), height=2743),
        wall("B", (0, 0), (0, 2400), height=2743, openings=[door("D1", 900, width=965, height=2134)]),
        unit="mm",
    )


def test_the_object_says_its_unit_and_keeps_inches():
    out = taken(metric())
    assert out["length_unit"] == "mm"
    assert out["levels"][0]["walls"][0]["line_length"] == "147.0079"  # 3734 / 25.4 = 147.007874...
    assert taken(plan(wall("A", (0, 0), (120, 0))))["length_unit"] == "in"


def test_a_metric_plan_is_read_in_millimetres():
    text = takeoff_text(taken(metric(), explain=True))
    assert text.splitlines()[1].startswith("Millimetres")
    row = next(line for line in text.splitlines() if re.match(r"\s+A\s+P1", line))
    # The track of A reaches the outer corner: half of 92.075 mm (3 5/8 in) more.
    assert row.split()[2:6] == ["3734", "mm", "~3780", "mm"]  # 3780.0375
    tables = text[: text.index("junctions")] + text[text.index("track, in the order") : text.index("board B58")]
    assert not re.search(r"\d'-\d", tables), "feet and inches in a metric table"


def test_what_is_no_tenth_of_a_millimetre_is_marked():
    text = takeoff_text(taken(metric()))
    # The lap's tab is 3 5/8 in: 92.075 mm, shown as 92.1; flanges back 4 1/4 in: 107.95 mm.
    assert "tab ~92.1 mm, flanges back ~108 mm" in text


def test_a_plan_in_inches_reads_as_before():
    text = takeoff_text(taken(plan(wall("A", (0, 0), (120, 0)))))
    assert text.splitlines()[1].startswith("Feet and inches")
    assert " mm" not in text
