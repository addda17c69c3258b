"""What is installed is exactly what is locked: pinned and hashed, from wherever pip is told to look."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

PROJECT = Path(__file__).resolve().parents[2]
LOCK = (PROJECT / "requirements.lock").read_text()
# One logical line per package: "name==version ; markers --hash=sha256:... --hash=..."
PACKAGES = [line for line in LOCK.replace("\\\n", " ").splitlines() if line and not line.startswith("#")]


def test_the_lock_names_no_registry():
    assert "://" not in LOCK
    assert [line for line in PACKAGES if line.startswith("-")] == []


def test_every_package_is_pinned_and_hashed():
    assert len(PACKAGES) > 50
    for line in PACKAGES:
        requirement, *hashes = line.split(" --hash=")
        assert [spec.operator for spec in Requirement(requirement.strip()).specifier] == ["=="], requirement
        assert hashes and all(re.fullmatch(r"sha256:[0-9a-f]{64}\s*", each) for each in hashes), requirement


def test_every_wanted_package_is_locked_in_a_version_that_was_asked_for():
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text())["project"]
    locked = {}
    for line in PACKAGES:
        requirement = Requirement(line.split(" --hash=")[0].strip())
        locked[canonicalize_name(requirement.name)] = next(iter(requirement.specifier)).version
    for text in project["dependencies"] + project["optional-dependencies"]["dev"]:
        wanted = Requirement(text)
        assert wanted.specifier.contains(locked[canonicalize_name(wanted.name)]), text
