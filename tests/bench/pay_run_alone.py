"""`python -m tests.bench.pay_run_alone ORGANISATION MEMBERSHIP WEEK`: a pay run in a process of its own, then undone.

Prints the peak resident memory of the process in megabytes.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

import django


def main(organisation: int, membership: int, week: int) -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    from django.db import transaction

    from jobs.actors import Actor
    from payroll.services.payweeks import payweek_close
    from tests.payroll.world import AFTER

    with transaction.atomic():
        payweek_close(actor=Actor(organisation, membership, "owner"), pay_week=week, now=AFTER)
        transaction.set_rollback(True)
    print(peak_megabytes())


def peak_megabytes() -> int:
    """Peak resident memory since this program began. `ru_maxrss` would start at what the calling process had."""
    status = Path("/proc/self/status").read_text()
    return int(status.partition("VmHWM:")[2].split()[0]) // 1024


if __name__ == "__main__":
    main(*(int(given) for given in sys.argv[1:4]))
