"""Make the virtual environment and install exactly the locked packages. Plain Python, run before anything is installed.

Usage: python3 config/local/install.py [--rebuild-with-this-python]
A second run finds the lock unchanged and does nothing.
"""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import sys
from pathlib import Path

OLDEST = (3, 11)
PROJECT = Path(__file__).resolve().parents[2]
VENV = PROJECT / ".venv"
LOCK = PROJECT / "requirements.lock"
STAMP = VENV / "installed-from"


def main(arguments: list[str]) -> int:
    """Leave a ready environment in .venv. Answers 0, or 1 after one sentence that says what is wrong."""
    if sys.version_info < OLDEST:
        return _refuse(
            f"Piecewall needs Python {OLDEST[0]}.{OLDEST[1]} or newer; {sys.executable} is "
            f"{sys.version_info[0]}.{sys.version_info[1]}. Say which to use, as in: make demo PYTHON=python3.12"
        )
    python = VENV / "bin" / "python"
    wanted = f"python {sys.version_info[0]}.{sys.version_info[1]}\n"
    if "--rebuild-with-this-python" in arguments and _stamp()[0] not in {"", wanted}:
        shutil.rmtree(VENV)
    if not _runs(python):
        print(f"Making a virtual environment in {VENV.name}/ ...", flush=True)
        if subprocess.run([sys.executable, "-m", "venv", "--clear", str(VENV)], check=False).returncode != 0:
            return _refuse("python3 could not make a virtual environment. On Debian and Ubuntu: install python3-venv.")
    version = subprocess.run(
        [python, "-c", "import sys; print('python %d.%d' % sys.version_info[:2])"], check=True, capture_output=True
    ).stdout.decode()
    lock = hashlib.sha256(LOCK.read_bytes()).hexdigest()
    if _stamp() == (version, lock):
        return 0
    print(f"Installing the packages of {LOCK.name}, each checked against its hash ...", flush=True)
    command = [str(python), "-m", "pip", "install", "-qq", "--require-hashes", "--requirement", str(LOCK)]
    if subprocess.run(command, check=False, stdin=subprocess.DEVNULL).returncode != 0:
        return _refuse("The packages could not be installed; pip says why above. Nothing else was started.")
    STAMP.write_text(version + lock)
    return 0


def _stamp() -> tuple[str, str]:
    """The Python version line and lock hash that .venv was last installed from; empty if never finished."""
    if not STAMP.is_file():
        return "", ""
    version, _, lock = STAMP.read_text().partition("\n")
    return version + "\n", lock


def _runs(python: Path) -> bool:
    try:
        return subprocess.run([str(python), "-m", "pip", "--version"], check=False, capture_output=True).returncode == 0
    except OSError:
        return False


def _refuse(sentence: str) -> int:
    print(sentence, file=sys.stderr)
    return 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
