"""The cuts file: every mistake is said at once, nothing odd escapes, and the schema describes what the reader reads.

Ground: the format's own page; JSON Schema 2020-12, checked by the `jsonschema` library against its own metaschema.
"""

from __future__ import annotations

import json
from copy import deepcopy
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

import framing.readers
from framing.cutlist import StockLength
from framing.length import inch, parse_length
from framing.plan import PlanMistakes
from framing.readers.cuts_file import LARGEST, MOST_PIECES, CutsFile, Wanted, read_cuts
from tests.framing.test_plan_fuzz import VALUES, places

SCHEMA: dict[str, Any] = json.loads((Path(framing.readers.__file__).parent / "cuts.schema.json").read_text())
VALIDATOR = Draft202012Validator(SCHEMA)

# The example of the format's page.
PAGE: dict[str, Any] = {
    "format": "piecewall cuts 1", "length_unit": "in", "kerf": "0", "stock": [{"length": "120", "price": "1"}],
    "pieces": [{"length": "97 3/4", "count": 12, "mark": "B"}],
}  # fmt: skip
FULL: dict[str, Any] = PAGE | {
    "name": "Sills", "length_unit": "mm", "kerf": 3.2, "useful_offcut": "2'", "rack": [{"length": 700, "count": 2}],
    "stock": [{"length": "120", "price": 6.25}, {"length": 3600, "price": "7"}],
    "pieces": [{"length": 450}, {"length": "97 3/4", "count": 12, "mark": "B"}, {"length": "1 m", "count": 3}],
}  # fmt: skip


def read(made: Any) -> CutsFile:
    return read_cuts(json.dumps(made).encode(), name="list.json")


def sentences(made: Any) -> tuple[str, ...]:
    try:
        read(made)
    except PlanMistakes as mistakes:
        return mistakes.mistakes
    return ()


def test_the_page_s_example_is_read_exactly():
    assert read(PAGE) == CutsFile(
        "", "in", 0, (StockLength(inch(120), Fraction(1)),), (Wanted(inch(97, 3, 4), 12, "B"),)
    )


def test_every_key_is_read_in_its_unit():
    found = read(FULL)
    assert found.kerf == parse_length("3.2 mm")
    assert found.useful == inch(24)
    assert found.rack == (parse_length("700 mm"),) * 2
    assert found.stocks == (
        StockLength(inch(120), Fraction("6.25")),
        StockLength(parse_length("3.6 m"), Fraction(7)),
    )
    assert [piece.length for piece in found.pieces] == [parse_length(w) for w in ("450 mm", "97 3/4", "1000 mm")]
    assert [piece.count for piece in found.pieces] == [1, 12, 3]


FAULTS = [
    # (change, a part of the sentence, whether the schema sees it)
    ({"colour": "red"}, 'colour "red" is not a key', True),
    ({"format": "piecewall cuts 2"}, "format", True),
    ({"length_unit": "ft"}, 'length_unit "ft" is not known', True),
    ({"kerf": "-1/8"}, 'kerf "-1/8" must not be less than zero', False),
    ({"kerf": True}, "kerf true is not a length", True),
    ({"kerf": "120"}, 'kerf "120" is no less than a stock length (10\'-0")', False),
    ({"useful_offcut": 0}, "useful_offcut 0 must be more than zero", False),
    ({"stock": []}, "stock 0 is no number of stock lengths", True),
    ({"stock": [{"length": n + 100} for n in range(41)]}, "stock 41 is no number of stock lengths", True),
    ({"stock": {"length": 1}}, "stock {…} is not a list", True),
    ({"stock": [{"length": "120", "price": "one"}]}, 'stock 1: price "one" is not a price', True),
    ({"stock": [{"length": "120", "price": 0}]}, "stock 1: price 0 is not a price", True),
    ({"stock": [{"length": "120", "price": 1}, {"length": 96}]}, "stock 2: price is missing", True),
    ({"stock": [{"length": "120"}, {"length": "10'"}]}, 'stock 2: length "10\'" is given twice', False),
    ({"stock": [{"length": "96"}]}, "is longer than every stock length; the longest is 8'-0\"", False),
    ({"pieces": []}, "pieces 0 is no number of lines", True),
    ({"pieces": [{"length": "1", "count": 0}]}, "piece 1: count 0", True),
    ({"pieces": [{"length": "1", "count": -4, "mark": "Z"}]}, "piece 1 (Z): count -4", True),
    ({"pieces": [{"length": "1", "count": 2.5}]}, "piece 1: count 2.5", True),
    ({"pieces": [{"length": "1", "count": 10**30}]}, "piece 1: count 1000000000", True),
    ({"pieces": [{"count": 2}]}, "piece 1: length is missing", True),
    ({"pieces": [{"length": "0"}]}, "piece 1: length", False),
    ({"pieces": [{"length": "1/3 mm"}]}, "piece 1: length", False),
    ({"pieces": [{"length": "1", "mark": "x" * 41}]}, "piece 1: mark", True),
    ({"pieces": [{"length": "1", "count": MOST_PIECES}, {"length": "2"}]}, "are more pieces than 200000", False),
    ({"rack": [{"length": "1", "count": 0}]}, "rack 1: count 0", True),
    ({"rack": [{"length": "-1"}]}, "rack 1: length", False),
]  # fmt: skip


