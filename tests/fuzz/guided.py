"""Fuzzing that follows coverage: atheris changes bytes, and keeps those that reach code which nothing reached before.

Atheris is no dependency; where it is missing this says so. It ends the process by itself.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

from tests.fuzz import files, messages
from tests.fuzz.measuring import HEAD, Result, _peak_mb, spent
from tests.fuzz.targets import NOW, TARGETS

_WATCHED = ("conversations", "bot.export.restore", "bot.telegram.buttons", "calc")


def _inputs() -> dict[str, tuple[Callable[[bytes], Any], list[bytes]]]:
    """How bytes become an input of a target, and what to begin with."""
    from conversations.intents import Context

    def text(data: bytes) -> str:
        return data.decode("utf-8", "surrogateescape")

    situations = [Context(now=NOW, stage=stage, units=units) for stage in (None, "plan", "mash", "boil", "ferment") for units in ("metric", "us")]  # type: ignore[arg-type]
    return {
        "understanding": (
            lambda data: (text(data[1:])[: messages.LONGEST], situations[(data or b"\0")[0] % len(situations)]),
            [b"\1" + each.encode() for each in messages.texts()],
        ),
        "recipe": (lambda data: (text(data)[: messages.LONGEST_RECIPE], "metric"), [each.encode() for each in messages.recipes()]),
        "buttons": (lambda data: (text(data)[:64], "telegram:11"), [b"1.0.0123456789abcdef0123", b"..", b"ff.-1.x"]),
        "import": (lambda data: data, [data for data, _ in files.diaries()]),
        "audio": (lambda data: data, list(files.sounds())),
    }


def guide(name: str, inputs: int, seed: int) -> int:
    """Read so many inputs of one target; does not come back where atheris is installed."""
    try:
        import atheris
    except ImportError:
        print("atheris is not installed here: pip install atheris", file=sys.stderr)
        return 2
    for module in [each for each in sys.modules if each.split(".")[0] in ("conversations", "calc", "bot")]:
        if module.startswith(_WATCHED):
            for thing in vars(sys.modules[module]).values():
                if callable(thing) and getattr(thing, "__module__", None) == module and hasattr(thing, "__code__"):
                    atheris.instrument_func(thing)
    made, seeds = _inputs()[name]
    target, result, shown = TARGETS[name], Result(f"{name}, guided", TARGETS[name].limit), time.monotonic()

    def once(data: bytes) -> None:
        value = made(data)
        result.inputs += 1
        took = spent(target, value)
        result.slowest_works = max(result.slowest_works, took)
        if took > target.limit:
            result.slow.append((result.inputs, took))
            print(f"{took:.1f} works: {ascii(value)[:300]}", file=sys.stderr)
        if result.inputs == inputs:
            # The fuzzer ends the process without coming back; something that is raised ends it before this.
            result.peak_mb = _peak_mb()
            print(f"{HEAD}\n{result.row()}\nin {time.monotonic() - shown:.0f} s", flush=True)

    with tempfile.TemporaryDirectory() as folder:
        for number, seed_bytes in enumerate(Random(seed).sample(seeds, min(len(seeds), 400))):
            (Path(folder) / str(number)).write_bytes(seed_bytes)
        options = [f"-runs={inputs}", f"-seed={seed}", "-max_len=8000", "-rss_limit_mb=1000", "-timeout=5", "-print_final_stats=0", "-verbosity=0"]
        atheris.Setup([sys.argv[0], *options, f"-artifact_prefix={os.devnull}.", folder], once)
        atheris.Fuzz()
    return 0
