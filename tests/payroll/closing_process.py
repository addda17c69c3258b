"""`python -m tests.payroll.closing_process ORGANISATION MEMBERSHIP WEEK AT`: close a pay week from a process of its
own."""

from __future__ import annotations

import os
import sys
import time

import django


def main(organisation: int, membership: int, week: int, at: float) -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    from django.db import connection

    from jobs.actors import Actor
    from jobs.refusals import Refusal
    from payroll.services.payweeks import payweek_close
    from tests.payroll.world import AFTER

    connection.ensure_connection()
    time.sleep(max(0.0, at - time.time()))
    actor = Actor(organisation=organisation, membership=membership, role="owner")
    try:
        closing = payweek_close(actor=actor, pay_week=week, now=AFTER)
    except Refusal as refused:
        print(type(refused).__name__, refused)
    else:
        print("closed", closing.statements)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]), float(sys.argv[4]))
