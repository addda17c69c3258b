"""Many offices enter a prevailing rate of one class and day at one moment: one stands, and each learns what became."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.db import transaction

from jobs.refusals import Conflict
from jobs.tenancy import organisation_scope
from payroll.models import PrevailingRate
from payroll.services.prevailing_rates import Determined, PrevailingLine, prevailing_rate_set
from tests.jobs.world import NOW, two_worlds
from tests.support.at_once import at_once


def test_one_stands_of_many(committed_db: None) -> None:
    world = two_worlds()[0]

    def enter(basic: int) -> PrevailingLine:
        facts = Determined(
            world.job, "journeyman", "Carpenter", Decimal(basic), Decimal(10), Decimal(0), date(2026, 11, 16), "EX 1"
        )
        return prevailing_rate_set(actor=world.owner, facts=facts, now=NOW, dry_run=False)

    answers = at_once(enter, list(range(40, 48)))
    assert {type(one) for one in answers} <= {PrevailingLine, Conflict}, answers
    with transaction.atomic(), organisation_scope(world.organisation):
        rates = list(PrevailingRate.objects.order_by("pk"))
    assert len(rates) == sum(isinstance(one, PrevailingLine) for one in answers)
    # Each after the first names the one before it as what it replaces: one stands.
    assert [rate.replaces_id for rate in rates] == [None, *(rate.pk for rate in rates[:-1])]
