"""Running many inputs: what each costs in processor time, what fails, and what the whole takes of memory."""

from __future__ import annotations

import resource
import traceback
from dataclasses import dataclass, field
from random import Random

from tests.fuzz.pace import works
from tests.fuzz.targets import TARGETS, Target

GROWTH_MB = 60.0
"""Memory that a process may grow by after its first thousand inputs."""
_WARM = 1000


@dataclass
class Result:
    """What came of a target."""

    target: str
    limit: float
    inputs: int = 0
    slowest_works: float = 0.0
    """The most that an input took, in works; see pace.py."""
    slowest: int = -1
    peak_mb: float = 0.0
    growth_mb: float = 0.0
    crashes: list[tuple[int, str]] = field(default_factory=list)
    slow: list[tuple[int, float]] = field(default_factory=list)

    @property
    def good(self) -> bool:
        """No crash, nothing over the limit, no growth."""
        return not self.crashes and not self.slow and self.growth_mb <= GROWTH_MB

    def row(self) -> str:
        """A row of the table."""
        return (
            f"| {self.target} | {self.inputs:,} | {len(self.crashes)} | {len(self.slow)} over {self.limit:g} | {self.slowest_works:.1f} |"
            f" {self.peak_mb:.0f} | {self.growth_mb:.0f} |"
        )


HEAD = (
    "| target | inputs | crashes | over the limit (works) | slowest (works) | peak memory (MB) | growth (MB) |\n"
    "|---|---|---|---|---|---|---|"
)


def generator(target: str, seed: int, number: int) -> Random:
    """The generator of one input, so that it can be made again without those before it."""
    return Random(f"{seed}:{target}:{number}")


def spent(target: Target, made: object) -> float:
    """Works for one input, in proportion to its length where it is longer than what the limit is for; raises what reading it raises."""
    longer = target.longer(made)
    return works(lambda: target.read(made), target.limit * longer) / longer


def _peak_mb() -> float:
    # Linux counts in kilobytes.
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def attack(name: str, inputs: int, seed: int, first: int = 0) -> Result:
    """Read so many made-up inputs."""
    target = TARGETS[name]
    result = Result(name, target.limit)
    warm_mb = 0.0
    for number in range(-3, inputs):
        # A few before the first fill caches that every process fills once.
        made = target.make(generator(name, seed, first + max(0, number)))
        if number == _WARM:
            warm_mb = _peak_mb()
        try:
            took = spent(target, made)
        except Exception:
            if number >= 0:
                result.crashes.append((first + number, traceback.format_exc(limit=-4)))
            continue
        finally:
            result.inputs = max(0, number + 1)
        if number >= 0 and took > result.slowest_works:
            result.slowest_works, result.slowest = took, first + number
        if number >= 0 and took > target.limit:
            result.slow.append((first + number, took))
    result.peak_mb = _peak_mb()
    result.growth_mb = result.peak_mb - warm_mb if warm_mb else 0.0
    return result
