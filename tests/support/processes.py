"""Real processes for tests: a Celery worker and the site, on this test process's own database and Redis keys."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

import pytest
import redis
from django.conf import settings

from config import env
from config.celery import app
from config.local.children import leashed
from config.local.redis import free_port

PROJECT = Path(__file__).resolve().parents[2]
READY_SECONDS = 60
STOP_SECONDS = 15


def environment() -> dict[str, str]:
    """The environment that puts another process on the database and Redis keys of this one."""
    return os.environ | {
        "DATABASE_URL": env.database_url(settings.DATABASES["default"]),
        "DATABASE_OWNER_URL": env.database_url(settings.DATABASES["owner"]),
        "REDIS_URL": settings.REDIS_URL,
        "PIECEWALL_SECRET_KEY": settings.SECRET_KEY,
        "PIECEWALL_REDIS_PREFIX": settings.REDIS_PREFIX,
        "PIECEWALL_STATIC_FROM_SOURCE": "1",
    }


@contextmanager
def running(command: list[str], ready: Callable[[], bool]) -> Iterator[None]:
    """Run `command` in a process group of its own until the block ends. Raises RuntimeError with its output if it stops
    or is not ready in time."""
    with tempfile.TemporaryFile("w+") as output:
        process = subprocess.Popen(
            command,
            cwd=PROJECT,
            env=environment(),
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=subprocess.STDOUT,
            start_new_session=True,
            preexec_fn=leashed(),  # noqa: PLW1509 - started before any thread of a test
        )
        try:
            _wait(process, ready, output)
            yield
        finally:
            _stop(process)


def _wait(process: subprocess.Popen[bytes], ready: Callable[[], bool], output: IO[str]) -> None:
    until = time.monotonic() + READY_SECONDS
    while not ready():
        if process.poll() is not None or time.monotonic() > until:
            output.seek(0)
            raise RuntimeError(f"{process.args!r} did not become ready (exit {process.poll()}):\n{output.read()}")
        time.sleep(0.1)


def _stop(process: subprocess.Popen[bytes]) -> None:
    process.terminate()
    try:
        process.wait(STOP_SECONDS)
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()


@pytest.fixture(scope="session")
def worker(django_db_setup: None) -> Iterator[None]:
    """A Celery worker process on this test process's database. Tasks go through Redis and back, nothing is eager."""
    name = f"tests@{settings.REDIS_PREFIX.strip(':')}"
    command = [sys.executable, "-m", "celery", "--app", "config", "worker", "--hostname", name]
    command += ["--concurrency", "1", "--without-mingle", "--without-gossip", "--loglevel", "INFO"]
    with running(command, ready=lambda: bool(app.control.ping(destination=[name], timeout=0.5))):
        yield


@pytest.fixture(scope="session")
def live_site(django_db_setup: None) -> Iterator[str]:
    """The site served by gunicorn on this test process's database: its address, without a slash at the end."""
    port = free_port()
    address = f"http://127.0.0.1:{port}"
    command = [sys.executable, "-m", "gunicorn", "config.wsgi", "--bind", f"127.0.0.1:{port}", "--threads", "4"]
    with running(command, ready=lambda: _answers(address)):
        yield address


def _answers(address: str) -> bool:
    try:
        with urllib.request.urlopen(address, timeout=5):  # our own loopback address
            return True
    except urllib.error.HTTPError:
        return True
    except OSError:
        return False


def keys_forget(kind: str = "") -> None:
    """Delete what this test process left in Redis, of one kind or all. Without a Redis there is nothing to delete."""
    if not settings.REDIS_URL.startswith("redis"):
        return
    with redis.Redis.from_url(settings.REDIS_URL) as client:
        try:
            for key in client.scan_iter(match=f"{settings.REDIS_PREFIX}{kind}*", count=1000):
                client.delete(key)
        except redis.exceptions.ConnectionError:
            return
