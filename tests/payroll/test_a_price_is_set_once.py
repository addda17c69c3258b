"""Many offices set one price of one scope and day at one moment: one stands, and each of the others is told so."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.db import transaction

from jobs.refusals import Conflict
from jobs.tenancy import organisation_scope
from payroll.models import Rate
from payroll.services.rates import Scope, rate_set
from tests.jobs.world import NOW, two_worlds
from tests.support.at_once import at_once

STARTS = date(2026, 11, 16)


def test_one_price_stands_of_many(committed_db: None) -> None:
    world = two_worlds()[0]

    def enter(amount: int) -> Rate:
        scope = Scope(time_kind="waiting", worker_class="journeyman")
        return rate_set(actor=world.owner, scope=scope, amount=Decimal(amount), starts_on=STARTS, now=NOW)

    answers = at_once(enter, list(range(20, 28)))
    assert sorted(type(one).__name__ for one in answers) == ["Conflict"] * 7 + ["Rate"], answers
    told = next(one for one in answers if isinstance(one, Conflict))
    assert told.mistakes[0].path == "starts_on"
    with transaction.atomic(), organisation_scope(world.organisation):
        (rate,) = Rate.objects.filter(time_kind="waiting", worker_class="journeyman", starts_on=STARTS)
    assert rate.amount in {Decimal(amount) for amount in range(20, 28)}
