"""How fast the bot is, beside a bare python-telegram-bot that only echoes: one table, all of it in the same run.

Run from the root of the checkout: ``python benchmarks/telegram_rate.py`` (about three minutes; ``--quick`` a third
of that). Platform and bots talk real HTTP on loopback; the bot is `potside serve` as a process, with durable
commits and its flood limits off. Latency is from an update reaching the bot to its reply leaving it.
Goals: at least 0.6 of the echo bot and 400 updates/s at no delay; at a 40 ms round trip 300/s without growing
backlog and p99 under 50 ms; one flooding chat leaves the others' p99 under 100 ms; with 100,000 reminders waiting a
start of the schedule under 50 ms, idle under 0.1 % of a core, and 1,000 due in one second in the outbox within 0.5 s.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import re
import signal
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Awaitable, Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from benchmarks.telegram_platform import Platform  # noqa: E402

CHATS = 300
TEXTS = ("gravity 1.0{n:02d}", "67 C", "what's next", "note: n{n}")
ROUND_TRIP_S = 0.040
Row = tuple[str, str, str, str]


def percentile(values: list[float], share: float) -> float:
    """Value below which this share lies; nan for none."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))] if ordered else float("nan")


def everybody_paired(data: Path, chats: int = CHATS) -> None:
    """A data file in which chats 1 to ``chats`` may talk, as after pairing and invitations, each with a batch."""
    from bot.store import Store
    from bot.telegram.access import Access
    from bot.telegram.places import Places

    store = Store.open(data)
    access, places, now = Access(store), Places(store), datetime.now(UTC)
    code = access.pairing_code()
    assert code is not None
    assert access.pair(1, "P1", code, now)
    with store.transaction() as connection:
        connection.executemany(
            "INSERT INTO people (id, name, role, since) VALUES (?, ?, 'member', ?)",
            [(chat, f"P{chat}", now.isoformat(timespec="seconds")) for chat in range(2, chats + 1)],
        )
        for chat in range(1, chats + 1):
            places.visit(f"telegram:{chat}", f"P{chat}")
    store.close()


_STARTED: list[Bot] = []


class Bot:
    """A bot as a process."""

    def __init__(self, platform: Platform, data: Path | None, in_flight: int = 0) -> None:
        """`potside serve` on a data file, or the echo bot where there is none."""
        self._keeps = data is not None
        _STARTED.append(self)
        environment = os.environ | {"PYTHONPATH": str(ROOT)}
        if data is None:
            words = [str(ROOT / "benchmarks" / "echo_bot.py"), str(platform.port), str(in_flight)]
        else:
            environment |= {
                "POTSIDE_TELEGRAM_TOKEN": "7:bench",
                "POTSIDE_TELEGRAM_BASE_URL": f"http://127.0.0.1:{platform.port}",
                "POTSIDE_TELEGRAM_RATE": "0", "POTSIDE_TELEGRAM_CHAT_RATE": "0", "POTSIDE_TELEGRAM_GROUP_RATE": "0",
                "POTSIDE_BACKUPS": "0", "POTSIDE_STATUS_MESSAGE": "false",
            }  # fmt: skip
            words = ["-m", "bot.main", "--data", str(data), "serve"]
        self.process = subprocess.Popen(
            [sys.executable, *words], env=environment, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )

    def cpu_s(self) -> float:
        """Processor time used so far."""
        return int(Path(f"/proc/{self.process.pid}/schedstat").read_text().split()[0]) / 1e9

    def resident_mb(self) -> float:
        """Memory in use."""
        found = re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{self.process.pid}/status").read_text())
        return int(found[1]) / 1024 if found else float("nan")

    def stop(self) -> None:
        """End it; it must not fail."""
        assert self.process.poll() is None, "the bot ended by itself"
        # The echo bot would first work off its queue; there is nothing in it to lose.
        self.process.send_signal(signal.SIGTERM if self._keeps else signal.SIGKILL)
        self.process.wait(30)


