"""Child processes that never outlive the one who started them.

Each child leads a process group of its own, so that Ctrl-C reaches the runner alone and the runner stops its children
in order, last first. Should the runner itself be killed, Linux tells each child at once.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType, TracebackType

_PR_SET_PDEATHSIG = 1
_STOP = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


class Stopped(BaseException):
    """Someone asked the runner to stop: Ctrl-C, or a signal from outside."""


class Refused(Exception):
    """Something needed is missing or did not start; the text says what, why and the next step."""


def leashed(stop_signal: signal.Signals = signal.SIGTERM, *, parent: int | None = None) -> Callable[[], None] | None:
    """For `preexec_fn`: the child gets `stop_signal` when its parent (we, if not said) dies.

    None where the system cannot do that.
    """
    if not sys.platform.startswith("linux"):
        return None
    libc = ctypes.CDLL(None, use_errno=True)
    parent = parent or os.getpid()

    def leash() -> None:
        libc.prctl(_PR_SET_PDEATHSIG, int(stop_signal), 0, 0, 0)
        if os.getppid() != parent:
            os.kill(os.getpid(), stop_signal)

    return leash


@dataclass(frozen=True, slots=True)
class User:
    """A system user that a child runs as: PostgreSQL refuses to run as root."""

    name: str
    uid: int
    gid: int


@dataclass(frozen=True, slots=True)
class Child:
    """A running service. `log` is where it writes; `patience` is how many seconds it may take to stop; `beneath` says
    that others stand on it."""

    name: str
    process: subprocess.Popen[bytes]
    log: Path
    stop_signal: signal.Signals
    patience: float
    beneath: bool = False

    def ask_to_stop(self) -> None:
        if self.process.poll() is None:
            self.process.send_signal(self.stop_signal)

    def stop(self, *, asked: bool = False) -> None:
        """Ask it to stop unless it was asked, wait, and kill its whole group if it does not: a second asking would
        make some leave their work undone."""
        if not asked:
            self.ask_to_stop()
        if self.process.poll() is None:
            with contextlib.suppress(subprocess.TimeoutExpired):
                self.process.wait(self.patience)
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    def last_words(self) -> str:
        return "\n".join(self.log.read_text(errors="replace").splitlines()[-15:])


@dataclass(slots=True)
class Children:
    """All that one run has started; leaving the `with` block stops it."""

    running: list[Child] = field(default_factory=list)
    at_end: list[Callable[[], None]] = field(default_factory=list)

    def __enter__(self) -> Children:
        for number in _STOP:
            signal.signal(number, _raise_stopped)
        if os.environ.get("MAKELEVEL") and (leash := leashed(parent=os.getppid())):
            leash()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for number in _STOP:
            signal.signal(number, signal.SIG_IGN)
        if kind is Stopped and self.running:
            with contextlib.suppress(OSError):
                print("\nStopping ...", file=sys.stderr, flush=True)
        # Those that stand on others are asked all at once and end first; the stores beneath them after that.
        for child in self.running:
            if not child.beneath:
                child.ask_to_stop()
        for child in sorted(self.running, key=lambda child: child.beneath):
            child.stop(asked=not child.beneath)
        for step in reversed(self.at_end):
            step()

    def start(
        self,
        name: str,
        command: Sequence[str],
        *,
        log: Path,
        env: Mapping[str, str] | None = None,
        folder: Path | None = None,
        user: User | None = None,
        given: bytes | None = None,
        stop_signal: signal.Signals = signal.SIGTERM,
        patience: float = 20,
        beneath: bool = False,
    ) -> Child:
        """Start a service that runs until the end. `given` is written to its standard input, which is then closed;
        `beneath` is for a store that others use, which ends after them."""
        log.parent.mkdir(parents=True, exist_ok=True)
        with log.open("ab") as output:
            process = subprocess.Popen(
                list(command),
                stdin=subprocess.DEVNULL if given is None else subprocess.PIPE,
                stdout=output,
                stderr=subprocess.STDOUT,
                env=None if env is None else dict(env),
                cwd=folder,
                start_new_session=True,
                preexec_fn=leashed(stop_signal),  # noqa: PLW1509 - the runner has one thread
                user=None if user is None else user.uid,
                group=None if user is None else user.gid,
                extra_groups=None if user is None else [],
            )
        child = Child(name, process, log, stop_signal, patience, beneath)
        self.running.append(child)
        if given is not None and process.stdin is not None:
            with process.stdin as pipe:
                pipe.write(given)
        return child

    def run(
        self, command: Sequence[str], *, env: Mapping[str, str], folder: Path, capture: bool = False
    ) -> tuple[int, str]:
        """Run a step to its end: its exit code, and what it printed if `capture`. When asked to stop, stop it first."""
        process = subprocess.Popen(
            list(command),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE if capture else None,
            env=dict(env),
            cwd=folder,
            start_new_session=True,
            preexec_fn=leashed(),  # noqa: PLW1509 - the runner has one thread
        )
        step = Child(Path(command[0]).name, process, Path(os.devnull), signal.SIGINT, 30)
        try:
            printed, _ = process.communicate()
        except BaseException:
            step.stop()
            raise
        return process.returncode, (printed or b"").decode(errors="replace")

    def wait_until(self, ready: Callable[[], bool], child: Child, seconds: float = 60) -> None:
        """Return when `ready()`. Raises Refused with the child's last words if it ends or takes too long."""
        until = time.monotonic() + seconds
        while not ready():
            if child.process.poll() is not None:
                raise Refused(f"{child.name} stopped at once. Its last words ({child.log}):\n{child.last_words()}")
            if time.monotonic() > until:
                raise Refused(
                    f"{child.name} was not ready after {seconds:.0f} s. See {child.log}:\n{child.last_words()}"
                )
            time.sleep(0.05)

    def watch(self) -> Child:
        """Wait until a service ends by itself, and name it. Raises Stopped if our terminal goes away.

        Then the system tells the terminal's first process alone, and `make` does not pass it on.
        """
        terminal = next((number for number in (0, 1, 2) if os.isatty(number)), None)
        while True:
            if terminal is not None and not _open(terminal):
                raise Stopped("the end of its terminal")
            for child in self.running:
                if child.process.poll() is not None:
                    return child
            time.sleep(0.5)


def _open(terminal: int) -> bool:
    try:
        os.tcgetpgrp(terminal)
    except OSError:
        return False
    return True


def _raise_stopped(number: int, frame: FrameType | None) -> None:
    raise Stopped(signal.Signals(number).name)
