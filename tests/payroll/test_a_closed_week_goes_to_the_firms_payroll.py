"""A closed week's table for the firm's payroll: every cent once, by code and job; byte for byte the same again."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import stat
import zipfile
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from jobs.refusals import Conflict, NotFound
from payroll.models import Statement
from payroll.reports.csv_out import csv_bytes
from payroll.reports.payroll_tables import BASES, EARNINGS, bases_csv, earnings_csv, payroll_zip
from payroll.selectors.payroll_export import FORMAT, PayrollExport, payroll_export
from tests.payroll.world import MONDAY, NEXT_MONDAY, World, make_world
from tests.support.needs import PROJECT


@pytest.fixture
def world(db: None) -> World:
    """Two people: one of 46 h of pieces and 4 h of waiting, past 40 h; one below the minimum wage."""
    world = make_world()
    world.rate("BOARD", "1.00")
    world.time_rate("waiting", "8.00")
    one, two = world.person("Maren Tallow"), world.person("=2+2")
    world.entry(world.unit("BOARD", face="left"), "491", one)
    for day, hours in enumerate(("10", "10", "10", "10", "6")):
        world.hours(one, hours, on=MONDAY + timedelta(days=day))
    world.hours(one, "4", kind="waiting", on=MONDAY + timedelta(days=4))
    world.hours(one, "0.5", kind="meal", on=MONDAY + timedelta(days=5))
    world.entry(world.unit("BOARD", face="right"), "250", two)
    for day in range(5):
        world.hours(two, "8", on=MONDAY + timedelta(days=day))
    return world


def export(world: World, first_day: object = MONDAY) -> PayrollExport:
    with transaction.atomic(), world.scope():
        return payroll_export(first_day=first_day)  # type: ignore[arg-type]


def rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode(), newline="")))


def test_every_cent_stands_under_one_code_and_job(world: World) -> None:
    closing = world.close()
    found = export(world)
    earned = {(row.name, row.job, row.code): (row.hours, row.amount) for row in found.earnings}
    # 29 CFR 778.111(a): 491.00 for 46 h, 4 h waiting at 8.00: 523.00, regular rate 10.46, premium 52.30.
    # 29 USC 206: 250.00 for 40 h against 7.25 is 40.00 short (pay.md F15, derived).
    assert earned == {
        ("Maren Tallow", "HSC", "meal"): (Decimal("0.5"), Decimal("0.00")),
        ("Maren Tallow", "HSC", "overtime"): (None, Decimal("52.30")),
        ("Maren Tallow", "HSC", "piece"): (Decimal(46), Decimal("491.00")),
        ("Maren Tallow", "HSC", "waiting"): (Decimal(4), Decimal("32.00")),
        ("=2+2", "HSC", "minimum-wage"): (None, Decimal("40.00")),
        ("=2+2", "HSC", "piece"): (Decimal(40), Decimal("250.00")),
    }
    assert sum(row.amount for row in found.earnings) == found.gross == closing.gross == Decimal("865.30")


def test_the_bases_stand_apart(world: World) -> None:
    world.close()
    base = {row.name: row for row in export(world).bases}["Maren Tallow"]
    assert (base.gross, base.ordinary, base.premiums) == (Decimal("575.30"), Decimal("523.00"), Decimal("52.30"))
    assert (base.hours, base.overtime_hours, base.double_hours, base.days_worked) == (50, 10, 0, 5)


def test_a_difference_of_an_earlier_week_is_paid_under_its_own_code(world: World) -> None:
    world.close()
    with transaction.atomic(), world.scope():
        person = Statement.objects.get(person__name="=2+2").person
    # Late: 100 more at 1.00, and with them 350.00 for 40 h; 290.00 were paid: 60.00 are missing.
    world.entry(world.unit("BOARD", wall="W-2"), "100", person)
    world.hours(person, "2", on=NEXT_MONDAY)
    world.entry(world.unit("BOARD", wall="W-2", face="left"), "20", person, on=NEXT_MONDAY)
    closing = world.close(NEXT_MONDAY)
    found = export(world, NEXT_MONDAY)
    (correction,) = [row for row in found.earnings if row.code == "correction"]
    assert (correction.amount, correction.for_week, correction.job) == (Decimal("60.00"), MONDAY, "")
    assert found.bases[-1].corrections == Decimal("60.00")
    assert sum(row.amount for row in found.earnings) == found.gross == closing.gross == Decimal("80.00")
    # The week that was paid is as it was.
    assert export(world).gross == Decimal("865.30")


def test_the_same_week_gives_the_same_bytes_with_true_hashes(world: World) -> None:
    world.close()
    packed = payroll_zip(export(world))
    assert packed == payroll_zip(export(world))
    with zipfile.ZipFile(io.BytesIO(packed)) as opened:
        manifest = json.loads(opened.read("manifest.json"))
        assert manifest["format"] == FORMAT
        assert manifest["gross"] == "865.30"
        for name, digest in manifest["sha256"].items():
            assert hashlib.sha256(opened.read(name)).hexdigest() == digest
        assert set(manifest["sha256"]) == {"earnings.csv", "bases.csv"}


def test_no_cell_runs_as_a_formula(world: World) -> None:
    world.close()
    for table in (earnings_csv(export(world)), bases_csv(export(world))):
        assert {row["person"] for row in rows(table)} == {"Maren Tallow", "'=2+2"}
    # OWASP, "CSV Injection": cells that begin with = + - @, tab or carriage return.
    dangerous = ["=1", "+1", "-1", "@x", "\t=1", "\r=1", " =1", "\n=1"]
    (row,) = list(csv.reader(io.StringIO(csv_bytes(["a"], [dangerous]).decode(), newline="")))[1:]
    assert row == [f"'{cell}" for cell in dangerous]
    # Figures are figures.
    (row,) = list(csv.reader(io.StringIO(csv_bytes(["a"], [[Decimal("-1.50"), 2, None]]).decode(), newline="")))[1:]
    assert row == ["-1.50", "2", ""]


def test_an_open_week_has_nothing_to_pay(world: World) -> None:
    world.week()
    with pytest.raises(Conflict, match="is not closed"):
        export(world)
    with pytest.raises(NotFound):
        export(world, NEXT_MONDAY)


def test_a_command_writes_it_into_a_new_file_for_its_owner_alone(
    world: World, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    world.close()
    file = tmp_path / "week.zip"
    call_command("payroll_export", str(world.organisation), MONDAY.isoformat(), str(file))
    assert "2 statements, 865.30 gross" in capsys.readouterr().out
    assert file.read_bytes() == payroll_zip(export(world))
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    for organisation, day, says in (
        (world.organisation, MONDAY, "is there already"),
        (10**15, MONDAY, "was not found"),
        (world.organisation, NEXT_MONDAY, "was not found"),
    ):
        with pytest.raises(CommandError, match=says):
            call_command("payroll_export", str(organisation), day.isoformat(), str(file))


def test_the_columns_in_the_documentation_are_those_that_are_written() -> None:
    told = (PROJECT / "DEVELOPERS.md").read_text()
    for name, columns in (("earnings.csv", EARNINGS), ("bases.csv", BASES)):
        line = next(line for line in told.splitlines() if line.startswith(f"| `{name}`"))
        assert [f"`{column}`" for column in columns] == [
            word.strip(" ,") for word in line.split("|")[2].split() if "`" in word
        ]