async def polling(platform: Platform, bot: Bot) -> None:
    """Wait until the bot fetches."""
    before, until = platform.polled, time.monotonic() + 60
    while platform.polled == before:
        assert bot.process.poll() is None
        assert time.monotonic() < until
        await asyncio.sleep(0.02)
    await asyncio.sleep(0.3)


async def replied(platform: Platform, count: int, within_s: float = 120.0) -> None:
    """Wait for so many replies."""
    until = time.monotonic() + within_s
    while len(platform.replies) < count:
        if time.monotonic() > until:
            raise TimeoutError(f"{len(platform.replies)} of {count} replies came")
        await asyncio.sleep(0.005)


async def with_bot(
    delay_s: float, data: Path | None, in_flight: int, measure: Callable[[Platform, Bot], Awaitable[Any]]
) -> Any:
    """Start platform and bot, let it warm up with one message a chat, measure, stop."""
    platform = Platform()
    await platform.start()
    bot = Bot(platform, data, in_flight)
    try:
        await polling(platform, bot)
        for chat in range(1, CHATS + 1):
            platform.offer(chat, "brew 5 litres of pale ale")
        await replied(platform, CHATS)
        await asyncio.sleep(0.5)
        platform.delay_s = delay_s
        platform.forget()
        return await measure(platform, bot)
    finally:
        bot.stop()
        platform.stop()