@pytest.mark.parametrize(("change", "said", "seen"), FAULTS)
def test_a_fault_is_said_in_one_sentence_and_the_schema_agrees(change, said, seen):
    made = PAGE | change
    (sentence,) = sentences(made)
    assert sentence.startswith("list.json: ")
    assert said in sentence
    assert VALIDATOR.is_valid(made) is not seen


def test_all_faults_are_said_at_once():
    made = PAGE | {"kerf": "x", "stock": [{"length": "y"}, 7], "rack": [{}], "pieces": [{"length": 0}, {"mark": ""}]}
    said = "\n".join(sentences(made))
    for part in ("kerf", "stock 1: length", "stock 2: 7", "rack 1: length", "piece 1: length", "piece 2: mark"):
        assert part in said


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is not JSON"),
        (b"\xff\xfe{\x00}\x00", "is not UTF-8 text"),
        (b'{"kerf": NaN}', "holds NaN"),
        (b'{"kerf": -Infinity}', "holds -Infinity"),
        (b'{"kerf": 1, "kerf": 1}', 'has the key "kerf" twice'),
        (b'{"kerf": ' + b"1" * 5000 + b"}", "holds a number of 5000 characters"),
        (b'{"kerf": 0.' + b"1" * 5000 + b"}", "holds a number of 5002 characters"),
        (b"[" * 100_000, "nested too deeply"),
        (b" " * (LARGEST + 1), "is larger than 8 MiB"),
    ],
)
def test_what_is_no_cuts_file_is_refused_in_a_sentence(data, said):
    with pytest.raises(PlanMistakes) as caught:
        read_cuts(data, name="odd.json")
    (sentence,) = caught.value.mistakes
    assert sentence.startswith("odd.json: the cuts file: ")
    assert said in sentence


def test_a_path_that_has_no_end_is_not_read_to_its_end():
    with pytest.raises(PlanMistakes, match="is larger than 8 MiB"):
        read_cuts("/dev/zero")


def test_a_byte_order_mark_does_no_harm():
    assert read_cuts(b"\xef\xbb\xbf" + json.dumps(PAGE).encode()) == read(PAGE)


def test_the_schema_is_a_schema_and_takes_the_examples():
    Draft202012Validator.check_schema(SCHEMA)
    assert VALIDATOR.is_valid(PAGE)
    assert VALIDATOR.is_valid(FULL)


PATHS = [path for path in places(FULL) if path]


@st.composite
def mutated(draw: st.DrawFn) -> Any:
    made = deepcopy(FULL)
    for _ in range(draw(st.integers(1, 3))):
        path = draw(st.sampled_from(PATHS))
        inner: Any = made
        try:
            for step in path[:-1]:
                inner = inner[step]
            inner[path[-1]] = draw(VALUES)
        except (KeyError, IndexError, TypeError):
            continue
    return made


@settings(max_examples=300)
@given(mutated())
def test_what_the_schema_refuses_the_reader_refuses_and_nothing_else_escapes(made: Any):
    try:
        text = json.dumps(made, allow_nan=False)
    except ValueError:
        return  # no JSON text holds it
    try:
        read_cuts(text.encode())
    except PlanMistakes:
        return
    assert VALIDATOR.is_valid(json.loads(text))
