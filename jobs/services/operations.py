"""Operations: what is paid by the piece, tied to the measures of the take-off."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db import connection

from jobs.actors import Actor
from jobs.measures import MEASURES
from jobs.models import Operation
from jobs.models.work import Grain
from jobs.refusals import Mistake, not_found, raise_mistakes
from jobs.services.office import office_work, write_down
from jobs.tenancy import organisation_in_scope


@dataclass(frozen=True, slots=True)
class OperationFacts:
    """An operation: `measure` is one of `jobs.measures.MEASURES`, which also says its unit and grains."""

    code: str
    name: str
    measure: str
    grain: str
    position: int = 0


# Units and grains are common practice, no source: track and bead by the foot, studs and openings each, board and tape
# by what they cover, each level of finish (GA-214, ASTM C840, from memory) apart. A plan makes work units only of the
# measures it has.
STARTING_SET = (
    OperationFacts("TRACK", "lay out and track", "track", "wall", 10),
    OperationFacts("STUDS", "stand studs", "studs", "wall", 20),
    OperationFacts("OPENING", "frame opening", "openings", "opening", 30),
    OperationFacts("BOARD", "hang board", "board", "layer", 40),
    OperationFacts("BEAD", "corner bead", "bead", "wall", 50),
    *(
        OperationFacts(f"TAPE{level}", f"tape, level {level}", f"tape, finish level {level}", "wall", 60 + level)
        for level in range(1, 6)
    ),
    OperationFacts("SKIM", "skim coat", "skim coat", "wall", 70),
)


def operation_create(*, actor: Actor, facts: OperationFacts, now: datetime) -> Operation:
    """Add an operation. Plans imported from now on make its work units. Raises Invalid, Conflict, NotAllowed."""
    raise_mistakes(_mistakes(facts))
    with office_work(actor):
        operations_lock()
        operation = Operation.objects.create(
            code=facts.code.strip(),
            name=facts.name.strip(),
            measure=facts.measure,
            unit=MEASURES[facts.measure].unit,
            grain=facts.grain,
            position=facts.position,
        )
        after = {"code": operation.code, "measure": operation.measure, "unit": operation.unit, "grain": operation.grain}
        write_down(actor, now, "operation_create", "operation", operation.pk, after)
        return operation


def operation_switch(*, actor: Actor, operation: int, active: bool, now: datetime) -> Operation:
    """Switch an operation on or off; one that stands so already stays, without a record.

    Plans imported while it is off make none of its work units and measure none anew, but those of a wall that left the
    plan measure 0. Those that stand can still be logged and are paid. Raises NotFound, NotAllowed.
    """
    with office_work(actor):
        operations_lock()
        found = Operation.objects.filter(pk=operation).first()
        if found is None:
            raise not_found("operation", "operation", operation)
        if found.active != active:
            before, found.active = {"active": found.active}, active
            found.save(update_fields=["active"])
            write_down(actor, now, "operation_switch", "operation", found.pk, {"active": active}, before)
        return found


def operations_lock() -> None:
    """Hold the organisation's operations as they are until the transaction ends: a plan is measured by one list."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT pg_advisory_xact_lock(hashtextextended('piecewall operations', %s))", [organisation_in_scope()]
        )


def _mistakes(facts: OperationFacts) -> list[Mistake]:
    found = [
        Mistake(field, f"an operation needs a {field}.")
        for field in ("code", "name")
        if not getattr(facts, field).strip()
    ]
    measure = MEASURES.get(facts.measure)
    if measure is None:
        found.append(Mistake("measure", f"{facts.measure!r} is not measured. Use one of: {', '.join(MEASURES)}."))
    elif facts.grain not in measure.grains:
        found.append(
            Mistake(
                "grain", f"{facts.measure} is not measured by {facts.grain!r}. Use one of: {', '.join(measure.grains)}."
            )
        )
    if facts.grain not in Grain.values and measure is None:
        found.append(Mistake("grain", f"{facts.grain!r} is no grain. Use one of: {', '.join(Grain.values)}."))
    return found