async def saturated(platform: Platform, bot: Bot, count: int) -> tuple[float, float]:
    """Replies a second when everything waits from the start, and ms of processor time for each."""
    for number in range(count):
        platform.offer(number % CHATS + 1, TEXTS[(number // CHATS) % 4].format(n=number % 50 + 10))
    begun, busy = time.monotonic(), bot.cpu_s()
    await replied(platform, count)
    return count / (platform.replies[count - 1][0] - begun), 1e3 * (bot.cpu_s() - busy) / count


async def offered(platform: Platform, rate: float, seconds: float, chats: range, text: str = "") -> None:
    """People write evenly, one chat after the other."""
    begun, number = time.monotonic(), 0
    while (gone := time.monotonic() - begun) < seconds:
        while number < gone * rate:
            platform.offer(chats[number % len(chats)], (text or TEXTS[number // len(chats) % 4]).format(n=number % 50 + 10))
            number += 1
        await asyncio.sleep(0.002)


async def steady(platform: Platform, rate: float, seconds: float) -> tuple[float, float, int, int]:
    """p50 and p99 in ms at an offered rate, and how much was open in the middle and at the end."""
    task = asyncio.create_task(offered(platform, rate, seconds, range(1, CHATS + 1)))
    await asyncio.sleep(seconds / 2)
    middle = platform.open
    await task
    end = platform.open
    await asyncio.sleep(1.0)
    times = [each for _, each in platform.latencies]
    return 1e3 * percentile(times, 0.5), 1e3 * percentile(times, 0.99), middle, end


async def flooded(platform: Platform, seconds: float) -> tuple[float, int]:
    """p99 of the others in ms while chat 1 writes 200 a second, and how many of theirs were counted."""
    await asyncio.gather(
        offered(platform, 200, seconds, range(1, 2), "note: flood {n}"),
        offered(platform, 40, seconds, range(2, CHATS + 1)),
    )
    await asyncio.sleep(1.0)
    others = [each for chat, each in platform.latencies if chat != 1]
    return 1e3 * percentile(others, 0.99), len(others)


def many_reminders(data: Path, chats: int, each: int, due: datetime, at_once: datetime | None) -> None:
    """Reminders far off in many chats, and one more a chat that falls due at ``at_once``."""
    from bot.store import Incoming, Store
    from conversations.session.events import Event, Heard, Reminder
    from conversations.session.fold import fold
    from conversations.session.outcome import Outcome

    store, now = Store.open(data), datetime.now(UTC)
    with store.transaction():
        for chat in range(1, chats + 1):
            address, events = f"telegram:{chat}", []
            for number in range(each):
                reminder = Reminder(key=f"r{number}", due=due + timedelta(seconds=number), text=f"Reminder: {number}.")
                events.append(Event(kind="reminder_set", at=now, data={"reminder": reminder.model_dump(mode="json")}))
            if at_once is not None:
                # Asked for just now, so that it comes in quiet hours as well, in which this may be run.
                asked = {"asked": now.isoformat()}
                reminder = Reminder(key="now", due=at_once, text="Reminder: stir.", data=asked)
                events.append(Event(kind="reminder_set", at=now, data={"reminder": reminder.model_dump(mode="json")}))
            incoming = Incoming(f"seed:{chat}:{now.timestamp()}", address, Heard(text="x"), now)
            store.take(incoming.source_id, address, incoming.message, now)
            state = fold(store.state(address), events)
            store.commit(incoming, Outcome(events=tuple(events), state=state))
    store.close()


def schedule_start_ms(data: Path) -> tuple[float, float]:
    """Milliseconds of the first look at the table of due times, and of opening the file."""
    from bot.clock import SystemClock
    from bot.engine import Engine
    from bot.store import Store
    from bot.telegram.places import Places
    from bot.telegram.schedule import Schedule

    clock = SystemClock()
    begun = time.perf_counter()
    store = Store.open(data)
    opened = time.perf_counter()
    # Imports of the session are not part of what is measured: they cost the same without any reminder.
    engine, places = Engine(store, clock, lambda *_: None), Places(store)
    looked = time.perf_counter()
    Schedule(engine, places, clock, lambda *_: None).tick()
    ticked = time.perf_counter()
    store.close()
    return 1e3 * (ticked - looked), 1e3 * (opened - begun)


async def reminders(folder: Path, quick: bool) -> list[Row]:
    """100,000 waiting; then 1,000 of them due at the same second."""
    data = folder / "reminders.db"
    everybody_paired(data, 1000)
    many_reminders(data, 1000, 20 if quick else 100, datetime.now(UTC) + timedelta(days=30), None)
    start, opening = schedule_start_ms(data)
    waiting = sqlite3.connect(data).execute("SELECT COUNT(*) FROM reminders").fetchone()[0]
    rows: list[Row] = [
        ("first look at the due times", f"{start:.1f} ms", "< 50 ms", f"{waiting} waiting; opening and checking the file {opening:.0f} ms")
    ]  # fmt: skip
    platform = Platform()
    await platform.start()
    bot = Bot(platform, data)
    await polling(platform, bot)
    await asyncio.sleep(2.0)
    seconds = 10 if quick else 30
    before = bot.cpu_s()
    await asyncio.sleep(seconds)
    idle = 100 * (bot.cpu_s() - before) / seconds
    rows.append(("idle with them waiting", f"{idle:.3f} % of a core", "< 0.1 %", f"{bot.resident_mb():.0f} MB resident"))
    bot.stop()

    at_once = (datetime.now(UTC) + timedelta(seconds=45)).replace(microsecond=0)
    many_reminders(data, 1000, 0, datetime.now(UTC), at_once)
    bot = Bot(platform, data)
    await polling(platform, bot)
    assert datetime.now(UTC) < at_once, "the machine is too slow to be ready in time"
    reader = sqlite3.connect(data)
    before_count = reader.execute("SELECT COUNT(*) FROM outbox").fetchone()[0]
    first = last = float("nan")
    while datetime.now(UTC) < at_once + timedelta(seconds=20):
        count = reader.execute("SELECT COUNT(*) FROM outbox").fetchone()[0] - before_count
        now = (datetime.now(UTC) - at_once).total_seconds()
        if count and first != first:
            first = now
        if count >= 1000:
            last = now
            break
        await asyncio.sleep(0.005)
    await replied(platform, 1000)
    rows.append((
        "1,000 due in one second: in the outbox", f"{last - first:.2f} s", "< 0.5 s",
        f"from the first commit seen to the last; {last:.2f} s after the second they were due",
    ))  # fmt: skip
    bot.stop()
    platform.stop()
    return rows


async def rates(folder: Path, quick: bool) -> list[Row]:
    """The table without the reminders."""
    count = 1200 if quick else 3600
    seconds = 5.0 if quick else 15.0
    runs = 1 if quick else 3
    measured: dict[str, list[tuple[float, float]]] = {}
    resident = 0.0
    for run in range(runs):  # one after the other and again, so that a busy moment hits all of them
        for name, in_flight in (("stock echo", 0), ("echo, 32 in flight", 32)):
            found = await with_bot(0.0, None, in_flight, lambda platform, bot: saturated(platform, bot, count))
            measured.setdefault(name, []).append(found)
        data = folder / f"rate{run}.db"
        everybody_paired(data)

        async def both(platform: Platform, bot: Bot) -> tuple[tuple[float, float], float]:
            return await saturated(platform, bot, count), bot.resident_mb()

        found, resident = await with_bot(0.0, data, 0, both)
        measured.setdefault("potside", []).append(found)
    (stock, stock_cpu), (wide, wide_cpu), (ours, our_cpu) = (
        tuple(statistics.median(each[part] for each in measured[name]) for part in (0, 1))
        for name in ("stock echo", "echo, 32 in flight", "potside")
    )
    rows: list[Row] = [
        ("stock echo bot, no delay", f"{stock:.0f}/s", "", f"{stock_cpu:.2f} ms of processor time each"),
        ("echo bot with 32 in flight, no delay", f"{wide:.0f}/s", "", f"{wide_cpu:.2f} ms; keeps no order within a chat"),
        ("potside serve, no delay", f"{ours:.0f}/s", ">= 400/s", f"{our_cpu:.2f} ms; {resident:.0f} MB resident"),
        ("  ratio to the stock echo bot", f"{ours / stock:.2f}", ">= 0.6", f"to 32 in flight {ours / wide:.2f}"),
    ]
    stock_slow = await with_bot(ROUND_TRIP_S, None, 0, lambda platform, bot: steady(platform, 30, seconds))
    rows.append((
        "stock echo, 40 ms, 30/s offered", f"p99 {stock_slow[1]:.0f} ms", "",
        f"open in the middle {stock_slow[2]}, at the end {stock_slow[3]}",
    ))  # fmt: skip
    data = folder / "delay.db"
    everybody_paired(data)
    slow = await with_bot(ROUND_TRIP_S, data, 0, lambda platform, bot: steady(platform, 300, seconds))
    rows.append((
        "potside, 40 ms, 300/s offered", f"p99 {slow[1]:.0f} ms", "< 50 ms",
        f"p50 {slow[0]:.1f} ms; open in the middle {slow[2]}, at the end {slow[3]}",
    ))  # fmt: skip
    data = folder / "flood.db"
    everybody_paired(data)
    others, number = await with_bot(ROUND_TRIP_S, data, 0, lambda platform, bot: flooded(platform, seconds))
    rows.append(("one chat floods at 200/s: the others", f"p99 {others:.0f} ms", "< 100 ms", f"{number} replies of others"))
    return rows


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--only", choices=("rates", "reminders"))
    arguments = parser.parse_args()
    rows: list[Row] = []
    with tempfile.TemporaryDirectory() as name:
        try:
            if arguments.only != "reminders":
                rows += asyncio.run(rates(Path(name), arguments.quick))
            if arguments.only != "rates":
                rows += asyncio.run(reminders(Path(name), arguments.quick))
        finally:
            for bot in _STARTED:
                bot.process.kill()
    print(f"load of this machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores; Python {sys.version.split()[0]}\n")
    widths = [max(len(row[column]) for row in rows) for column in range(3)]
    for row in rows:
        print("  ".join(text.ljust(width) for text, width in zip(row, (*widths, 0), strict=True)).rstrip())


if __name__ == "__main__":
    main()
