"""A practice that could not be built is refused in a sentence, never left to hang or to fall over.

Ground: own arithmetic (derived): a run is spliced where stock is at least twice the shortest piece.
"""

from __future__ import annotations

import pytest

from framing.plan import PlanMistakes
from tests.framing.floor import BOARD, pieces, plan, taken, wall


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("splice_clear", "100", "under twice splice_clear (8'-4\")"),
        ("splice_shortest", "61", "under twice splice_shortest (5'-1\")"),
        ("track_stock", "0.001 mm", "shorter than any stock"),
        ("bead_stock", ["0.001 mm"], "shorter than any stock"),
        ("stud_stock", ["0.001 mm"], "shorter than any stock"),
        ("snap", "100000", "too much for an allowance"),
        ("bead_gap", "1000", "too much for an allowance"),
        ("floor_gap", "13", "too much for an allowance"),
    ],
)
def test_it_is_named_with_its_value_and_what_to_do(name, value, words):
    with pytest.raises(PlanMistakes) as refused:
        taken(plan(wall("A", (0, 0), (125, 0)), practice={name: value}))
    (sentence,) = [one for one in refused.value.mistakes if words in one]
    assert sentence.startswith("practice: ")
    assert name in sentence


@pytest.mark.parametrize("lay", ["standing", "lying"])
def test_board_too_short_for_a_sheet_is_refused(lay):
    boards = {"B58": {**BOARD, "lengths": ["0.5"], "lay": lay}}
    with pytest.raises(PlanMistakes, match="no sheet of 1'-0\" or more"):
        taken(plan(wall("A", (0, 0), (125, 0)), boards=boards))


@pytest.mark.parametrize("height", ["1/2", "1/4"])
def test_a_face_that_stops_below_its_gaps_is_refused(height):
    with pytest.raises(PlanMistakes, match=r"left_height .* leaves no board"):
        taken(plan(wall("A", (0, 0), (125, 0), left_height=height)))


def test_a_row_without_any_place_for_a_splice_is_cut_stock_by_stock():
    # Bottom splices everywhere within splice_apart of one another leave the top row none: 12,000 / 120.
    practice = {"splice_shortest": "0", "splice_clear": "0", "splice_apart": "100000"}
    out = taken(plan(wall("A", (0, 0), (12000, 0)), practice=practice))
    assert len(pieces(out, "A", "top")) == 100
