"""`make demo` as a stranger meets it: results, a site that answers, a clean end, and nothing lost by the next run."""

from __future__ import annotations

import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psutil

from tests.local.test_nothing_outlives_the_runner import PROJECT, environment, left_of, local

__all__ = ["local"]

DEMO = [sys.executable, "-m", "config.local", "demo"]


@contextmanager
def printed(path: Path, **more: str) -> Iterator[subprocess.Popen[bytes]]:
    """The demo running, with what it prints going to a file."""
    with path.open("wb") as output:
        demo = subprocess.Popen(
            DEMO, cwd=PROJECT, env=environment(path.parent) | more, stdout=output, stderr=output, start_new_session=True
        )
    try:
        yield demo
    finally:
        demo.terminate()
        demo.wait(60)


def test_it_prints_serves_stops_and_keeps_its_records(local: Path):
    with printed(local / "first") as demo:
        address = _wait_for(demo, local / "first", r"The site is at (http://127\.0\.0\.1:\d+/)")
        _wait_for(demo, local / "first", r"(Ctrl-C stops everything)")
        with urllib.request.urlopen(address, timeout=30) as answer:  # the home page sends strangers to sign in
            assert answer.status == 200 and answer.url.startswith(f"{address}sign-in/")
            page = answer.read().decode()
        style = re.search(r'href="(/static/[^"]+\.css)"', page)
        assert style
        with urllib.request.urlopen(address.rstrip("/") + style[1], timeout=30) as answer:
            assert "immutable" in answer.headers["Cache-Control"]
        beside = [sys.executable, "-m", "config.local", "beside-demo", sys.executable, "manage.py", "device_start"]
        token = subprocess.run(
            [*beside, "teodora@alderquill.example", "site phone"], check=True, cwd=PROJECT, env=environment(local),
            capture_output=True, text=True,
        ).stdout.strip()  # fmt: skip
        asked = urllib.request.Request(f"{address}api/jobs/", headers={"Authorization": f"Token {token}"})
        with urllib.request.urlopen(asked, timeout=30) as answer:
            assert b"Harrow Street Clinic" in answer.read()
        started = psutil.Process(demo.pid).children(recursive=True)
        commands = [" ".join(process.cmdline()) for process in started]
        for service in ("gunicorn", "worker", "beat", "redis-server|valkey-server", "postgres"):
            assert any(re.search(service, command) for command in commands), service
        demo.send_signal(signal.SIGINT)
        assert demo.wait(60) == 0
    assert left_of(started) == []
    assert not (local / "demo" / "environment.json").exists()
    assert "Stopping ..." in (local / "first").read_text()

    began = time.monotonic()
    again = subprocess.run(
        DEMO, check=False, cwd=PROJECT, env=environment(local) | {"SERVE": "0"}, capture_output=True, text=True
    )
    assert again.returncode == 0, again.stderr
    assert time.monotonic() - began < 60
    assert _results(again.stdout) == _results((local / "first").read_text())


def test_a_port_that_was_asked_for_is_never_swapped(tmp_path: Path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert (
            _refusal(tmp_path, PORT=str(port))
            == f"PORT: {port} cannot be used (Address already in use). Choose another."
        )
    assert "PORT: 'http' is not a number" in _refusal(tmp_path, PORT="http")
    assert list(tmp_path.iterdir()) == []  # refused before anything was started


def test_one_database_role_alone_is_refused(tmp_path: Path):
    assert "DATABASE_URL is set alone" in _refusal(tmp_path, SERVE="0", DATABASE_URL="postgresql://a@b/c")


def _refusal(local: Path, **more: str) -> str:
    answer = subprocess.run(
        DEMO, check=False, cwd=PROJECT, env=environment(local) | more, capture_output=True, text=True, timeout=60
    )
    assert answer.returncode == 1
    return answer.stderr.strip()


def _results(text: str) -> str:
    """What demo_report printed: between the line that all is ready and the site's address or the sign-in lines."""
    return re.split(r"\n(?:The site is at|Sign in with)", re.split(r"are ready \([\d.]+ s\)\.\n", text)[1])[0]


def _wait_for(demo: subprocess.Popen[bytes], path: Path, pattern: str, seconds: float = 120) -> str:
    until = time.monotonic() + seconds
    while not (found := re.search(pattern, path.read_text())):
        assert demo.poll() is None and time.monotonic() < until, path.read_text()
        time.sleep(0.1)
    return found[1]
