"""How far one machine goes: 2,000 people who brew at once, then faster until it can't, through real HTTP on loopback.

Run from the root of the checkout: ``python benchmarks/telegram_load.py`` (about three minutes; ``--people N``,
``--quick``). The platform and `potside serve` run as in ``telegram_rate.py``, flood limits off, commits durable; both
share the machine, as would nothing at home. Each person has a batch under way and sends what a brew day's reviewed
conversation sends, at that day's pace; then all of them together send faster, step by step, until the backlog grows.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import re
import sqlite3
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from benchmarks.telegram_platform import Platform  # noqa: E402
from benchmarks.telegram_rate import Bot, everybody_paired, percentile, polling  # noqa: E402

DAY = ROOT / "fixtures" / "days" / "heather_lane_metric.reviewed"
PLATFORM_LIMIT = 30.0
"""Messages a second that the platform takes from one bot: its own documentation for bots, from memory."""
UNDER_WAY = ("brew 8 litres of pale ale", "1.5 kg pale malt", "14 g Fuggle 5% at 60", "next", "next", "grain is in")
SAID = ("66.5 C", "what's next", "how long left", "gravity 1.0{n:02d} at 24 C", "remind me in 3 hours to look", "note: n{n}",
        "8.{n} litres", "why?")  # fmt: skip


class Day(NamedTuple):
    """A brew day's traffic: messages of the person, messages to the person, hours."""

    said: int
    told: int
    hours: float


def brew_day() -> Day:
    """Counted in the reviewed conversation, from the first message to the yeast."""
    lines = [line for line in DAY.read_text(encoding="utf-8").splitlines() if re.match(r"\[\d\d:\d\d\] ", line)]
    until = next(at for at, line in enumerate(lines) if "yeast is in" in line)
    clock = [int(line[1:3]) + int(line[4:6]) / 60 for line in lines[: until + 1]]
    said = sum(line[8] == ">" for line in lines[: until + 1])
    return Day(said, until + 1 - said, clock[-1] - clock[0])


def everybody_brews(data: Path, people: int) -> None:
    """Chats 1 to ``people`` with a batch in the mash and its reminders set."""
    from bot.clock import SimulatedClock
    from bot.engine import Engine
    from bot.store import Incoming, Store
    from conversations.session.events import Heard

    everybody_paired(data, people)
    store, now = Store.open(data), datetime.now(UTC)
    engine = Engine(store, SimulatedClock(now), lambda *_: None)
    for number, text in enumerate(UNDER_WAY):
        engine.handle(Incoming(f"seed:{number}", "telegram:1", Heard(text=text), now))
    store.close()
    with sqlite3.connect(data) as db:
        for table in ("events", "reminders", "snapshots"):
            names = [row[1] for row in db.execute(f"PRAGMA table_info({table})") if row[1] not in ("id", "chat")]
            columns = ", ".join(names)
            for person in range(2, people + 1):
                db.execute(
                    f"INSERT INTO {table} (chat, {columns}) SELECT ?, {columns} FROM {table} WHERE chat = 'telegram:1'",
                    (f"telegram:{person}",),
                )
        # A snapshot names the last event that is in it.
        db.execute("UPDATE snapshots SET last_event = (SELECT MAX(id) FROM events WHERE events.chat = snapshots.chat)")
        db.execute("UPDATE outbox SET sent = 1")


class Step(NamedTuple):
    """What one rate did."""

    rate: float
    p50_ms: float
    p99_ms: float
    backlog: int
    core_percent: float
    megabytes: float


async def at_rate(platform: Platform, bot: Bot, people: int, rate: float, seconds: float, first: int) -> Step:
    """Everybody in turn at so many messages a second."""
    platform.forget()
    busy, begun, number = bot.cpu_s(), asyncio.get_running_loop().time(), 0
    while (gone := asyncio.get_running_loop().time() - begun) < seconds:
        while number < gone * rate:
            turn = first + number
            platform.offer(turn % people + 1, SAID[(turn // people + turn) % len(SAID)].format(n=turn % 50 + 10))
            number += 1
        await asyncio.sleep(0.002)
    backlog, used = platform.open, bot.cpu_s() - busy
    until = asyncio.get_running_loop().time() + 60
    while platform.open and asyncio.get_running_loop().time() < until:
        await asyncio.sleep(0.02)
    times = [each for _, each in platform.latencies]
    return Step(rate, 1e3 * percentile(times, 0.5), 1e3 * percentile(times, 0.99), backlog, 100 * used / seconds, bot.resident_mb())


async def climb(folder: Path, people: int, day: Day, quick: bool) -> list[Step]:
    """The day's own pace, then doubled again and again until a tenth of a second of messages is left waiting."""
    data = folder / "load.db"
    everybody_brews(data, people)
    platform = Platform()
    await platform.start()
    bot = Bot(platform, data)
    steps: list[Step] = []
    try:
        await polling(platform, bot)
        rate, sent = people * day.said / day.hours / 3600, 0
        while True:
            seconds = (10.0 if quick else 30.0) if not steps else (5.0 if quick else 12.0)
            steps.append(await at_rate(platform, bot, people, rate, seconds, sent))
            sent += int(rate * seconds) + 1
            if steps[-1].backlog > rate / 10:
                return steps
            rate *= 2 if rate < 150 else 1.25
    finally:
        bot.process.kill()
        platform.stop()


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--people", type=int, default=2000)
    parser.add_argument("--quick", action="store_true")
    arguments = parser.parse_args()
    day = brew_day()
    with tempfile.TemporaryDirectory() as name:
        steps = asyncio.run(climb(Path(name), arguments.people, day, arguments.quick))
    print(f"load of this machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores; Python {sys.version.split()[0]}\n")
    print(f"a brew day: {day.said} messages of the person and {day.told} to the person in {day.hours:.1f} hours")
    print(f"{arguments.people} people with a batch in the mash, each in turn:\n")
    print(f"{'offered':>10}  {'p50':>8}  {'p99':>8}  {'left waiting':>12}  {'of a core':>9}  {'memory':>7}")
    for step in steps:
        mark = "  more than it can" if step is steps[-1] else "  the day's own pace" if step is steps[0] else ""
        print(f"{step.rate:8.1f}/s  {step.p50_ms:5.0f} ms  {step.p99_ms:5.0f} ms  {step.backlog:12}  {step.core_percent:7.1f} %"
              f"  {step.megabytes:4.0f} MB{mark}")  # fmt: skip
    kept = steps[-2].rate if len(steps) > 1 else 0.0
    print(f"\nkept up with {kept:.0f} messages a second: {kept * 3600 * day.hours / day.said:,.0f} people brewing at once")
    most = PLATFORM_LIMIT * 3600 * day.hours / day.told
    print(f"the platform's {PLATFORM_LIMIT:.0f} a second for one bot is reached by {most:,.0f} people brewing at once")


if __name__ == "__main__":
    main()
