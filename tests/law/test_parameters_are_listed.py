"""The list of parameters holds every value and rule with its ground, and tells its own gaps."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from payroll.law import ParameterBook, listing, listing_json, the_book

ROOT = Path(__file__).parents[2]
NO_DATABASE = {
    **os.environ,
    "DATABASE_URL": "postgresql://nobody@127.0.0.1:1/nothing",
    "DATABASE_OWNER_URL": "postgresql://nobody@127.0.0.1:1/nothing",
}


def parameters(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", "parameters", *arguments],
        cwd=ROOT,
        env=NO_DATABASE,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def test_every_value_and_rule_of_the_book_is_listed_once() -> None:
    listed = listing(the_book())
    assert sorted(map(id, (value for one in listed for value in one.values))) == sorted(map(id, the_book().values))
    assert sorted(map(id, (rule for one in listed for rule in one.rules))) == sorted(map(id, the_book().rules))


def test_what_stands_from_memory_or_at_second_hand_is_a_gap() -> None:
    for one in listing(the_book()):
        for how, kind in (("memory", "from memory"), ("secondary", "secondary only")):
            doubtful = sum(part.checked_how == how for part in (*one.values, *one.rules))
            assert sum(gap.kind == kind for gap in one.gaps) == doubtful


def test_proposed_contested_and_missing_values_are_gaps() -> None:
    book = the_book()
    wage = book.at("ca-alberta", "minimum_wage", date(2026, 1, 1))
    proposed = replace(wage, status="proposed", starts=date(2027, 1, 1))
    disputed = replace(wage, status="contested", starts=date(2027, 2, 1))
    (alberta,) = listing(ParameterBook((*book.values, proposed, disputed), book.rules), "ca-alberta")
    kinds = {(gap.kind, gap.about) for gap in alberta.gaps}
    assert ("proposed", "minimum wage 15.00 from 2027-01-01") in kinds
    assert ("contested", "minimum wage 15.00 from 2027-02-01") in kinds
    assert ("contested", "reading half-minimum-wage") in kinds
    assert ("missing before", "minimum wage before 2018-10-01") in kinds


def test_the_json_has_every_field() -> None:
    for one in listing_json(listing(the_book())):
        for value in one["values"]:
            assert set(value) == {
                "jurisdiction",
                "name",
                "value",
                "unit",
                "from",
                "status",
                "cite",
                "checked",
                "checked_on",
                "rule",
            }
            assert all(value.values())
        assert [reading["default"] for reading in one["readings"]].count(True) == len(
            {reading["question"] for reading in one["readings"]}
        )


def test_an_unknown_jurisdiction_is_said() -> None:
    with pytest.raises(LookupError, match="'atlantis' is no jurisdiction with parameters"):
        listing(the_book(), "atlantis")


def test_the_command_lists_without_a_database() -> None:
    done = parameters("ca-ontario")
    assert (done.returncode, done.stderr) == (0, "")
    for words in ("17.95", "Employment Standards Act, 2000 (Ontario), s. 23.1", "from memory (", "missing before ("):
        assert words in done.stdout
    assert "CA-ALBERTA" not in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 110


def test_the_command_prints_json() -> None:
    printed = json.loads(parameters("--json").stdout)
    assert [one["jurisdiction"] for one in printed] == sorted(one["jurisdiction"] for one in printed)
    assert all(one["gaps"] for one in printed)


def test_the_command_refuses_an_unknown_jurisdiction() -> None:
    done = parameters("atlantis")
    assert (done.returncode, done.stdout) == (2, "")
    assert "Known: ca-alberta" in done.stderr


def test_a_jurisdiction_may_be_written_as_it_is_printed() -> None:
    assert listing(the_book(), "CA-ONTARIO") == listing(the_book(), "ca-ontario")
