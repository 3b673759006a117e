"""The real server on the bench, killed a hundred times while two people brew: nothing lost, nothing twice."""

from __future__ import annotations

import json
import os
import random
import re
import sqlite3
import time
from collections import Counter, defaultdict
from itertools import pairwise
from pathlib import Path

import pytest

from tests.bot.telegram_bench.bench import ADA, BEN, Bench, Person
from tests.bot.telegram_bench.proxy import TO_PEOPLE, Call
from tests.bot.telegram_bench.served import Served

KILLS = int(os.environ.get("POTSIDE_KILLS", "100"))
SEED = 20260314
KINDS = ("gravity {g:.3f}", "note: n{n}", "remind me in 3 hours to look at x{n}", "remind me in 2 seconds to y{n}.")


def said(number: int) -> str:
    """Message ``number`` of a person: a reading, a note, a reminder far off, a reminder at once, and so on."""
    return KINDS[number % 4].format(n=number, g=1.040 + number / 10000)


@pytest.mark.slow
def test_hundred_kills(bench: Bench, tmp_path: Path) -> None:
    chance = random.Random(SEED)
    data = tmp_path / "diary.db"
    served = Served(bench, data, status_message="false")
    served.pair()
    bench.say(ADA, "/invite")
    link = bench.hears(ADA.id, "start=").text
    bench.say(BEN, "/start " + re.findall(r"start=([\w-]+)", link)[0])
    bench.hears(BEN.id, "Welcome")
    people = (ADA, BEN)
    for who in people:
        bench.say(who, "brew 5 litres of pale ale")
        bench.hears(who.id, "started")
    spoken: dict[Person, list[str]] = {who: [] for who in people}
    cuts: list[int] = []
    """Number of calls seen when each kill came."""
    for kill in range(KILLS):
        for who in people:
            for _ in range(chance.randrange(1, 4)):
                text = said(len(spoken[who]))
                spoken[who].append(text)
                bench.say(who, text)
        if chance.random() < 0.2:
            kind = chance.choice(("html", "drop_before", "drop_after", "half_closed", "bad_json", "retry_after"))
            bench.fault(kind, chance.choice(("sendMessage", "sendMessage", "getUpdates")), skip=chance.randrange(2))
        if chance.random() < 0.1:
            bench.fault("duplicate", "getUpdates")
        # Some kills come while it starts, most while it handles or sends.
        if kill % 10 == 9:
            time.sleep(chance.uniform(0.0, 0.6))
        else:
            served.wait_until_polling()
            time.sleep(chance.expovariate(1 / 0.05))
        served.kill()
        cuts.append(len(bench.proxy.calls))
        served = Served(bench, data, wait=False, status_message="false")
    served.wait_until_polling()
    for who in people:
        bench.say(who, "diary")
        bench.hears(who.id, "pale ale, started", 120)
    time.sleep(2.5)
    bench.quiet(1.5)
    assert served.stop() == 0
    _the_diary(data, spoken)
    for who in people:
        _what_was_told(bench, who, spoken[who], cuts)


def _the_diary(data: Path, spoken: dict[Person, list[str]]) -> None:
    diary = sqlite3.connect(data)
    assert diary.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert diary.execute("SELECT COUNT(*) FROM inbox WHERE done = 0 OR fault <> ''").fetchone()[0] == 0
    assert diary.execute("SELECT COUNT(*) FROM outbox WHERE sent = 0").fetchone()[0] == 0
    for who, texts in spoken.items():
        events = [
            (kind, json.loads(event))
            for kind, event in diary.execute(
                "SELECT kind, data FROM events WHERE chat = ? ORDER BY id", (f"telegram:{who.id}",)
            )
        ]
        # Each message was heard once, in the order in which it was sent.
        assert [each["text"] for kind, each in events if kind == "heard"][1:-1] == texts
        readings = [round(each["reading"]["value"]["value"], 4) for kind, each in events if kind == "reading"]
        assert readings == [float(text.split()[1]) for text in texts if text.startswith("gravity")]
        notes = [each["text"] for kind, each in events if kind == "note"]
        assert notes == [text.removeprefix("note: ") for text in texts if text.startswith("note")]
        fired = Counter(each["key"] for kind, each in events if kind == "fired")
        assert set(fired.values()) == {1}
        assert len(fired) == sum("2 seconds" in text for text in texts)
        waiting = [
            json.loads(row[0])["text"]
            for row in diary.execute("SELECT data FROM reminders WHERE chat = ?", (f"telegram:{who.id}",))
        ]
        far = Counter(int(found[1]) for text in waiting if (found := re.search(r"look at x(\d+)", text)))
        assert far == {number: 1 for number, text in enumerate(texts) if "3 hours" in text}
    diary.close()


def _what_was_told(bench: Bench, who: Person, texts: list[str], cuts: list[int]) -> None:
    """Every answer and reminder arrived, in order; twice only where the bot could not know that it had arrived."""
    tried = [
        (number, call)
        for number, call in enumerate(bench.proxy.calls)
        if call.method in TO_PEOPLE and call.chat == who.id
    ]
    arrived = [(number, call) for number, call in tried if call.done]
    near = {number for number, text in enumerate(texts) if "2 seconds" in text}
    told = Counter(
        int(number) for _, call in arrived if "Reminder" in call.text for number in re.findall(r"\by(\d+)", call.text)
    )
    assert set(told) == near, "a reminder was never told"

    unsure = _unsure(tried, cuts)
    again = 0
    for (_, before), (number, call) in pairwise(arrived):
        if call.text == before.text:
            assert id(before) in unsure, f"{who.name} was told twice without need: {call.text!r} (call {number})"
            again += 1
    print(f"{who.name}: {len(arrived)} messages arrived, {again} of them a second time, {len(cuts)} kills")

    # Reminders that were told twice were so for that reason alone.
    sends: dict[int, list[Call]] = defaultdict(list)
    for _, call in arrived:
        for number in set(re.findall(r"\by(\d+)", call.text)) if "Reminder" in call.text else ():
            sends[int(number)].append(call)
    for number, calls in sends.items():
        assert all(id(call) in unsure for call in calls[:-1]), f"reminder y{number} came {len(calls)} times"

    noted = [int(each) for _, call in arrived for each in re.findall(r"^Noted: n(\d+)", call.text, re.MULTILINE)]
    assert sorted(noted) == noted, "answers came out of order"
    assert set(noted) == {number for number, text in enumerate(texts) if text.startswith("note")}


def _unsure(tried: list[tuple[int, Call]], cuts: list[int]) -> set[int]:
    """Sends of which the bot could not know: the answer was lost, or it was the chat's last one before a kill."""
    lost = {id(call) for _, call in tried if call.done and (not call.answered or call.fault == "slow")}
    for cut in cuts:
        before = [call for number, call in tried if number < cut]
        if before:
            lost.add(id(before[-1]))
    return lost
