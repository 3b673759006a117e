"""Time counted in a piece of work that is not ours and is done beside it: machines, and hours of one, differ by more than two.

One work is reading and writing out a module of the standard library: 34 to 62 ms on the machine of 28 November 2026, hour by hour,
and about 25 on that of the day before (worked out from what a message took on both).
"""

from __future__ import annotations

import argparse
import ast
import inspect
import time
from collections.abc import Callable
from functools import cache

TRIES = 5


@cache
def _source() -> str:
    return inspect.getsource(argparse)


def _work() -> None:
    ast.dump(ast.parse(_source()))


def spent_s(run: Callable[[], object]) -> float:
    """Processor seconds of this thread; raises what is raised."""
    begun = time.thread_time()
    run()
    return time.thread_time() - begun


@cache
def _usual_s() -> float:
    return min(spent_s(_work) for _ in range(TRIES))


def works(run: Callable[[], object], most: float) -> float:
    """How many works a run takes. One that takes more than ``most`` is run again, a work beside each, and its best counts."""
    least = spent_s(run) / _usual_s()
    for _ in range(TRIES - 1):
        if least <= most:
            break
        beside = spent_s(_work)
        least = min(least, spent_s(run) / beside)
    return least
