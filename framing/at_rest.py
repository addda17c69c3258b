"""The cyclic garbage collector at rest while a whole level is worked out.

The engine makes values without cycles: there is nothing for the collector to find, but on a large level it would walk
through all that stands again and again, and time would grow faster than the number of walls.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collector_at_rest() -> Iterator[None]:
    """Nothing is collected inside; after it the collector is as it was before.

    All that stands by then is handed to the oldest generation as it is: as young values the collector would walk
    through every one of them at once. Where a server has frozen what it loaded, that is left frozen.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            if not gc.get_freeze_count():
                gc.freeze()
                gc.unfreeze()
            gc.enable()
