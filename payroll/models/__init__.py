"""The records of pay: rates, prevailing rates, pay weeks, statements and what they are made of, weekly reports."""

from payroll.models.papers import PapersPart
from payroll.models.prevailing import PrevailingRate
from payroll.models.rates import HeightBand, Rate
from payroll.models.reports import WeeklyReport
from payroll.models.statements import JobShare, LineAllotment, Statement, StatementHours, StatementLine
from payroll.models.weeks import PayWeek

__all__ = [
    "HeightBand",
    "JobShare",
    "LineAllotment",
    "PapersPart",
    "PayWeek",
    "PrevailingRate",
    "Rate",
    "Statement",
    "StatementHours",
    "StatementLine",
    "WeeklyReport",
]
