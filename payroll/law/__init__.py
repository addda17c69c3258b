"""What the law makes of a piece worker's week: pure, exact, dated and explained. No database, no clock, no settings.

`price(week)` is the front door; a week comes from typed records or from `read_week` of a week file. Not legal advice:
every figure names its rule and how the rule was checked, and the local authority has the last word.

Beside it: `listing` lays all numbers and rules open with their gaps, `several_places` prices a week under more than one
rule set, `what_if` and `bid` look at proposed prices and at a new plan, `certified` assembles a prevailing job's weekly
payroll.
"""

from payroll.law.agreements import Agreed, Agreement, agreed
from payroll.law.listing import Gap, Listed, listing, listing_json, listing_text
from payroll.law.money import allot, cents
from payroll.law.parameter_book import ParameterBook, ParameterMissing, ParameterMistakes, ParameterValue, the_book
from payroll.law.pricing import price
from payroll.law.readings import READINGS, Reading
from payroll.law.report import as_json, as_text
from payroll.law.rules import NAMED, RULE_SETS, RuleSet
from payroll.law.several_places import PricedPlaces, parts_of, price_places
from payroll.law.week import (
    Because,
    Bonus,
    Deduction,
    Floor,
    Line,
    MissedBreak,
    Override,
    PartGuarantee,
    PieceWork,
    PrevailingWork,
    PricedWeek,
    Terms,
    TimeWorked,
    WeekBefore,
    WeekHours,
    WeekMistakes,
    WorkerWeek,
)
from payroll.law.weekfile import read_week

__all__ = [
    "NAMED",
    "READINGS",
    "RULE_SETS",
    "Agreed",
    "Agreement",
    "Because",
    "Bonus",
    "Deduction",
    "Floor",
    "Gap",
    "Line",
    "Listed",
    "MissedBreak",
    "Override",
    "ParameterBook",
    "ParameterMissing",
    "ParameterMistakes",
    "ParameterValue",
    "PartGuarantee",
    "PieceWork",
    "PrevailingWork",
    "PricedPlaces",
    "PricedWeek",
    "Reading",
    "RuleSet",
    "Terms",
    "TimeWorked",
    "WeekBefore",
    "WeekHours",
    "WeekMistakes",
    "WorkerWeek",
    "agreed",
    "allot",
    "as_json",
    "as_text",
    "cents",
    "listing",
    "listing_json",
    "listing_text",
    "parts_of",
    "price",
    "price_places",
    "read_week",
    "the_book",
]
