"""Running many inputs: what each costs in processor time, what fails, and what the whole takes of memory."""

from __future__ import annotations

import resource
import time
import traceback
from dataclasses import dataclass, field
from random import Random

from tests.fuzz.targets import TARGETS, Target

GROWTH_MB = 60.0
"""Memory that a process may grow by after its first thousand inputs."""
_WARM = 1000


@dataclass
class Result:
    """What came of a target."""

    target: str
    limit_ms: float
    inputs: int = 0
    slowest_ms: float = 0.0
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
            f"| {self.target} | {self.inputs:,} | {len(self.crashes)} | {len(self.slow)} over {self.limit_ms:.0f} ms | {self.slowest_ms:.0f} |"
            f" {self.peak_mb:.0f} | {self.growth_mb:.0f} |"
        )


HEAD = (
    "| target | inputs | crashes | over the limit | slowest (ms) | peak memory (MB) | growth (MB) |\n"
    "|---|---|---|---|---|---|---|"
)


def generator(target: str, seed: int, number: int) -> Random:
    """The generator of one input, so that it can be made again without those before it."""
    return Random(f"{seed}:{target}:{number}")


def spent_ms(target: Target, made: object) -> float:
    """Processor time of this thread for one input; raises what reading it raises."""
    begun = time.thread_time()
    target.read(made)
    return 1000 * (time.thread_time() - begun)


def _peak_mb() -> float:
    # Linux counts in kilobytes.
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def attack(name: str, inputs: int, seed: int, first: int = 0) -> Result:
    """Read so many made-up inputs. An input over the limit is tried twice more, since other programs disturb a clock."""
    target = TARGETS[name]
    result = Result(name, target.limit_ms)
    warm_mb = 0.0
    for number in range(-3, inputs):
        # A few before the first fill caches that every process fills once.
        made = target.make(generator(name, seed, first + max(0, number)))
        if number == _WARM:
            warm_mb = _peak_mb()
        try:
            spent = spent_ms(target, made)
            for _ in range(2):
                if spent > target.limit_ms:
                    spent = min(spent, spent_ms(target, made))
        except Exception:
            if number >= 0:
                result.crashes.append((first + number, traceback.format_exc(limit=-4)))
            continue
        finally:
            result.inputs = max(0, number + 1)
        if number >= 0 and spent > result.slowest_ms:
            result.slowest_ms, result.slowest = spent, first + number
        if number >= 0 and spent > target.limit_ms:
            result.slow.append((first + number, spent))
    result.peak_mb = _peak_mb()
    result.growth_mb = result.peak_mb - warm_mb if warm_mb else 0.0
    return result
