"""Every curl example of the API guide in DEVELOPERS.md runs against the served site and answers as printed there."""

from __future__ import annotations

import json
import os
import re
import subprocess
from collections.abc import Iterator
from typing import Any

import pytest
from django.db import transaction
from pytest import TempPathFactory
from pytest_django import DjangoDbBlocker

from jobs.models import WorkUnit
from jobs.tenancy import organisation_scope
from tests.jobs.world import World, make_world
from tests.support.camera import shot
from tests.support.needs import PROJECT

GUIDE = (PROJECT / "DEVELOPERS.md").read_text().split("\n## The API\n")[1].split("\n## ")[0]
EXAMPLES = re.findall(r"```sh\n(.+?)```\n(?:```json\n(.+?)```\n)?", GUIDE, flags=re.DOTALL)
ANYTHING = "..."


@pytest.fixture(scope="module")
def given(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: TempPathFactory
) -> Iterator[dict[str, str]]:
    """What stands in the examples as $NAMES: of one foreman's world. The examples follow each other in it."""
    with django_db_blocker.unblock():
        world: World = make_world()
        unit = world.unit("A", "TRACK")
        with transaction.atomic(), organisation_scope(world.organisation):
            wall = WorkUnit.objects.get(pk=unit).wall_id
        photo = tmp_path_factory.mktemp("camera") / "photo.jpg"
        photo.write_bytes(shot())
        yield {
            "PHOTO": str(photo),
            "TOKEN": world.tokens["foreman"],
            "JOB": str(world.job),
            "WALL": str(wall),
            "UNIT": str(unit),
            "CREW": str(world.crew),
            "PERSON": str(world.people[0]),
        }


def differences(printed: Any, answered: Any, path: str = "") -> Iterator[str]:
    if printed == ANYTHING:
        return
    if isinstance(printed, dict) and isinstance(answered, dict):
        for key in sorted(printed.keys() ^ answered.keys()):
            yield f"{path}.{key} stands on one side only"
        for key in printed.keys() & answered.keys():
            yield from differences(printed[key], answered[key], f"{path}.{key}")
    elif isinstance(printed, list) and isinstance(answered, list) and len(printed) == len(answered):
        for nth, (left, right) in enumerate(zip(printed, answered, strict=True)):
            yield from differences(left, right, f"{path}[{nth}]")
    elif printed != answered:
        yield f"{path}: printed {printed!r}, answered {answered!r}"


def test_the_guide_has_examples_and_each_prints_its_answer():
    assert len(EXAMPLES) >= 6
    assert all(answer for _, answer in EXAMPLES)


@pytest.mark.parametrize("nth", range(len(EXAMPLES)))
def test_an_example_answers_as_printed(nth: int, given: dict[str, str], live_site: str):
    command, printed = EXAMPLES[nth]
    done = subprocess.run(
        ["bash", "-euo", "pipefail", "-c", command],
        env={"PATH": os.environ["PATH"], "SITE": live_site, **given},
        capture_output=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr.decode()
    answered = json.loads(done.stdout)
    assert not list(differences(json.loads(printed), answered)), json.dumps(answered)


def test_an_example_sent_again_is_answered_the_same(given: dict[str, str], live_site: str):
    command, _ = next(one for one in EXAMPLES if "7d1f9f0a" in one[0] and "replaces" not in one[0])
    answers = [
        subprocess.run(
            ["bash", "-c", command],
            env={"PATH": os.environ["PATH"], "SITE": live_site, **given},
            capture_output=True,
            check=True,
            timeout=60,
        ).stdout
        for _ in range(2)
    ]
    assert answers[0] == answers[1]
    assert "uuid" in json.loads(answers[0])
