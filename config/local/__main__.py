"""`python -m config.local demo|test|lint|bench`, `with COMMAND ...` to run any command with services around it, or
`beside-demo COMMAND ...` to run one on the demo's records."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Sequence

from config.env import EnvironmentMistake
from config.local import checks, serve
from config.local.children import Refused, Stopped


def main(words: Sequence[str]) -> int:
    """Answers the exit code; a refusal is one message on standard error and 1."""
    match list(words):
        case ["demo"]:
            return serve.demo()
        case ["test", *rest]:
            return checks.test(rest)
        case ["lint"]:
            return checks.lint()
        case ["bench", *rest]:
            return checks.bench(rest)
        case ["with", *command] if command:
            return checks.around("run", command)
        case ["beside-demo", *command] if command:
            return serve.beside_demo(command)
        case _:
            print(__doc__, file=sys.stderr)
            return 2


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except (Refused, EnvironmentMistake) as refused:
        print(refused, file=sys.stderr)
        sys.exit(1)
    except Stopped as stopped:
        with contextlib.suppress(OSError):
            print(f"Stopped by {stopped}; everything it started has ended.", file=sys.stderr)
        # The demo is meant to be stopped; a check that was stopped has not passed.
        sys.exit(0 if sys.argv[1:2] == ["demo"] else 130)
