"""`make demo`: the demo contractor on this machine, its main job printed, then the site with a worker and beat."""

from __future__ import annotations

import json
import os
import socket
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Sequence
from pathlib import Path

from config import env as environment
from config.local import place, postgres, redis
from config.local.children import Children, Refused

PYTHON = sys.executable
USUAL_PORT = 8000
ENVIRONMENT = "environment.json"
TOLD = ("DATABASE_", "REDIS_", "CELERY_", "PIECEWALL_")


def demo() -> int:
    """Run the demo until Ctrl-C; with SERVE=0 only until its results are printed. Answers the exit code."""
    serves = environment.flag("SERVE", default=True)
    _commands_exist("demo_load", "demo_report")
    port = _port() if serves else 0
    with place.held("demo") as folder, Children() as children:
        began = time.monotonic()
        env = _services(children, folder)
        env["PIECEWALL_SITE_URL"] = os.environ.get("PIECEWALL_SITE_URL") or f"http://127.0.0.1:{port or USUAL_PORT}"
        _tell_environment(children, folder, env)
        _step(children, env, "migrate", "--database", "owner", "--verbosity", "0")
        sign_in = _step(children, env, "demo_load", capture=True)
        print(f"Services, tables and the demo contractor are ready ({time.monotonic() - began:.1f} s).\n", flush=True)
        _step(children, env, "demo_report")
        if serves:
            _step(children, env, "collectstatic", "--noinput", "--verbosity", "0")
            print(f"\nThe site is at {_site(children, env, folder, port)}", flush=True)
        print(f"\nSign in with (address, password, role):\n{sign_in.strip()}\n", flush=True)
        if serves:
            print(
                f"Logs are in {os.path.relpath(folder)}/log; mail is not sent but written to worker.log there.",
                flush=True,
            )
            print("Ctrl-C stops everything.", flush=True)
            ended = children.watch()
            raise Refused(f"{ended.name} stopped by itself. Its last words ({ended.log}):\n{ended.last_words()}")
    return 0


def beside_demo(command: Sequence[str]) -> int:
    """Run a command on the demo's records; answer its exit code. It uses the services of a demo that runs, and starts
    them for itself where none does."""
    if place.is_held("demo"):
        told = place.folder("demo") / ENVIRONMENT
        if not told.exists():
            raise Refused("The demo is just starting or stopping. Try again in a moment.")
        with Children() as children:
            return children.run(command, env=os.environ | json.loads(told.read_text()), folder=place.PROJECT)[0]
    with place.held("demo") as folder, Children() as children:
        return children.run(command, env=_services(children, folder), folder=place.PROJECT)[0]


def _tell_environment(children: Children, folder: Path, env: dict[str, str]) -> None:
    """Leave what others need to use the services, for our own eyes alone and for as long as they run."""
    told = folder / ENVIRONMENT
    told.unlink(missing_ok=True)
    children.at_end.append(lambda: told.unlink(missing_ok=True))
    with os.fdopen(os.open(told, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
        json.dump({name: value for name, value in env.items() if name.startswith(TOLD)}, file)


def _services(children: Children, folder: Path) -> dict[str, str]:
    """The environment of every process of the demo."""
    env = os.environ | postgres.start(children, folder, durable=True, makes_databases=False)
    env |= {
        "PIECEWALL_SECRET_KEY": os.environ.get("PIECEWALL_SECRET_KEY") or place.secret_key(folder),
        "PIECEWALL_STATIC_ROOT": str(folder / "static"),
        "PYTHONUNBUFFERED": "1",
    }
    url = redis.start(children, folder, durable=True)
    if url is not None:
        return env | {"REDIS_URL": url}
    print(
        "No Redis here (no REDIS_URL, no redis-server on PATH, none in the locked packages for this Python): "
        "Celery passes its messages through files. Enough for a demo on one machine, not for work.",
        flush=True,
    )
    queue = folder / "queue"
    for name in ("messages", "control", "results"):
        (queue / name).mkdir(parents=True, exist_ok=True)
    return env | {
        "CELERY_BROKER_URL": "filesystem://",
        "CELERY_RESULT_BACKEND": f"file://{queue / 'results'}",
        "PIECEWALL_QUEUE_FOLDER": str(queue),
    }


def _site(children: Children, env: dict[str, str], folder: Path, port: int) -> str:
    """Start the site, the worker and beat; answer the site's address once it answers."""
    address = f"http://127.0.0.1:{port}/"
    logs = folder / "log"
    celery = [PYTHON, "-m", "celery", "--app", "config"]
    worker = [*celery, "worker", "--concurrency", "2", "--loglevel", "INFO"]
    beat = [*celery, "beat", "--schedule", str(folder / "beat"), "--pidfile", "", "--loglevel", "INFO"]
    gunicorn = [PYTHON, "-m", "gunicorn", "config.wsgi", "--bind", f"127.0.0.1:{port}", "--workers", "2"]
    gunicorn += ["--threads", "4", "--access-logfile", "-"]
    site = children.start("The site", gunicorn, log=logs / "site.log", env=env, folder=place.PROJECT)
    children.start("The Celery worker", worker, log=logs / "worker.log", env=env, folder=place.PROJECT)
    children.start("Celery beat", beat, log=logs / "beat.log", env=env, folder=place.PROJECT)
    children.wait_until(lambda: _answers(address), site)
    return address


def _port() -> int:
    """PORT, or 8000, or any free one, and a line that says so. Raises Refused if a PORT that was asked for is taken."""
    asked = os.environ.get("PORT")
    if asked is not None and not asked.isdecimal():
        raise Refused(f"PORT: {asked!r} is not a number. Set it to a free port, or leave it out.")
    wanted = int(asked) if asked else USUAL_PORT
    with socket.socket() as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind(("127.0.0.1", wanted))
        except OSError as error:
            if asked:
                raise Refused(f"PORT: {wanted} cannot be used ({error.strerror}). Choose another.") from None
            port = redis.free_port()
            print(f"Port {wanted} is taken; using {port}.", flush=True)
            return port
    return wanted


def _answers(address: str) -> bool:
    try:
        with urllib.request.urlopen(address, timeout=10) as answer:  # noqa: S310 - our own loopback address
            return bool(answer.status < 500)
    except urllib.error.HTTPError as refused:
        if refused.code >= 500:
            raise Refused(f"{address} answers {refused.code}. See the site's log.") from None
        return True
    except OSError:
        return False


def _step(children: Children, env: dict[str, str], command: str, *words: str, capture: bool = False) -> str:
    code, printed = children.run([PYTHON, "manage.py", command, *words], env=env, folder=place.PROJECT, capture=capture)
    if code != 0:
        raise Refused(f"{printed}manage.py {command} failed with exit code {code}; its reason stands above.")
    return printed


def _commands_exist(*names: str) -> None:
    for name in names:
        if not any(place.PROJECT.glob(f"*/management/commands/{name}.py")):
            raise Refused(f"The demo needs the command `manage.py {name}`, which no app has. Nothing was started.")
