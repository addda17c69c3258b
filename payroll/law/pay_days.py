"""When wages are due: at the end of a pay period, and when somebody leaves. Told as a caution with its rule, never as
advice: what ended the work, and when, is for the office and the local authority to say.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from payroll.law import explain
from payroll.law.parameter_book import ParameterBook, ParameterMissing
from payroll.law.rules import RULE_SETS
from payroll.law.week import Because
from payroll.law.workweek import last_day as last_of_week

LET_GO, QUIT_WITH_NOTICE, QUIT_WITHOUT_NOTICE = "let go", "quit with notice", "quit without notice"
LEAVING = (LET_GO, QUIT_WITH_NOTICE, QUIT_WITHOUT_NOTICE)
FINAL_PAY_DAYS = {
    LET_GO: "final_pay_days_let_go",
    QUIT_WITH_NOTICE: "final_pay_days_notice",
    QUIT_WITHOUT_NOTICE: "final_pay_days_no_notice",
}


@dataclass(frozen=True, slots=True)
class Due:
    """The rule about when wages are due, and the latest day where it is a plain count of days."""

    rule: Because
    by: date | None

    @property
    def sentence(self) -> str:
        """`Due by 2026-11-21 at the latest. RULE (CITE; how it was checked).`"""
        return (f"Due by {self.by} at the latest. " if self.by else "") + self.sentence_of_rule

    @property
    def sentence_of_rule(self) -> str:
        return f"{self.rule.rule.rstrip('.')} ({self.rule.cite}; {self.rule.checked})."


def by_pay_period(rules: str) -> bool:
    """Whether a rule set reckons the rate of overtime over the pay period."""
    return rules in RULE_SETS and RULE_SETS[rules].place.by_pay_period


def longer_period(
    book: ParameterBook, rules: str, first_day: date, last_day: date, alone: bool = False
) -> tuple[str, ...]:
    """What must be said where a rule set reckons over the pay period, and the period is longer than a workweek.

    `alone`: the second week is priced without the first, whose figures are not known. Two sentences, or none: what is
    done, and the rule with its citation.
    """
    if not by_pay_period(rules) or last_day <= last_of_week(first_day):
        return ()
    rule = explain.because(book, rules, "regular-rate-period")
    done = (
        ", but the rate of overtime was reckoned over this workweek alone, as no closed statement under these rules "
        "tells the week before it: over the period it may come to more. Compare both before this is paid."
        if alone
        else ": its first workweek is paid by its own wages, and the second pays what overtime by the wages of both "
        "comes to above that."
    )
    return f"The pay period is {first_day} to {last_day}{done}", f"{rule.rule} ({rule.cite}.)"


def final_pay_due(book: ParameterBook, rules: str, leaving: str, last_day: date) -> Due:
    """When the pay of somebody who leaves is due under a rule set.

    Raises ParameterMissing for a rule set without such a rule, and LookupError for an unknown way of leaving.
    """
    if leaving not in LEAVING:
        raise LookupError(f"leaving {leaving!r} is unknown. Use one of {', '.join(LEAVING)}.")
    rule = explain.because(book, rules, "final-pay")
    try:
        days = book.at(rules, FINAL_PAY_DAYS[leaving], last_day)
    except ParameterMissing:
        return Due(rule, None)
    return Due(rule, last_day + timedelta(days=int(days.value)))


def pay_day_due(book: ParameterBook, rules: str, period_ends: date) -> Due:
    """When the wages of a pay period are due under a rule set. Raises ParameterMissing for one without such a rule."""
    rule = explain.because(book, rules, "pay-day")
    try:
        days = book.at(rules, "pay_day_latest", period_ends)
    except ParameterMissing:
        return Due(rule, None)
    return Due(rule, period_ends + timedelta(days=int(days.value)))
