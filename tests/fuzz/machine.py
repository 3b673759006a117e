"""How much slower this machine is just now than the one that the limits of time were set on."""

from __future__ import annotations

import argparse
import ast
import inspect
import time

_REFERENCE_S = 0.025
"""What :func:`_work` took there: worked out on a machine where it took 0.051 s and reading a message of the corpus 1.97 ms in the
middle, which took 0.97 ms there (27 November 2026, the same code)."""
_MOST = 4.0


def _work(source: str) -> float:
    begun = time.thread_time()
    ast.dump(ast.parse(source))
    return time.thread_time() - begun


def slower() -> float:
    """By what a limit of time may be passed now: 1 on a machine as fast as that one, never more than 4.

    Measured by work that is not ours, so that our own slowness is never excused.
    """
    source = inspect.getsource(argparse)
    return min(_MOST, max(1.0, min(_work(source) for _ in range(3)) / _REFERENCE_S))
