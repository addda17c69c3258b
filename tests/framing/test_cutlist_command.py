"""`manage.py cutlist` as its user meets it: no database, one JSON object, text to follow at a saw, exit code 2.

Grounds: US Army subcourse EN0069 lesson 4 (28 in stakes from 10 ft stock: 4 a length, 8 in left); the rest derived.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from framing.cutlist import CutList
from framing.cutting.printed import CutFile, cut_file, cuts_json, cuts_text
from framing.readers.cuts_file import read_cuts

MANAGE = Path(__file__).parents[2] / "manage.py"
NOWHERE = "postgresql://nobody@127.0.0.1:1/none"


def run(*words: str) -> subprocess.CompletedProcess[str]:
    environment = os.environ | {"DATABASE_URL": NOWHERE, "DATABASE_OWNER_URL": NOWHERE}
    command = [sys.executable, str(MANAGE), "cutlist", *words]
    return subprocess.run(command, capture_output=True, text=True, env=environment, timeout=60, check=False)


def made(**changes: Any) -> dict[str, Any]:
    return {
        "format": "piecewall cuts 1",
        "stock": [{"length": "120"}],
        "pieces": [{"length": "28", "count": 13, "mark": "stake"}],
    } | changes


def printed(**changes: Any) -> dict[str, Any]:
    return cuts_json(cut_file(read_cuts(json.dumps(made(**changes)).encode())))


def text(**changes: Any) -> str:
    return cuts_text(cut_file(read_cuts(json.dumps(made(**changes)).encode())))


@pytest.fixture
def stakes(tmp_path):
    path = tmp_path / "stakes.json"
    path.write_text(json.dumps(made()))
    return path


def test_json_is_one_object_with_the_agreed_keys(stakes):
    done = run(str(stakes), "--json")
    assert (done.returncode, done.stderr) == (0, "")
    found = json.loads(done.stdout)
    assert found["used"] == [{"length": "120", "count": 4}]  # EN0069: 4 a length, so 13 take 4
    assert (found["bound"], found["proven"]) == (4, True)
    assert found["bars"][0] == {"stock": "120", "cuts": ["28"] * 4, "offcut": "8", "marks": ["stake"] * 4}
    assert len(found["bars"]) == 4


def test_text_tells_what_to_buy_and_how_to_cut_with_equal_bars_together(stakes):
    done = run(str(stakes))
    assert (done.returncode, done.stderr) == (0, "")
    for part in (
        "13 pieces. Cuts take nothing (kerf 0)",
        "4 x 10'-0\"",
        "No way of cutting takes fewer bars: proven.",
        'bars 1 to 3: 3 x 10\'-0"\n         4 at 2\'-4"  mark stake\n      left: 8"',
        "bar 4: 1 x 10'-0\"\n         1 at 2'-4\"  mark stake\n      left: 7'-8\"",
        "gloves",
        "Local rules",
    ):
        assert part in done.stdout


def test_mistakes_are_said_and_nothing_is_cut(tmp_path):
    path = tmp_path / "broken.json"
    path.write_text(json.dumps(made(kerf="x", pieces=[{"length": "121"}])))
    done = run(str(path), "--json")
    assert (done.returncode, done.stdout) == (2, "")
    assert 'broken.json: kerf "x" cannot be read' in done.stderr
    assert "broken.json: piece 1: length" in done.stderr
    assert "2 mistakes; nothing was cut." in done.stderr
    missing = run(str(tmp_path / "none.json"))
    assert missing.returncode == 2
    assert "none.json: the cuts file: cannot be read" in missing.stderr


def test_stock_of_several_lengths_is_chosen_by_length_or_by_price():
    # derived: two pieces of 61 go into one 130 or into two 62s, 130 or 124 long, 4.10 or 4.40 dear
    pieces = [{"length": "61", "count": 2}]
    by_length = printed(pieces=pieces, stock=[{"length": "130"}, {"length": "62"}])
    assert by_length["used"] == [{"length": "62", "count": 2}]
    assert (by_length["measure"], by_length["bound"], by_length["proven"]) == ("length", "124", True)
    by_price = printed(pieces=pieces, stock=[{"length": "130", "price": "4.10"}, {"length": "62", "price": "2.20"}])
    assert by_price["used"] == [{"length": "130", "count": 1}]
    assert (by_price["measure"], by_price["bound"], by_price["cost"]) == ("cost", "4.1", "4.1")


def test_offcuts_at_hand_are_used_first_and_useful_ones_are_kept():
    # derived: the 60 in offcut holds two stakes; 11 are left for three bars; the third has 120 - 3 x 28 = 36 left
    found = printed(rack=[{"length": "60"}, {"length": "20"}], useful_offcut="12")
    assert found["used"] == [{"length": "120", "count": 3}]
    assert found["from_rack"] == [{"length": "60", "count": 1}]
    assert found["rack"] == [{"length": "20", "count": 1}, {"length": "36", "count": 1}]
    assert found["bars"][0]["from_rack"] is True
    assert "offcut of 5'-0\" from the rack" in text(rack=[{"length": "60"}])


def test_a_rack_that_holds_everything_buys_nothing():
    found = printed(rack=[{"length": "112", "count": 4}])
    assert (found["used"], found["bound"], found["proven"]) == ([], 0, True)
    assert "nothing: the rack holds it all" in text(rack=[{"length": "112", "count": 4}])


def test_a_list_in_millimetres_is_printed_in_millimetres_exactly():
    # derived: 2 x 1498.5 + 3 = 3000
    found = printed(
        length_unit="mm", kerf=3, stock=[{"length": 3000}], pieces=[{"length": 1498.5, "count": 2}, {"length": "1"}]
    )
    assert found["bars"][0]["cuts"] == ["1498.5", "1498.5"]
    assert found["bars"][0]["offcut"] == "0"
    assert found["bars"][1]["cuts"] == ["25.4"]  # a text without a unit is in inches, whatever the file's
    assert found["length_unit"] == "mm"


def test_a_gap_is_said_where_nothing_is_proven():
    cut = cut_file(read_cuts(json.dumps(made()).encode()))
    assert cut.found.proven
    open_gap = CutList(cut.found.bars, cut.found.measure, cut.found.total, 3)
    told = cuts_text(CutFile(cut.asked, open_gap, cut.marks))
    assert "Any way of cutting takes at least 3 bars; whether that can be had is not known." in told
    assert "proven" not in told


def inches(words: str) -> Decimal:
    top, _, bottom = words.partition("/")
    return Decimal(int(top)) / Decimal(bottom or 1)


EIGHTHS = st.integers(1, 960).map(lambda n: f"{n}/8")


@given(
    st.lists(st.tuples(EIGHTHS, st.integers(1, 5), st.sampled_from(["", "A", "B"])), min_size=1, max_size=8),
    st.sampled_from(["0", "1/8", "3/16", "7"]),
    st.lists(EIGHTHS, max_size=4),
    st.sampled_from([None, "6", "24"]),
)
def test_every_piece_asked_for_is_printed_once_under_its_mark(pieces, kerf, rack, useful):
    asked = [{"length": length, "count": count} | ({"mark": mark} if mark else {}) for length, count, mark in pieces]
    keep = {"useful_offcut": useful} if useful else {}
    found = printed(kerf=kerf, pieces=asked, rack=[{"length": length} for length in rack], **keep)
    wanted = Counter()
    for length, count, mark in pieces:
        wanted[inches(length), mark] += count
    cut: Counter[tuple[Decimal, str]] = Counter()
    for bar in found["bars"]:
        marks = bar.get("marks") or [""] * len(bar["cuts"])
        cut.update(zip(map(Decimal, bar["cuts"]), marks, strict=True))
        room = Decimal(bar["stock"]) - sum(map(Decimal, bar["cuts"])) - inches(kerf) * (len(bar["cuts"]) - 1)
        assert room >= 0
        assert Decimal(bar["offcut"]) == max(Decimal(0), room - inches(kerf))
    assert cut == wanted
    kept = {Decimal(row["length"]): row["count"] for row in found["rack"]}
    before = Counter(inches(length) for length in rack)
    before.subtract({Decimal(row["length"]): row["count"] for row in found["from_rack"]})
    assert min(before.values(), default=0) >= 0
    if useful:
        before.update(o for bar in found["bars"] if (o := Decimal(bar["offcut"])) >= Decimal(useful))
    assert kept == +before
