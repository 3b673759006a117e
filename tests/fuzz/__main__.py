"""Attack what reads from outside with made-up inputs, and print a table.

    python -m tests.fuzz                                   every target, a thousand inputs each
    python -m tests.fuzz --inputs 200000 understanding     one target
    python -m tests.fuzz --only 1234 understanding         one input again, shown

The same seed makes the same inputs. Exits with 1 where anything failed, took longer than the limit or grew.
"""

from __future__ import annotations

import argparse
import subprocess
import sys

from tests.fuzz.measuring import HEAD, attack, generator
from tests.fuzz.pace import spent_s
from tests.fuzz.targets import TARGETS

_SHOWN = 10


def _one(name: str, seed: int, number: int) -> int:
    made = TARGETS[name].make(generator(name, seed, number))
    print(ascii(made)[:4000])
    first, again = (1000 * spent_s(lambda: TARGETS[name].read(made)) for _ in range(2))
    print(f"{first:.1f} ms, again {again:.1f} ms")
    return 0


def _whole(name: str, inputs: int, seed: int, first: int) -> int:
    """One target in this process."""
    found = attack(name, inputs, seed, first)
    print(found.row(), flush=True)
    print(f"slowest: {name} --seed {seed} --only {found.slowest}", file=sys.stderr)
    for number, trace in found.crashes[:_SHOWN]:
        print(f"{name} --seed {seed} --only {number}\n{trace}", file=sys.stderr)
    for number, took in sorted(found.slow, key=lambda each: -each[1])[:_SHOWN]:
        print(f"{name} --seed {seed} --only {number}: {took:.1f} works", file=sys.stderr)
    return 0 if found.good else 1


def main() -> int:
    """Read the command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("targets", nargs="*", metavar="TARGET", help=f"any of {', '.join(TARGETS)}; all where none is named")
    parser.add_argument("--inputs", type=int, default=1000, help="made-up inputs for each target")
    parser.add_argument("--first", type=int, default=0, help="number of the first input")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", type=int, help="show and read one input of one target")
    parser.add_argument("--guided", action="store_true", help="let atheris, where it is installed, find its way by coverage")
    arguments = parser.parse_args()
    names = arguments.targets or list(TARGETS)
    for name in names:
        if name not in TARGETS:
            parser.error(f"no target {name}; there are {', '.join(TARGETS)}")
    if arguments.only is not None:
        return _one(names[0], arguments.seed, arguments.only)
    if arguments.guided:
        from tests.fuzz.guided import guide

        return guide(names[0], arguments.inputs, arguments.seed)
    if len(names) == 1:
        return _whole(names[0], arguments.inputs, arguments.seed, arguments.first)
    print(HEAD, flush=True)
    numbers = ["--inputs", str(arguments.inputs), "--seed", str(arguments.seed), "--first", str(arguments.first)]
    # A process each, so that one target's memory is not counted for the next.
    codes = [subprocess.run([sys.executable, "-m", "tests.fuzz", *numbers, name], check=False).returncode for name in names]
    return max(codes)


if __name__ == "__main__":
    sys.exit(main())
