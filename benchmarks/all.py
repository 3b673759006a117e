"""What Potside costs beside a baseline of the same run, and how that grows: one command, one table.

Run from the root of the checkout: ``python benchmarks/all.py`` (three minutes; ``--full`` also does 1,000 people and
prints the messenger's table behind it).
Times are processor time, so that other programs on the machine disturb them little. A goal that is missed is
marked. The messenger's own rates are in ``telegram_rate.py``, the sums in ``calc_speed.py``.
"""

from __future__ import annotations

import argparse
import os
import re
import resource
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from benchmarks import outputs  # noqa: E402
from benchmarks.rows import Row, median_s  # noqa: E402

NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)
BREW = (
    "brew 8 litres of Heather Lane bitter", "1.5 kg pale malt", "14 g Fuggle 4.8% at 60", "8 g Goldings at flame-out",
    "next", "next", "grain is in", "66.5 C", "bag out", "gravity 1.040 at 24 C", "9.6 litres", "next", "it's boiling",
    "hops in", "flame out", "next", "chilled", "7.9 l, gravity 1.045 at 21 C", "transferred", "yeast is in",
    "gravity 1.011 at 20 C", "note: smells of toast",
)  # fmt: skip
ASKED = ("gravity 1.012 at 20 C", "what's next", "67 C", "why?", "remind me tomorrow at 8 to look", "note: fine")
LIBRARIES = "pydantic, pint, sqlite_utils, rapidfuzz, platformdirs, dateparser"


def child_s(*words: str) -> float:
    """Processor seconds of a Python process, the least of five: nothing makes it faster than it is."""
    found = []
    for _ in range(5):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *words], check=True, stdout=subprocess.DEVNULL, cwd=ROOT,
                       env=os.environ | {"PYTHONPATH": str(ROOT)})  # fmt: skip
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        found.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(found)


def start_up() -> list[Row]:
    """Answering one question from nothing, beside Python importing the same libraries."""
    bare = child_s("-c", f"import {LIBRARIES}")
    ours = child_s("-m", "bot.main", "ask", "what's 1.050 at 30 C")
    return [Row("start-up: potside ask", f"{1e3 * ours:.0f} ms", f"{1e3 * bare:.0f} ms, imports alone", ours / bare)]


def core() -> list[Row]:
    """One message understood and stepped, beside one pattern, one quantity and one validated record."""
    from pydantic import BaseModel

    from calc.units import quantity
    from conversations.session.events import Heard
    from conversations.session.fold import EMPTY
    from conversations.session.state import State
    from conversations.session.step import step

    class Record(BaseModel):
        at: datetime
        value: float
        text: str

    def bare() -> None:
        for text in ASKED:
            number = re.search(r"\d+(\.\d+)?", text)
            value = quantity(float(number[0]) if number else 0.0, "degC").to("kelvin")
            Record.model_validate_json(Record(at=NOW, value=float(value.magnitude), text=text).model_dump_json())

    state: State = EMPTY
    for minute, text in enumerate(BREW):
        state = step(state, Heard(text=text), NOW + timedelta(minutes=minute)).state

    def ours() -> None:
        for text in ASKED:
            step(state, Heard(text=text), NOW + timedelta(hours=5))

    ours()
    baseline, measured = median_s(bare, 30) / len(ASKED), median_s(ours, 30) / len(ASKED)
    shown = f"{1e3 * baseline:.2f} ms, a pattern, a quantity, a record"
    return [Row("one message through the core", f"{1e3 * measured:.2f} ms", shown, measured / baseline)]


def store(folder: Path) -> list[Row]:
    """A message taken and committed, beside the same rows written with sqlite3 alone and the same durability."""
    from bot.store import Incoming, Store
    from conversations.session.events import Heard
    from conversations.session.step import step

    count = 300
    kept = Store.open(folder / "store.db")
    outcomes, state = [], kept.state("a")
    for number in range(count):
        outcome = step(state, Heard(text=f"note: n{number}"), NOW)
        state = outcome.state
        outcomes.append(outcome)
    begun = time.perf_counter()
    for number, outcome in enumerate(outcomes):
        incoming = Incoming(str(number), "a", Heard(text=f"note: n{number}"), NOW)
        kept.take(incoming.source_id, "a", incoming.message, NOW)
        kept.state("a")
        kept.commit(incoming, outcome)
    ours = (time.perf_counter() - begun) / count
    kept.close()

    plain = sqlite3.connect(folder / "plain.db", isolation_level=None)
    plain.execute("PRAGMA journal_mode = WAL")
    plain.execute("PRAGMA synchronous = FULL")
    for table in ("inbox", "events", "outbox"):
        plain.execute(f"CREATE TABLE {table} (id INTEGER PRIMARY KEY, chat TEXT, at TEXT, data TEXT, done INTEGER)")
    begun = time.perf_counter()
    for number, outcome in enumerate(outcomes):
        plain.execute("BEGIN IMMEDIATE")
        plain.execute("INSERT INTO inbox VALUES (?, 'a', '', 'x', 0)", (number,))
        plain.execute("COMMIT")
        plain.execute("BEGIN IMMEDIATE")
        plain.execute("UPDATE inbox SET done = 1 WHERE id = ?", (number,))
        for event in outcome.events:
            plain.execute("INSERT INTO events (chat, at, data) VALUES ('a', '', ?)", (event.model_dump_json(),))
        for reply in outcome.replies:
            plain.execute("INSERT INTO outbox (chat, at, data) VALUES ('a', '', ?)", (reply.model_dump_json(),))
        plain.execute("COMMIT")
    bare = (time.perf_counter() - begun) / count
    plain.close()
    shown = f"{1e3 * bare:.2f} ms, sqlite3 alone (both wait for the disk)"
    return [Row("store: one message kept and done", f"{1e3 * ours:.2f} ms", shown, ours / bare)]


