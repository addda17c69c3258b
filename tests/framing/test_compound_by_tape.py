"""Joint compound is ordered by the tape it covers and the level of finish.

Ground: "Estimating in Building Construction" (Peterson and Dagostino) p.203: 7,000 sq ft take 2,660 ft of tape and 35
gal of ready-mixed compound, so 76 ft of tape to the gallon (derived). A trade exam page spreads one gallon over about
100 sq ft of whole surface. Fewer coats at levels 1 and 2: common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil

import pytest

from framing.plan import PlanMistakes
from framing.practice import FramingPractice
from tests.framing.floor import Json, plan, room, size, taken, wall, wall_type


def line(out: Json) -> Json:
    (one,) = [line for line in out["order"] if line["product"] == "joint compound"]
    return one


def test_the_textbooks_example_comes_out():
    assert Fraction(2660, FramingPractice().compound_feet_per_gallon) == 35


@pytest.mark.parametrize(("level", "share"), [(1, Fraction(1, 3)), (2, Fraction(2, 3)), (3, 1), (4, 1)])
def test_pails_by_tape_and_coats(level, share):
    out = taken(room() | {"practice": {"finish_level": level, "compound_gallons_per_pail": 1}})
    feet = size(out["counts"]["tape_in"]) / 12
    assert line(out)["count"] == ceil(feet / 76 * share)
    assert line(out)["unit"] == "1 gal pail"
    assert line(out)["because"].startswith(f"finish level {level}: ")


def test_level_5_skims_the_outermost_layers_too():
    types = {"P1": wall_type(left=["B58", "B58"], right=["B58"])}
    made = plan(wall("A", (0, 0), (120, 0), ends={"from": "structure", "to": "structure"}), types=types)
    out = taken(made | {"practice": {"finish_level": 5, "compound_gallons_per_pail": 1}})
    surface = 2 * Fraction(120) * (108 - Fraction(1, 2)) / 144  # two of three layers
    assert line(out)["count"] == ceil(size(out["counts"]["tape_in"]) / 12 / 76 + surface / 100)


def test_the_default_pail_and_a_firms_own_rate():
    feet = size(taken(room())["counts"]["tape_in"]) / 12
    assert line(taken(room()))["count"] == ceil(feet / 76 / 5)
    own = taken(room() | {"practice": {"compound_feet_per_gallon": 38}})
    assert line(own)["count"] == ceil(feet / 38 / 5)


def test_there_is_no_sixth_level():
    with pytest.raises(PlanMistakes) as caught:
        taken(room() | {"practice": {"finish_level": 6}})
    assert any("finish_level" in sentence and "6" in sentence for sentence in caught.value.mistakes)
