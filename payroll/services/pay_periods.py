"""Pay periods: how many workweeks are paid together from a day on, and on which day."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from jobs.actors import Actor
from jobs.models import Organisation
from jobs.refusals import Conflict, Mistake, invalid, raise_mistakes
from jobs.services.office import office_work, write_down
from payroll.models import PayPeriod
from payroll.selectors.gathered import DAYS

LONGEST_WAIT = 31


def pay_period_set(
    *, actor: Actor, starts_on: date, weeks: int, pay_day_after: int, now: datetime, replaces: int | None = None
) -> PayPeriod:
    """Pay `weeks` (1 or 2) workweeks together from `starts_on` on, so many days after the period's last day.

    Closed weeks stay as they were paid; one that is corrected for another reason is priced by the periods as set then.
    Raises NotAllowed, Invalid (a day that begins no workweek, other figures than those), and Conflict: a period starts
    that day already and `replaces` does not name it.
    """
    mistakes = []
    if weeks not in (1, 2):
        mistakes.append(Mistake("weeks", f"a pay period of {weeks} workweeks is not known here. Give 1 or 2."))
    if not 0 <= pay_day_after <= LONGEST_WAIT:
        mistakes.append(
            Mistake("pay_day_after", f"{pay_day_after} days after the period's end is not from 0 to {LONGEST_WAIT}.")
        )
    raise_mistakes(mistakes)
    with office_work(actor):
        organisation = Organisation.objects.select_for_update().get(pk=actor.organisation)
        if starts_on.weekday() != organisation.workweek_start:
            begins = starts_on - timedelta(days=(starts_on.weekday() - organisation.workweek_start) % DAYS)
            raise invalid(
                "starts_on", f"{starts_on} does not begin a workweek. The week of that day began on {begins}."
            )
        stands = PayPeriod.objects.filter(starts_on=starts_on).order_by("-pk").first()
        if stands is not None and stands.pk != replaces:
            raise Conflict(Mistake("starts_on", f"a pay period starts on {starts_on} already. Replace that one."))
        made = PayPeriod.objects.create(
            starts_on=starts_on,
            weeks=weeks,
            pay_day_after=pay_day_after,
            replaces=stands,
            set_by_id=actor.membership,
            set_at=now,
        )
        after = {
            "starts_on": starts_on.isoformat(),
            "weeks": weeks,
            "pay_day_after": pay_day_after,
            "replaces": made.replaces_id,
        }
        write_down(actor, now, "pay_period_set", "pay period", made.pk, after)
        return made