def _brewed(path: Path, batches: int) -> list[int]:
    """A chat that brewed so many batches; sizes of the file after each."""
    from bot.clock import SimulatedClock
    from bot.engine import Engine
    from bot.store import Incoming, Store
    from conversations.session.events import Heard

    kept, clock = Store.open(path), SimulatedClock(NOW)
    kept._connection.execute("PRAGMA synchronous = OFF")
    engine, sizes, number = Engine(kept, clock, lambda *_: None), [], 0
    for batch in range(batches):
        for text in BREW:
            number += 1
            clock.move_to(NOW + timedelta(days=batch, minutes=number % 300))
            engine.handle(Incoming(f"0:{number}", "chat:0", Heard(text=text), clock.now()))
            engine.fire_due()
        kept._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        sizes.append(path.stat().st_size)
    kept.close()
    return sizes


def growth(folder: Path) -> list[Row]:
    """What a batch adds to the file, early and late."""
    sizes = _brewed(folder / "brewed.db", 50)
    early, late = (sizes[14] - sizes[4]) / 10, (sizes[49] - sizes[39]) / 10
    shown = f"{early / 1024:.0f} kB, batches 6 to 15"
    return [Row("file: one batch more, 41 to 50", f"{late / 1024:.0f} kB", shown, late / early, 2.0)]


def _copied(folder: Path, people: int) -> Path:
    """The file of that chat with so many chats like it."""
    path = folder / f"people{people}.db"
    with sqlite3.connect(folder / "brewed.db") as source, sqlite3.connect(path) as target:
        source.backup(target)
    target.execute("PRAGMA synchronous = OFF")
    names = {row[1] for row in target.execute("PRAGMA table_info(events)")} - {"id", "chat"}
    columns = ", ".join(sorted(names))
    for person in range(1, people):
        chat = f"chat:{person}"
        target.execute(f"INSERT INTO events (chat, {columns}) SELECT ?, {columns} FROM events WHERE chat = 'chat:0'", (chat,))
        target.execute(
            "INSERT INTO snapshots (chat, last_event, shape, state) SELECT ?, (SELECT MAX(id) FROM events), shape, state"
            " FROM snapshots WHERE chat = 'chat:0'", (chat,)
        )  # fmt: skip
    target.commit()
    target.close()
    return path


def _asked(path: Path, chats: list[str], prepare: Callable[[], None] = lambda: None) -> float:
    """Median processor seconds of one message, chats in turn."""
    from bot.clock import SimulatedClock
    from bot.engine import Engine
    from bot.store import Incoming, Store
    from conversations.session.events import Heard

    kept, clock = Store.open(path), SimulatedClock(NOW + timedelta(days=90))
    kept._connection.execute("PRAGMA synchronous = OFF")
    engine, found = Engine(kept, clock, lambda *_: None), []
    for chat in chats:
        kept.state(chat)
    for number in range(180):
        text, chat = ASKED[number % len(ASKED)], chats[number % len(chats)]
        begun = time.process_time()
        engine.handle(Incoming(f"asked:{number}", chat, Heard(text=text), clock.now()))
        found.append(time.process_time() - begun)
    kept.close()
    return statistics.median(found)


