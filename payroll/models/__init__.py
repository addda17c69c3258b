"""The records of pay: rates, agreements, pay weeks, statements and what they are made of, weekly reports."""

from payroll.models.agreements import Agreement, LocalMinimum, MissedBreak
from payroll.models.papers import PapersPart
from payroll.models.periods import FinalPay, PayPeriod
from payroll.models.prevailing import PrevailingRate
from payroll.models.rates import HeightBand, Rate
from payroll.models.reports import WeeklyReport
from payroll.models.statements import JobShare, LineAllotment, Statement, StatementHours, StatementLine
from payroll.models.weeks import PayWeek

__all__ = [
    "Agreement",
    "FinalPay",
    "HeightBand",
    "JobShare",
    "LineAllotment",
    "LocalMinimum",
    "MissedBreak",
    "PapersPart",
    "PayPeriod",
    "PayWeek",
    "PrevailingRate",
    "Rate",
    "Statement",
    "StatementHours",
    "StatementLine",
    "WeeklyReport",
]
