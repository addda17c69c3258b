"""Final pay in a week that is still open: whom it paid, and whether their work changed since."""

from __future__ import annotations

from collections.abc import Mapping

from payroll.models import PayWeek, Statement
from payroll.selectors.gathered import Gathered
from payroll.selectors.late import still_says
from payroll.selectors.pricing import Stopped, drafted


def finals_changed(week: PayWeek, gathered: Gathered, final: Mapping[int, int]) -> list[int]:
    """People whose week no longer is what their final pay says. `final` gives their statements by person."""
    changed = []
    weeks = gathered.some(sorted(final)) if final else []
    for one in weeks:
        draft = drafted(one, week.first_day, gathered.names) if one.pieces or one.times else None
        statement = Statement.objects.get(pk=final[one.person])
        if draft is None or isinstance(draft, Stopped) or not still_says(statement, draft, gathered.prefix):
            changed.append(one.person)
    return changed
