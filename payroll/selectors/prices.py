"""The price list: every rate that is or will be in force, those that ended, and what a new one can hold for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.models import Job, Operation, Person, WallVersion
from payroll.models import HeightBand, Rate
from payroll.models.rates import PAID_BY_THE_HOUR
from payroll.selectors.rates import scope_words, tidy

ENDED, HOLDS, TO_COME = "ended", "holds", "to come"


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One rate of the price list. `ends_before` is the start of the next of the same scope, if one is set; `state`
    is ended, holds or to come."""

    rate: int
    thing: str
    unit: str
    amount: Decimal
    scope: str
    starts_on: date
    ends_before: date | None
    state: str


@dataclass(frozen=True, slots=True)
class PriceChoices:
    """What a price can be set for: operations and jobs as (id, name), and the words that scopes use."""

    operations: tuple[tuple[int, str], ...]
    time_kinds: tuple[str, ...]
    jobs: tuple[tuple[int, str], ...]
    wall_types: tuple[str, ...]
    height_bands: tuple[str, ...]
    classes: tuple[str, ...]


def price_list(*, on: date) -> list[PriceRow]:
    """Every rate ever in force, in the order of operations, scopes and starts; replaced ones are left out."""
    replaced = Rate.objects.exclude(replaces=None).values("replaces_id")
    rates = list(Rate.objects.exclude(pk__in=replaced).order_by("starts_on", "pk"))
    operations = Operation.objects.in_bulk([rate.operation_id for rate in rates if rate.operation_id])
    jobs = Job.objects.in_bulk([rate.job_id for rate in rates if rate.job_id])
    following: dict[int, date] = {}
    newest: dict[tuple[object, ...], Rate] = {}
    for rate in rates:
        scope = (rate.operation_id, rate.time_kind, rate.job_id, rate.wall_type, rate.height_band, rate.worker_class)
        if scope in newest:
            following[newest[scope].pk] = rate.starts_on
        newest[scope] = rate
    rows = []
    for rate in rates:
        ends = following.get(rate.pk)
        state = TO_COME if rate.starts_on > on else ENDED if ends is not None and ends <= on else HOLDS
        operation = operations.get(rate.operation_id)
        thing, unit = (operation.name, operation.unit) if operation else (rate.time_kind, "h")
        words = scope_words(rate, jobs[rate.job_id].name if rate.job_id else "")
        rows.append(PriceRow(rate.pk, thing, unit, tidy(rate.amount), words, rate.starts_on, ends, state))
    places = {operation.name: operation.position for operation in operations.values()}
    return sorted(rows, key=lambda row: (places.get(row.thing, 32768), row.thing, row.scope, row.starts_on))


def price_table(*, on: date) -> list[tuple[object, ...]]:
    """Prices that hold on a day and those to come, as rows of a price list: operation, time_kind, amount, starts_on,
    job, wall_type, height_band, class."""
    stand = [row.rate for row in price_list(on=on) if row.state != ENDED]
    rates = Rate.objects.select_related("operation", "job").in_bulk(stand)
    return [
        (
            rate.operation.code if rate.operation else "",
            rate.time_kind,
            tidy(rate.amount),
            rate.starts_on,
            rate.job.code if rate.job else "",
            rate.wall_type,
            rate.height_band,
            rate.worker_class,
        )
        for rate in (rates[pk] for pk in stand)
    ]


def height_band_rows() -> list[tuple[str, Decimal]]:
    """(name, first height in inches) of each band, lowest first."""
    return list(HeightBand.objects.order_by("from_inches").values_list("name", "from_inches"))


def operation_codes() -> tuple[tuple[str, str], ...]:
    """Code and name of each operation, in their order."""
    return tuple(Operation.objects.order_by("position", "pk").values_list("code", "name"))


def price_choices() -> PriceChoices:
    """Operations, jobs, wall types of the plans, height bands and people's classes of the organisation in scope."""
    types = WallVersion.objects.exclude(type_name="").order_by("type_name").values_list("type_name", flat=True)
    return PriceChoices(
        operations=tuple((one.pk, f"{one.name}, {_each(one.unit)}") for one in Operation.objects.order_by("position")),
        time_kinds=PAID_BY_THE_HOUR,
        jobs=tuple(Job.objects.order_by("name").values_list("pk", "name")),
        wall_types=tuple(types.distinct()),
        height_bands=tuple(HeightBand.objects.order_by("from_inches").values_list("name", flat=True)),
        classes=classes_of_people(),
    )


def classes_of_people() -> tuple[str, ...]:
    """Classes that people of the organisation in scope have, by name."""
    return tuple(Person.objects.order_by("worker_class").values_list("worker_class", flat=True).distinct())


def _each(unit: str) -> str:
    return unit if unit == "each" else f"a {unit}"
