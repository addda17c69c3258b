"""Whatever is typed into a week file, it is priced or refused with sentences; it never ends in a traceback."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from payroll.law import WeekMistakes, as_json, as_text, price, read_week

FOLDER = Path(__file__).parents[2] / "fixtures" / "weeks"
GOOD = [json.loads(path.read_text()) for path in sorted(FOLDER.glob("*.json")) if path.stem != "expected"]
ODD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=12),
    st.sampled_from(
        ["", "-1", "0", "1e9", "24:00", "-0:30", "9" * 13, "2026-03-02", "0001-01-01", "9999-12-31", "rest", "flat"]
    ),
    st.lists(st.integers(), max_size=2),
    st.dictionaries(st.text(max_size=5), st.integers(), max_size=2),
)


def places(content: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in a JSON value, as the keys that lead to it."""
    found = [path] if path else []
    items = content.items() if isinstance(content, dict) else enumerate(content) if isinstance(content, list) else ()
    for key, value in items:
        found += places(value, (*path, key))
    return found


@st.composite
def broken(draw: st.DrawFn) -> str:
    """A worked week with up to three values replaced, taken away or doubled."""
    content = copy.deepcopy(draw(st.sampled_from(GOOD)))
    for _ in range(draw(st.integers(min_value=1, max_value=3))):
        *way, last = draw(st.sampled_from(places(content)))
        at = content
        for key in way:
            at = at[key]
        how = draw(st.sampled_from(["replace", "replace", "remove", "double"]))
        if how == "replace":
            at[last] = draw(ODD)
        elif how == "remove":
            del at[last]
        elif isinstance(at, list):
            at.append(at[last])
        if not places(content):
            break
    return json.dumps(content)


@settings(suppress_health_check=[HealthCheck.too_slow], max_examples=400)
@given(broken())
def test_a_broken_file_is_priced_or_refused_with_sentences(text: str) -> None:
    try:
        week = read_week(text)
        priced = price(week)
    except WeekMistakes as refused:
        assert refused.mistakes
        assert all(sentence.strip().endswith(".") for sentence in refused.mistakes), refused.mistakes
    else:
        assert str(priced.gross) == as_json(priced)["gross"]
        assert "GROSS" in as_text(week, priced)


@given(st.binary(max_size=60))
def test_any_bytes_are_refused_with_a_sentence(raw: bytes) -> None:
    try:
        read_week(raw)
    except WeekMistakes as refused:
        assert refused.mistakes
    else:
        raise AssertionError(f"{raw!r} was read as a week")
