"""The words printed on papers, one frozen set a language. A new language is one more set."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

MONTHS_EN = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


@dataclass(frozen=True, slots=True)
class Words:
    """Printed words of one language."""

    statement: str
    correction: str
    week: str
    paid_to: str
    number: str
    worker_class: str
    gross: str
    earned: str
    quantity: str
    rate: str
    amount: str
    walls_behind: str
    hours: str
    hours_kind: str
    hours_all: str
    hours_overtime: str
    hours_double: str
    regular_rate: str
    no_regular_rate: str
    worked_out_above: str
    an_hour: str
    floors: str
    floor_required: str
    floor_reached: str
    floor_top_up: str
    floor_met: str
    no_floors: str
    rules: str
    cautions: str
    hash_is: str
    hash_before: str
    first_statement: str
    closed: str
    advice: str
    page: str
    kinds: dict[str, str]
    months: tuple[str, ...]
    days: tuple[str, ...]

    def day(self, day: date) -> str:
        return f"{day.day} {self.months[day.month - 1]} {day.year}"

    def span(self, first: date, last: date) -> str:
        return f"{self.day(first)} to {self.day(last)}"


ENGLISH = Words(
    statement="Statement of pay",
    correction="Corrected statement of pay",
    week="Workweek",
    paid_to="Paid to",
    number="No.",
    worker_class="Class",
    gross="Gross pay",
    earned="Earned by",
    quantity="Quantity",
    rate="Rate",
    amount="Amount",
    walls_behind="Walls behind this line",
    hours="Hours",
    hours_kind="Kind",
    hours_all="All hours worked",
    hours_overtime="of which overtime",
    hours_double="of which double time",
    regular_rate="Regular rate",
    no_regular_rate="No regular rate was needed this week.",
    worked_out_above="Worked out at the lines above.",
    an_hour="an hour",
    floors="Floors tested",
    floor_required="Required",
    floor_reached="Reached",
    floor_top_up="Added",
    floor_met="met",
    no_floors="The rule set tests no floor for this week.",
    rules="Rule set",
    cautions="To note",
    hash_is="Hash of this statement",
    hash_before="It follows",
    first_statement="the first statement of this organisation",
    closed="Closed by {who} on {on}",
    advice=(
        "Gross pay before taxes and other amounts that the employer's payroll takes or adds. Not legal or tax advice: "
        "where this and the law of the place differ, the law holds. Ask the local labour authority or a "
        "licensed payroll practice."
    ),
    page="Page {page} of {pages}",
    kinds={
        "piece": "piece work",
        "waiting": "waiting",
        "travel": "travel",
        "meeting": "meeting",
        "rework": "rework",
        "rest": "paid rest",
        "meal": "meal, unpaid",
    },
    months=MONTHS_EN,
    days=("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"),
)