def people(folder: Path, full: bool) -> list[Row]:
    """One message as the number of people grows, 50 batches each."""
    base = _asked(_copied(folder, 1), ["chat:0"])
    rows = []
    for count in (10, 100, *((1000,) if full else ())):
        path = _copied(folder, count)
        cost = _asked(path, [f"chat:{person}" for person in range(0, count, max(1, count // 20))])
        shown = f"{1e3 * base:.2f} ms, 1 person"
        rows.append(Row(f"one message among {count} people with 50 batches each", f"{1e3 * cost:.2f} ms", shown, cost / base, 2.0))
        path.unlink()
    return rows


def one_long_batch(folder: Path) -> list[Row]:
    """One message in a batch of 10,000 readings, beside one of 50."""
    from bot.store import Incoming, Store
    from conversations.intents import Measured
    from conversations.session.events import Event, Heard
    from conversations.session.fold import fold
    from conversations.session.outcome import Outcome
    from conversations.session.state import Reading
    from conversations.session.step import step

    costs = []
    for count in (50, 10_000):
        path = folder / f"long{count}.db"
        kept = Store.open(path)
        kept._connection.execute("PRAGMA synchronous = OFF")
        state = step(kept.state("chat:0"), Heard(text="brew 8 litres of pale ale"), NOW)
        events = list(state.events)
        for number in range(count):
            reading = Reading(id=100 + number, kind="temperature", value=Measured(value=20.0, unit="degC"), stage="plan",
                              at=NOW + timedelta(minutes=number))  # fmt: skip
            events.append(Event(kind="reading", at=reading.at, batch=1, data={"reading": reading.model_dump(mode="json")}))
        incoming = Incoming("seed", "chat:0", Heard(text="x"), NOW)
        kept.take("seed", "chat:0", incoming.message, NOW)
        after = fold(kept.state("chat:0"), events)
        assert [len(batch.readings) for batch in after.batches] == [count], [(b.id, len(b.readings)) for b in after.batches]
        kept.commit(incoming, Outcome(events=tuple(events), state=after))
        kept.close()
        costs.append(_asked(path, ["chat:0"]))
    shown = f"{1e3 * costs[0]:.2f} ms, 50 readings"
    return [Row("one message in a batch of 10,000 readings", f"{1e3 * costs[1]:.2f} ms", shown, costs[1] / costs[0], 2.0)]


MEMORY = """
import re, sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from bot.clock import SimulatedClock
from bot.engine import Engine
from bot.store import Incoming, Store
from conversations.session.events import Heard
from benchmarks.all import ASKED, BREW, NOW
def resident():
    return int(re.search(r"VmRSS:\\s+(\\d+)", Path("/proc/self/status").read_text())[1]) / 1024
kept, clock = Store.open(Path(sys.argv[1])), SimulatedClock(NOW)
kept._connection.execute("PRAGMA synchronous = OFF")
engine = Engine(kept, clock, lambda *_: None)
print(resident())
for number in range(11000):
    text = BREW[number % 22] if number < 22 else ASKED[number % 4]
    clock.move_to(NOW + timedelta(minutes=number))
    engine.handle(Incoming(str(number), f"chat:{number % 20}", Heard(text=text), clock.now()))
    engine.fire_due()
    if number in (1000, 10999):
        print(resident())
"""


def memory(folder: Path) -> list[Row]:
    """Resident memory at rest, warm, and after 10,000 messages more."""
    done = subprocess.run(
        [sys.executable, "-c", MEMORY, str(folder / "memory.db")],
        check=True, capture_output=True, text=True, cwd=ROOT, env=os.environ | {"PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    rest, warm, after = (float(line) for line in done.stdout.split())
    return [Row("memory after 11,000 messages of 20 chats", f"{after:.1f} MB",
                f"{warm:.1f} MB after 1,000; {rest:.1f} MB at rest", after / warm, 1.05)]  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--full", action="store_true", help="also 1,000 people, and the messenger")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder, rows = Path(name), []
        parts: list[Callable[[], list[Row]]] = [
            start_up, core, lambda: store(folder), lambda: growth(folder), lambda: people(folder, arguments.full),
            lambda: one_long_batch(folder), lambda: memory(folder), outputs.understanding, outputs.pictures, outputs.sound,
            lambda: outputs.due_times(folder),
        ]  # fmt: skip
        for part in parts:
            rows += part()
    print(f"load of this machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores; Python {sys.version.split()[0]}\n")
    for row in rows:
        ratio = "" if row.ratio is None else f"{row.ratio:6.2f}"
        goal = "" if row.goal is None else f"<= {row.goal:g}" + ("  MISSED" if (row.ratio or 0) > row.goal else "")
        print(f"{row.what:52} {row.measured:>10}  {row.baseline:46} {ratio:>7}  {goal}".rstrip())
    if arguments.full:
        print("\nthe messenger, python benchmarks/telegram_rate.py:\n", flush=True)
        subprocess.run([sys.executable, str(ROOT / "benchmarks" / "telegram_rate.py")], check=True, cwd=ROOT)


if __name__ == "__main__":
    main()
