"""Which rate pays a work unit, for somebody who looks at it: the unit, the choice, and the classes he may ask for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from jobs.actors import Actor
from jobs.models import Person
from jobs.selectors.job_sheet import JobLine, job_line
from jobs.selectors.log_choices import unit_to_log
from jobs.selectors.reach import work_units_of
from jobs.selectors.unit_states import UnitRow
from payroll.selectors.rates import RateChoice, rate_why


@dataclass(frozen=True, slots=True)
class RateOfUnit:
    """`classes` are those that people of the organisation have."""

    job: JobLine
    unit: UnitRow
    on: date
    worker_class: str
    choice: RateChoice
    classes: tuple[str, ...]


def rate_of_unit(actor: Actor, *, unit: int, on: date, worker_class: str = "") -> RateOfUnit:
    """The rate of a work unit on a day, for a class or the first there is. Raises NotFound."""
    row = unit_to_log(actor, unit)
    classes = tuple(Person.objects.order_by("worker_class").values_list("worker_class", flat=True).distinct())
    asked = worker_class if worker_class in classes else next(iter(classes), "")
    choice = rate_why(work_unit=work_units_of(actor).get(pk=unit), on=on, worker_class=asked)
    return RateOfUnit(job_line(actor, row.job), row, on, asked, choice, classes)
