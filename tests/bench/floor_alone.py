"""`python -m tests.bench.floor_alone WALLS`: a level read and counted in a process of its own, with its peak memory."""

from __future__ import annotations

import sys
import time

from framing.count import count_level
from tests.bench.floors import floor_plan, floor_text
from tests.bench.pay_run_alone import peak_megabytes


def main(walls: int) -> None:
    floor_text(walls)
    began = time.perf_counter()
    plan = floor_plan(walls)
    read = time.perf_counter()
    count_level(plan.levels[0], plan.practice)
    counted = time.perf_counter()
    number = len(plan.levels[0].walls)
    print(
        f"{number:,} walls alone: read in {read - began:.1f} s, counted in {counted - read:.1f} s "
        f"({number / (counted - read):,.0f} walls/s), peak {peak_megabytes():,} MB"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]))
