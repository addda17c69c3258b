"""Overtime by the wages of a pay period of two workweeks.

The first workweek is paid by its own wages when it is closed, for nobody knows the second yet. With the second the
wages and hours of both are known: where overtime by the period's rate comes to more than the two paid for it by
themselves, the second pays the difference. Where it comes to less, nothing is taken back.
"""

from __future__ import annotations

from fractions import Fraction

from payroll.law import week as w
from payroll.law.earnings import paid, whole_line
from payroll.law.explain import added, clock, money
from payroll.law.money import ZERO, cents
from payroll.law.rules.daily_hours import Classified
from payroll.law.rules.working import Working

PREMIUMS = ("overtime", "double")
TEXT = "overtime by the wages of the pay period"


def pay_over_period(working: Working, found: Classified) -> None:
    """A floor under the overtime premiums of both workweeks, and a line for what is missing.

    2000.00 in 40 h, then 1000.00 in 50 h with 10 h of overtime: 3000.00 / 90 h, of it half for 10 h is 166.67; the
    second week paid 100.00 by itself and pays 66.67 more.
    """
    before = working.week.week_before
    if before is None:
        return
    overtime, double = before.overtime + found.overtime, before.double + found.double
    if not (overtime or double):
        return
    by = {"overtime": working.law["overtime_multiplier"], "double": working.law["double_multiplier"]}
    parts = [(hours, by[code]) for hours, code in ((overtime, "overtime"), (double, "double")) if hours]
    counted = sum((hours * (multiplier.value - 1) for hours, multiplier in parts), Fraction(0))
    wages, hours = (before.wages, working.straight), before.hours + working.hours.total
    rate = sum(wages, Fraction(0)) / hours
    required = cents(counted * rate)
    so_far = before.premiums + paid(line for line in working.lines if line.code in PREMIUMS)
    missing = max(required - so_far, ZERO)
    weighed = " + ".join(f"{clock(each)} x ({multiplier.text} - 1)" for each, multiplier in parts)
    sum_ = (
        f"{added(wages)} / {clock(hours)} = {money(rate)} an hour; {weighed} = {clock(counted)}; {clock(counted)} x "
        f"{money(rate)} = {required}; premiums already paid {so_far}; missing {missing}"
    )
    reason = working.because("regular-rate-period", sum_, *(multiplier for _, multiplier in parts))
    working.floors.append(w.Floor("overtime-period", TEXT, required, so_far, missing, (reason,)))
    if missing:
        working.lines.append(whole_line("overtime", f"to the {TEXT}", missing, (reason,)))
