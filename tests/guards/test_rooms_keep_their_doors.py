"""The import contracts hold, and each of them does catch what it forbids."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parents[2]
ROOMS = ("config", "framing", "jobs", "payroll")


def contracts(project: Path) -> subprocess.CompletedProcess[str]:
    program = Path(sys.executable).parent / "lint-imports"
    command = [program, "--no-cache", project / "pyproject.toml"]
    return subprocess.run(command, check=False, cwd=project, capture_output=True, text=True)


def test_every_contract_is_kept():
    answer = contracts(PROJECT)
    assert answer.returncode == 0, answer.stdout


@pytest.mark.parametrize(
    ("module", "line"),
    [
        ("framing/bad.py", "import django"),
        ("framing/bad.py", "import jobs"),
        ("payroll/law/bad.py", "import celery"),
        ("payroll/law/bad.py", "import jobs.tenancy"),
        ("jobs/bad.py", "import framing.length"),
        ("jobs/bad.py", "import payroll"),
        ("payroll/bad.py", "import matplotlib"),
        ("payroll/bad.py", "import config.settings"),
        ("jobs/models/bad.py", "import jobs.services"),
        ("jobs/selectors/bad.py", "import jobs.services"),
        ("jobs/services/bad.py", "import jobs.api"),
    ],
)
def test_a_forbidden_import_is_caught(tmp_path: Path, module: str, line: str):
    for room in ROOMS:
        shutil.copytree(PROJECT / room, tmp_path / room, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(PROJECT / "pyproject.toml", tmp_path)
    assert (tmp_path / module).parent.is_dir()
    (tmp_path / module).write_text(f"{line}\n")
    answer = contracts(tmp_path)
    assert answer.returncode == 1
    assert f"{module.removesuffix('.py').replace('/', '.')} -> {line.split()[1]}" in answer.stdout
