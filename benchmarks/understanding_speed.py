"""What reading one message costs, beside general libraries that read dates and sentences.

Run from the root of the checkout: ``python benchmarks/understanding_speed.py``. Every message of the corpus is read a
few times by each reader in the same run, and the best time of each message is kept. Goals after start: median below
1 ms, 99th percentile below 10 ms. The baselines do less: dateparser looks for dates only, hassil knows a dozen
sentences.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from conversations.intents import Context  # noqa: E402
from conversations.understanding.beyond_sentences import read as understand  # noqa: E402
from tests.conversations.corpus import PARTS, messages  # noqa: E402

REPEATS = 3
MEDIAN_MS, SLOWEST_MS = 1.0, 10.0
HASSIL = """
language: en
intents:
  Gravity: {data: [{sentences: ["[gravity] [is] {number}", "(og|fg|sg) {number}"]}]}
  Temperature: {data: [{sentences: ["[it's|temperature|mash] {number} (degrees|c|f)"]}]}
  Volume: {data: [{sentences: ["{number} (l|litres|gallons) [in the pot]"]}]}
  StartTimer: {data: [{sentences: ["[set|start] [a] {number} (minute|minutes) timer", "[set|start] [a] timer for {number} (minutes|hours)"]}]}
  Extend: {data: [{sentences: ["add {number} minutes [to the (mash|boil|timer)]"]}]}
  Cancel: {data: [{sentences: ["cancel (the|all) [mash|boil|hop] (timer|timers)"]}]}
  Left: {data: [{sentences: ["how long [left] [on the (mash|boil|hops)]"]}]}
  Remind: {data: [{sentences: ["remind me in {number} (minutes|hours|days) to {what}"]}]}
  Grain: {data: [{sentences: ["{number} (g|kg) [of] {what} malt"]}]}
  Hops: {data: [{sentences: ["{number} g [of] {what} at {minutes}", "hops (in|are in)"]}]}
  Next: {data: [{sentences: ["(next|what's next|done|skip)"]}]}
  Help: {data: [{sentences: ["(help|undo|why|yes|no)"]}]}
lists:
  number: {range: {from: 0, to: 2000, fractions: tenths}}
  minutes: {range: {from: 0, to: 120}}
  what: {wildcard: true}
"""
Reader = Callable[[str, Context], Any]


def hassil_reader() -> Reader:
    """A bare hassil recognise over a dozen sentences."""
    import yaml
    from hassil import Intents, recognize

    intents = Intents.from_dict(yaml.safe_load(HASSIL))
    return lambda text, context: recognize(text, intents)


def dateparser_reader() -> Reader:
    """A bare search for dates in English."""
    from dateparser.search import search_dates

    return lambda text, context: search_dates(text, languages=["en"])


def times_ms(read: Reader, texts: list[tuple[str, Context]]) -> list[float]:
    """The best of a few readings of each message, in milliseconds; the first reading of all is not counted."""
    read(*texts[0])
    best = [float("inf")] * len(texts)
    # All messages before any comes again, so that nothing kept of the last one helps.
    for _ in range(REPEATS):
        for k, (text, context) in enumerate(texts):
            start = time.perf_counter()
            read(text, context)
            best[k] = min(best[k], time.perf_counter() - start)
    return [each * 1000 for each in best]


FIRST = {
    "understand": (
        "from conversations.understanding.beyond_sentences import read",
        "from datetime import datetime, timezone",
        "from conversations.intents import Context",
        "context = Context(now=datetime(2026, 11, 19, 15, 20, tzinfo=timezone.utc))",
        "call = lambda text: read(text, context)",
    ),
    "dateparser": (
        "from dateparser.search import search_dates",
        "call = lambda text: search_dates(text, languages=['en'])",
    ),
    "hassil": (
        "from benchmarks.understanding_speed import hassil_reader",
        "read = hassil_reader(); call = lambda text: read(text, None)",
    ),
}
FIRST_TEXTS = {"a reading": "66.5 degrees", "a date": "remind me on 5 December at 18:00 to bottle"}


def first_ms(reader: str, text: str) -> tuple[float, float]:
    """Milliseconds of import and of the first message, in a fresh interpreter; the middle of five."""
    lines = "\n".join(
        (
            "import time; a = time.perf_counter()",
            *FIRST[reader],
            f"b = time.perf_counter(); call({text!r}); c = time.perf_counter()",
            "print((b - a) * 1000, (c - b) * 1000)",
        )
    )
    runs = [
        tuple(map(float, subprocess.check_output([sys.executable, "-c", lines], cwd=ROOT, text=True).split()))
        for _ in range(5)
    ]
    return statistics.median(r[0] for r in runs), statistics.median(r[1] for r in runs)


def main() -> int:
    """Print the table; 1 where a goal is missed."""
    texts = [(one.text, one.context) for part in PARTS for one in messages(part)]
    readers: dict[str, Reader] = {
        "understand": understand,
        "dateparser": dateparser_reader(),
        "hassil": hassil_reader(),
    }
    found = {name: sorted(times_ms(read, texts)) for name, read in readers.items()}
    print(f"{len(texts)} messages, best of {REPEATS} readings each, milliseconds\n")
    print(f"{'reader':12}{'median':>9}{'ratio':>8}{'p99':>9}{'ratio':>8}{'slowest':>9}")
    own_median, own_slow = statistics.median(found["understand"]), found["understand"][int(0.99 * len(texts))]
    for name, times in found.items():
        middle, slow = statistics.median(times), times[int(0.99 * len(times))]
        print(f"{name:12}{middle:9.3f}{own_median / middle:8.2f}{slow:9.3f}{own_slow / slow:8.2f}{times[-1]:9.3f}")
    print("ratio: time of understand over time of that reader\n")
    print(f"{'first message in a fresh interpreter':40}{'import':>9}{'message':>9}")
    for label, text in FIRST_TEXTS.items():
        for name in readers:
            imported, message = first_ms(name, text)
            print(f"{name + ', ' + label:40}{imported:9.0f}{message:9.1f}")
    good = own_median < MEDIAN_MS and own_slow < SLOWEST_MS
    print(
        f"\ngoals (median below {MEDIAN_MS:g} ms, 99th percentile below {SLOWEST_MS:g} ms): {'met' if good else 'MISSED'}"
    )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
