"""`python manage.py verify_chain`: find every audit record, statement, entry, hours, rate, record of the office, budget
or measure changed behind the site."""

from __future__ import annotations

import re
from argparse import ArgumentParser
from collections.abc import Iterator
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from jobs.selectors.audit_chain import Head, audit_breaks, chain_head, unsealed_tail
from jobs.selectors.audit_facts import facts_changed
from jobs.tenancy import organisation_ids, organisation_scope
from payroll.selectors.chain_check import chain_breaks
from payroll.selectors.closing_facts import closings_changed
from payroll.selectors.office_changed import office_changed
from payroll.selectors.rate_facts import rates_changed


class Command(BaseCommand):
    help = (
        "Make every hash again and follow every link of the audit chain and the chain of statements. Names what does "
        "not fit and ends with exit code 1 if anything was found."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--organisation", type=int, help="its id; without it every organisation is checked")
        parser.add_argument("--head", help="a head printed earlier, NUMBER:HEX; needs --organisation")

    def handle(self, *args: Any, **options: Any) -> None:
        head = _head(options["head"]) if options["head"] else None
        if head is not None and options["organisation"] is None:
            raise CommandError("--head belongs to one organisation. Name it with --organisation.")
        known = organisation_ids()
        wanted = known if options["organisation"] is None else [options["organisation"]]
        if missing := set(wanted) - set(known):
            raise CommandError(f"organisation {missing.pop()} was not found. Known are: {', '.join(map(str, known))}.")
        found = sum(self._check(organisation, head) for organisation in wanted)
        if found:
            raise CommandError(
                f"{found} found. Keep the database as it is, compare it with a backup, and ask who had access to it."
            )

    def _check(self, organisation: int, head: Head | None) -> int:
        with transaction.atomic(), organisation_scope(organisation):
            found = 0
            for sentence in _all_breaks(head):
                found += 1
                self.stdout.write(f"organisation {organisation}: {sentence}")
            tail = unsealed_tail()
            words = f"head {chain_head() or 'none yet'}; not sealed yet: {tail.count}"
            if tail.oldest is not None:
                words += f", the oldest of {tail.oldest:%Y-%m-%d %H:%M:%S} UTC"
            self.stdout.write(f"organisation {organisation}: {found or 'nothing'} found; {words}.")
            return found


def _all_breaks(head: Head | None) -> Iterator[str]:
    yield from audit_breaks(head)
    for look in (chain_breaks, closings_changed, facts_changed, rates_changed, office_changed):
        yield from look()


def _head(text: str) -> Head:
    match = re.fullmatch(r"(\d{1,18}):([0-9a-fA-F]{64})", text.strip())
    if match is None:
        raise CommandError(f"{text!r} is no head. Give it as it was printed, such as 12:{'0' * 4}...")
    return Head(int(match[1]), bytes.fromhex(match[2]))
