"""Height bands: walls from some height on, whose work may have prices of its own. One that stands is never changed."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db.models import Q

from jobs.actors import Actor
from jobs.refusals import Conflict, Mistake, invalid
from jobs.services.office import office_work, write_down
from payroll.models import HeightBand
from payroll.services.closing_lock import closing_lock

_LONGEST = 40
_PLACES = Decimal("0.0001")
_HIGHEST = Decimal(100 * 12)


def height_band_create(*, actor: Actor, name: str, from_inches: Decimal, now: datetime) -> HeightBand:
    """Name the walls from a height (inches, four decimals) up to the next band. What was paid keeps its rate.

    Raises NotAllowed, Invalid, Conflict (the name or the height stands already).
    """
    name = name.strip()
    if not name or len(name) > _LONGEST or not name.isprintable():
        raise invalid("name", f"a height band needs a name of 1 to {_LONGEST} characters, such as over 10 ft.")
    if not 0 < from_inches <= _HIGHEST or from_inches != from_inches.quantize(_PLACES):
        raise invalid("from_inches", f"{from_inches} in is no height of a wall. Give one above 0 and up to 100 ft.")
    with office_work(actor):
        closing_lock()
        stands = HeightBand.objects.filter(Q(name=name) | Q(from_inches=from_inches)).order_by("from_inches").first()
        if stands is not None:
            field, other = ("name", "name") if stands.name == name else ("from_inches", "height")
            told = f"the band {stands.name} stands from {stands.from_inches.normalize():f} in on"
            raise Conflict(Mistake(field, f"{told}. Choose another {other}."))
        band = HeightBand.objects.create(name=name, from_inches=from_inches)
        after = {"name": band.name, "from_inches": str(from_inches)}
        write_down(actor, now, "height_band_create", "height_band", band.pk, after)
        return band
