"""A line of the table that ``all.py`` prints, and the clock behind it."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from typing import NamedTuple


class Row(NamedTuple):
    """One line of the table; ``ratio`` is measured to baseline, and must not exceed ``goal`` where there is one."""

    what: str
    measured: str
    baseline: str
    ratio: float | None = None
    goal: float | None = None


def median_s(work: Callable[[], object], times: int) -> float:
    """Median processor seconds of one call."""
    found = []
    for _ in range(times):
        begun = time.process_time()
        work()
        found.append(time.process_time() - begun)
    return statistics.median(found)
