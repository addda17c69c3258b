"""Steel for several levels: the fewest bars for all of them, and what one level leaves is used on the next.

Grounds: derived by hand beside each case; properties hold for any list.
"""

from __future__ import annotations

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from framing.cutlist import cut_stock
from framing.cutting.levels import CutLevels, cut_levels
from tests.framing.floor import plan, taken, wall


def told(cut: CutLevels, stock: int) -> list[tuple[int, int, int]]:
    return [(level.bought[stock], level.offcuts[stock], level.ahead[stock]) for level in cut.levels]


def test_what_the_first_level_leaves_is_used_on_the_second():
    # derived: 120 - 80 leaves 40; three times that holds level 2's three pieces of 36, so it buys none
    cut = cut_levels([[80, 80, 80], [36, 36, 36]], [120], 24)
    assert told(cut, 120) == [(3, 0, 0), (0, 3, 0)]
    assert cut.bound(120) == 3


def test_what_is_too_short_to_keep_is_cut_ahead():
    # derived: 120 - 100 leaves 20, under 24: the second level's 18 is cut with the first and carried up
    assert told(cut_levels([[100], [18]], [120], 24), 120) == [(1, 0, 0), (0, 0, 1)]
    assert told(cut_levels([[100], [18]], [120], 20), 120) == [(1, 0, 0), (0, 1, 0)]


def test_a_level_without_pieces_keeps_its_place():
    assert told(cut_levels([[], [100], []], [120], 24), 120) == [(0, 0, 0), (1, 0, 0), (0, 0, 0)]


def test_several_stock_lengths_total_least_and_the_bound_is_of_each():
    # derived: 107 from 108, two of 59 from 120: 108 + 120; no stock holds less waste
    cut = cut_levels([[107], [59, 59]], [96, 108, 120], 24)
    assert cut.bought == Counter({108: 1, 120: 1})
    assert (cut.least, cut.bound(108), cut.bound(120)) == (228, 1, 1)


def test_no_long_bar_is_cut_where_short_ones_cost_the_same():
    # derived: 2 x 107 from one 216 or two 108: equal, so the short ones, with no cut through the middle
    assert cut_levels([[107, 107]], [108, 216], 24).bought == Counter({108: 2})


@given(
    st.lists(st.lists(st.integers(1, 120), max_size=8), min_size=1, max_size=4).filter(any),
    st.lists(st.integers(96, 300), max_size=3, unique=True),
    st.integers(1, 60),
)
def test_levels_together_take_what_was_bought_and_every_piece_once(parts, more, useful):
    stocks = [120, *(length for length in more if length != 120)]
    cut = cut_levels(parts, stocks, useful)
    assert sum((level.bought for level in cut.levels), Counter()) == cut.bought
    assert Counter(piece for bar in cut.bars for piece in bar.cuts) == Counter(
        piece for part in parts for piece in part
    )
    for level, part in zip(cut.levels, parts, strict=True):
        assert level.bought.total() + level.offcuts.total() + level.ahead.total() <= len(part)
    assert not cut.levels[0].offcuts
    assert not cut.levels[0].ahead
    for stock, count in cut.bought.items():
        assert cut.bound(stock) <= count
    if len(stocks) == 1:
        assert cut.bought[120] == cut_stock([piece for part in parts for piece in part], 120).used


def two_levels() -> dict:
    made = plan(wall("A", (0, 0), (172, 0)))
    made["levels"].append(made["levels"][0] | {"name": "Level 2"})
    return made


def test_the_order_says_what_each_level_takes():
    # derived: a run of 172 is a whole 120 and 52 on each row; 52 four times is two bars, and the second level's two
    # come from what the first one's leave
    (track,) = [line for line in taken(two_levels())["order"] if line["product"] == "362T125-18"]
    assert track["count"] == track["bound"] == sum(level["count"] for level in track["levels"])
    assert [level["level"] for level in track["levels"]] == ["Level 1", "Level 2"]
    assert "levels" not in taken(plan(wall("A", (0, 0), (172, 0))))["order"][0]
