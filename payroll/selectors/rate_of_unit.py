"""Which rate pays a work unit, for somebody who looks at it: by class, since one class is not another's pay."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from jobs.actors import Actor
from jobs.selectors.job_sheet import JobLine, job_line
from jobs.selectors.log_choices import unit_to_log
from jobs.selectors.reach import work_units_of
from jobs.selectors.unit_states import UnitRow
from payroll.selectors.prices import classes_of_people
from payroll.selectors.rates import RateChoice, rate_why, wall_now


@dataclass(frozen=True, slots=True)
class RateOfUnit:
    """The rate for the class asked for, or for every class where none was. `classes` are those that people have;
    `unknown` is a class asked for that nobody has."""

    job: JobLine
    unit: UnitRow
    on: date
    worker_class: str
    wall_type: str
    height_band: str
    choices: tuple[tuple[str, RateChoice], ...]
    classes: tuple[str, ...]
    unknown: str


def rate_of_unit(actor: Actor, *, unit: int, on: date, worker_class: str = "") -> RateOfUnit:
    """The rate of a work unit on a day. Raises NotFound."""
    row = unit_to_log(actor, unit)
    classes = classes_of_people()
    work_unit = work_units_of(actor).get(pk=unit)
    asked = (worker_class,) if worker_class in classes else classes if not worker_class else ()
    choices = tuple((one, rate_why(work_unit=work_unit, on=on, worker_class=one)) for one in asked)
    wall_type, band = wall_now(work_unit.wall_id)
    return RateOfUnit(
        job=job_line(actor, row.job),
        unit=row,
        on=on,
        worker_class=worker_class if choices and worker_class else "",
        wall_type=wall_type,
        height_band=band,
        choices=choices,
        classes=classes,
        unknown="" if choices or not worker_class else worker_class,
    )
