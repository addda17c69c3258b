"""The command prints a statement that can be followed by hand, or says all that is wrong and prints none."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
WEEKS = ROOT / "fixtures" / "weeks"
# A database that cannot be reached: the command must never try.
NO_DATABASE = {
    **os.environ,
    "DATABASE_URL": "postgresql://nobody@127.0.0.1:1/nothing",
    "DATABASE_OWNER_URL": "postgresql://nobody@127.0.0.1:1/nothing",
}


def priceweek(*arguments: str, text: str | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", "priceweek", *arguments],
        cwd=ROOT,
        env=NO_DATABASE,
        input=text,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def test_the_json_holds_lines_reasons_and_their_ground() -> None:
    done = priceweek(str(WEEKS / "waiting-time.json"), "--json")
    assert (done.returncode, done.stderr) == (0, "")
    printed = json.loads(done.stdout)
    assert set(printed) >= {"lines", "hours", "regular_rate", "floors", "gross", "rules_version", "cautions"}
    # 29 CFR 778.111(a), worked example, read in the official text.
    assert printed["gross"] == "575.30"
    assert printed["regular_rate"] == "10.46"
    assert printed["hours"] == {"total": "50", "overtime": "10", "double": "0"}
    assert sum(Decimal(line["amount"]) for line in printed["lines"]) == Decimal(printed["gross"])
    overtime = next(line for line in printed["lines"] if line["code"] == "overtime")
    assert overtime["because"][1]["cite"] == "29 CFR 778.111(a)"
    assert overtime["because"][1]["parameters"][0] == {
        "jurisdiction": "us-federal",
        "name": "weekly_overtime_hours",
        "value": "40",
        "unit": "hours",
        "from": "1940-10-24",
        "status": "enacted",
        "cite": "29 USC 207(a)(1)",
        "checked": "read in the official text",
        "checked_on": "2026-11-25",
    }


def test_the_statement_can_be_followed_by_hand() -> None:
    done = priceweek(str(WEEKS / "unrated-waiting.json"))
    assert done.returncode == 0
    for sum_ in (
        "1227.5 sq ft x 0.40 = 491.00",
        "491.00 / 46 h = about 10.6739 an hour; 4 h x about 10.6739 = 42.70",
        "50 h - 40 h = 10 h",
        "GROSS",
        "587.07",
        "778.318(b), from memory",
        "This is not legal advice.",
    ):
        assert sum_ in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 120


@pytest.mark.parametrize("in_json", [False, True])
def test_a_broken_file_prints_all_mistakes_and_no_statement(tmp_path: Path, in_json: bool) -> None:
    broken = tmp_path / "broken.json"
    text = (WEEKS / "waiting-time.json").read_text()
    broken.write_text(text.replace('"9"', '"-9"').replace("us-federal", "us-fed"))
    done = priceweek(str(broken), *(["--json"] if in_json else []))
    assert done.returncode == 2
    assert done.stdout == ""
    assert "-9 hours are negative" in done.stderr
    assert "us-fed" in done.stderr
    if in_json:
        assert len(json.loads(done.stderr)["mistakes"]) == 5
    else:
        assert "5 mistakes, nothing was priced." in done.stderr


def test_a_file_of_another_kind_tells_its_unknown_keys_once() -> None:
    done = priceweek(str(WEEKS / "expected.json"))
    assert done.returncode == 2
    assert done.stderr.count("Known keys:") == 1


def test_a_file_that_is_not_there_is_said() -> None:
    done = priceweek("no-such-week.json")
    assert (done.returncode, done.stdout) == (2, "")
    assert "no-such-week.json" in done.stderr
    assert "cannot be read" in done.stderr


def test_a_week_can_come_from_standard_input() -> None:
    done = priceweek("-", "--json", text=(WEEKS / "fact-sheet.json").read_text())
    assert json.loads(done.stdout)["gross"] == "427.50"


@pytest.mark.parametrize(
    ("rules", "cite"),
    # Read as each rule set's parameters say.
    [
        ("us-federal", "29 CFR 531.35 to 531.37"),
        ("us-california", "California Labor Code 221, 224"),
        ("ca-ontario", "s. 13(5)(b)"),
        ("ca-alberta", "s. 12(3)"),
        ("ca-british-columbia", "s. 21"),
    ],
)
def test_a_deduction_is_refused_with_the_law_of_the_place_and_nothing_is_printed(rules: str, cite: str) -> None:
    charged = json.loads((WEEKS / "fact-sheet.json").read_text())
    charged |= {"rules": rules, "deductions": [{"date": charged["week_start"], "amount": "25.00", "why": "cut wrong"}]}
    done = priceweek("-", text=json.dumps(charged))
    assert (done.returncode, done.stdout) == (2, "")
    said = " ".join(done.stderr.split())
    assert f"deductions ({charged['week_start']}, 25.00): refused." in said
    assert cite in said
    assert "settle any lawful deduction in the firm's payroll" in said
