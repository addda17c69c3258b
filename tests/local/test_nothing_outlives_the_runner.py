"""However a run ends, its PostgreSQL, its Redis and the command inside it end too, and the data stays whole."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import psutil
import pytest

PROJECT = Path(__file__).resolve().parents[2]
POSTGRESQL, REDIS = {"postgres"}, {"redis-server", "valkey-server"}


@pytest.fixture
def local() -> Iterator[Path]:
    """A folder in place of .local, which PostgreSQL's user may enter (a test's usual folder is closed to it)."""
    folder = Path(tempfile.mkdtemp(prefix="piecewall-test-"))
    folder.chmod(0o755)
    yield folder
    shutil.rmtree(folder)


def environment(local: Path) -> dict[str, str]:
    given = {"DATABASE_URL", "DATABASE_OWNER_URL", "REDIS_URL"}
    return {name: value for name, value in os.environ.items() if name not in given} | {"PIECEWALL_LOCAL": str(local)}


def run(local: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "config.local", "with", sys.executable, "-c", *words]
    return subprocess.run(
        command, check=False, cwd=PROJECT, env=environment(local), capture_output=True, text=True, timeout=120
    )


@pytest.mark.parametrize("ending", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGKILL], ids=lambda s: s.name)
def test_a_signal_ends_everything(local: Path, ending: signal.Signals):
    wait = "import time; open(%r, 'w').close(); time.sleep(600)" % str(local / "inside")  # noqa: UP031
    runner = subprocess.Popen(
        [sys.executable, "-m", "config.local", "with", sys.executable, "-c", wait],
        cwd=PROJECT,
        env=environment(local),
        start_new_session=True,
    )
    try:
        _until(lambda: (local / "inside").exists() or runner.poll() is not None)
        started = psutil.Process(runner.pid).children(recursive=True)
        names = {process.name() for process in started}
        assert names & POSTGRESQL
        assert names & REDIS
        runner.send_signal(ending)
        runner.wait(60)
    finally:
        left = left_of(started)
        runner.terminate()
    assert left == []
    assert runner.returncode == (-signal.SIGKILL if ending is signal.SIGKILL else 130)


def test_what_was_committed_is_there_in_the_next_run(local: Path):
    step = "import os, psycopg; c = psycopg.connect(os.environ['DATABASE_OWNER_URL']); %s; c.commit()"
    first = run(local, step % "c.execute('create table kept as select 41 + 1 as answer')")
    assert first.returncode == 0, first.stderr
    second = run(local, step % "print(c.execute('select answer from kept').fetchone())")
    assert second.stdout.strip() == "(42,)", second.stderr


def test_a_folder_serves_one_run_at_a_time(local: Path):
    inner = [sys.executable, "-m", "config.local", "with", "true"]
    outer = run(local, f"import subprocess, sys; sys.exit(subprocess.run({inner!r}).returncode + 40)")
    assert outer.returncode == 41, outer.stderr
    assert "already runs here" in outer.stderr


def test_the_commands_exit_code_is_the_runs(local: Path):
    assert run(local, "raise SystemExit(7)").returncode == 7


def left_of(started: list[psutil.Process]) -> list[psutil.Process]:
    """Which of them still live, after a while in which they may end."""
    _until(lambda: not any(_lives(process) for process in started))
    return [process for process in started if _lives(process)]


def _lives(process: psutil.Process) -> bool:
    try:
        return process.is_running() and process.status() != psutil.STATUS_ZOMBIE
    except psutil.NoSuchProcess:
        return False


def _until(done: Callable[[], bool], seconds: float = 60) -> None:
    until = time.monotonic() + seconds
    while not done() and time.monotonic() < until:
        time.sleep(0.05)
