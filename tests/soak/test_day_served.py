"""A day of several people and a group through the real server and real HTTP, in minutes: the clock stands in a file.

The program is killed, stopped for hours and cut off from a Bot API server that is not ours; the clocks go back that
night, and once somebody sets the machine's clock wrong. Seeded; ``POTSIDE_SOAK_SEED`` plays another day.
"""

from __future__ import annotations

import html
import json
import os
import random
import re
import sqlite3
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from itertools import zip_longest
from pathlib import Path

import pytest

from bot.store_rows import message as kept_message
from bot.telegram import household, menu
from bot.telegram.wording import pieces
from conversations.session.events import Due, Event, Heard
from conversations.session.fold import EMPTY, fold
from conversations.session.step import step
from tests.bot.telegram_bench.bench import ADA, TOKEN, Bench, Person
from tests.bot.telegram_bench.conftest import bench  # noqa: F401
from tests.bot.telegram_bench.proxy import USERNAME
from tests.bot.telegram_bench.served import Served
from tests.soak.people import Person as Brewer

pytestmark = pytest.mark.slow
SEED = int(os.environ.get("POTSIDE_SOAK_SEED", "20261024"))
START = datetime(2026, 10, 24, 7, 0, tzinfo=UTC)
"""In Lisbon the clocks go back on the night that follows."""
PEOPLE = (ADA, Person(102, "Ben"), Person(103, "Cleo"), Person(104, "Dan"))
GROUP = -5001
FAULTS = ("html", "drop_before", "drop_after", "half_closed", "bad_json", "retry_after")


class Day:
    """The server, the people, and what each of them wrote."""

    def __init__(self, bench: Bench, data: Path) -> None:  # noqa: F811
        self.bench, self.data, self.now = bench, data, START
        self.off = timedelta()
        """How far the machine's clock is from the true time."""
        self._clock = data.with_name("clock")
        self.chance = random.Random(SEED)
        self.wrote: dict[int, list[tuple[str, bool]]] = {}
        """What each chat wrote; whether it must have been heard, which of a button nobody knows."""
        self.updates: list[int] = []
        self.cuts: list[int] = []
        self.happened: Counter[str] = Counter()
        self._pressed: set[int] = set()
        self.to(START)
        self.start()

    def to(self, when: datetime) -> None:
        """Let the time be this; a reader sees the old or the new one and never half of it."""
        self.now = max(self.now, when)
        new = self._clock.with_name("clock.new")
        new.write_text((self.now + self.off).isoformat(), encoding="ascii")
        new.replace(self._clock)

    def start(self) -> None:
        self.served = Served(
            self.bench, self.data, wait=False, program=("-m", "tests.soak.served_with_clock", str(self.data), str(self._clock)),
            status_message="false", backups="2",
        )  # fmt: skip

    def kill(self) -> None:
        self.happened["killed"] += 1
        self.served.kill()
        self.cuts.append(len(self.bench.proxy.calls))

    def say(self, who: Person, text: str, chat: int | None = None) -> None:
        self.wrote.setdefault(chat or who.id, []).append((text, True))
        self.updates.append(self.bench.say(who, text, chat, date=int(self.now.timestamp())))

    def press(self, who: Person) -> None:
        """Somebody presses a button of the newest message that has any, perhaps not for the first time."""
        under = next((call for call in reversed(self.bench.sent(who.id)) if call.buttons), None)
        labels = [label for label in under.buttons if "erase" not in label] if under else []
        if under is not None and labels:
            self.happened["pressed"] += 1
            self.wrote.setdefault(who.id, []).append(("", False))
            self.updates.append(self.bench.press(who, under.buttons[self.chance.choice(labels)], under.result["message_id"]))

    def rows(self, sql: str, *values: object) -> list[tuple[object, ...]]:
        with closing(sqlite3.connect(f"file:{self.data}?mode=ro", uri=True, timeout=10)) as disk:
            return disk.execute(sql, values).fetchall()

    @staticmethod
    def _source(update: int) -> str:
        return f"telegram:{TOKEN.partition(':')[0]}:{update}"

    def settled(self) -> bool:
        """Whether all that was written is handled, all that is due has happened, and all replies have left."""
        ids = ",".join(f"'{self._source(each)}'" for each in self.updates)
        return (
            self.rows(f"SELECT COUNT(*) FROM inbox WHERE done = 1 AND source_id IN ({ids})")[0][0] == len(self.updates)
            and not self.rows("SELECT 1 FROM outbox WHERE sent = 0 LIMIT 1")
            and not self.rows("SELECT 1 FROM reminders WHERE due_utc <= ? LIMIT 1", self._machine())
        )

    def _open(self) -> list[str]:
        """What is still open."""
        known = {row[0] for row in self.rows("SELECT source_id FROM inbox WHERE done = 1")}
        return [
            f"updates: {[each for each in self.updates if self._source(each) not in known]}",
            f"unsent: {self.rows('SELECT id, address, substr(reply, 1, 200) FROM outbox WHERE sent = 0 LIMIT 5')}",
            f"due at {self._machine()}: {self.rows('SELECT * FROM reminders WHERE due_utc <= ? LIMIT 5', self._machine())}",
        ]

    def _machine(self) -> str:
        return (self.now + self.off).astimezone(UTC).isoformat(timespec="microseconds")

    def settle(self, timeout_s: float = 60.0) -> None:
        until = time.monotonic() + timeout_s
        while not self.settled():
            if self.served.process.poll() is not None or time.monotonic() > until:
                raise AssertionError("it does not settle:\n" + "\n".join([*self._open(), *self.served.said[-12:]]))
            time.sleep(0.02)

    def pass_to(self, when: datetime) -> None:
        """Time passes, from one reminder to the next."""
        while True:
            (first,) = self.rows("SELECT MIN(due_utc) FROM reminders")[0]
            if not isinstance(first, str) or datetime.fromisoformat(first) - self.off > when:
                break
            self.to(datetime.fromisoformat(first) - self.off)
            if self.chance.random() < 0.05:
                time.sleep(self.chance.uniform(0, 0.05))
                self.kill()
                self.start()
            self.settle()
        self.to(when)

    def trouble(self) -> None:
        """Something goes wrong now and then, after something was written and before it is answered."""
        luck = self.chance.random()
        if luck < 0.10:
            time.sleep(self.chance.expovariate(1 / 0.03))
            self.kill()
            if luck < 0.03 or not self.happened["stopped for hours"]:
                self.happened["stopped for hours"] += 1
                self.to(self.now + timedelta(hours=self.chance.uniform(0.2, 2)))
            self.start()
        elif luck < 0.25:
            self.happened["fault"] += 1
            self.bench.fault(
                self.chance.choice(FAULTS), self.chance.choice(("sendMessage", "sendMessage", "getUpdates")),
                skip=self.chance.randrange(2),
            )  # fmt: skip
        elif luck < 0.28:
            self.happened["update twice"] += 1
            self.bench.fault("duplicate", "getUpdates", times=2)
        elif luck < 0.30:
            self.happened["clock step"] += 1
            self.off = timedelta(minutes=self.chance.choice((-50, -3, 4))) if not self.off else timedelta()
            self.to(self.now)


@pytest.fixture
def day(bench: Bench, tmp_path: Path) -> Iterator[Day]:  # noqa: F811
    made = Day(bench, tmp_path / "diary.db")
    yield made
    made.served.stop()


def test_day_of_four_people_and_a_group(day: Day) -> None:
    bench, chance = day.bench, day.chance  # noqa: F811
    day.served.pair()
    for who in PEOPLE[1:]:
        before = len(bench.sent(ADA.id))
        bench.say(ADA, "/invite", date=int(day.now.timestamp()))
        link = bench.hears(ADA.id, "start=", after=before).text
        bench.say(who, "/start " + re.findall(r"start=([\w-]+)", link)[0])
        bench.hears(who.id, "Welcome")
    brewers = [Brewer(number, SEED) for number in range(len(PEOPLE) + 1)]
    for brewer in brewers[:3]:
        brewer._brew_day = 0
    # The first ones brew; the last one is the group, in which two write.
    said = sorted(
        (one.at, number, one.text)
        for number, brewer in enumerate(brewers)
        for one in brewer.day(START, 0)
        if one.text.strip()
    )
    for number, (at, brewer_at, text) in enumerate(said):
        day.pass_to(at)
        if brewer_at < len(PEOPLE):
            day.say(PEOPLE[brewer_at], text)
        else:
            day.say(PEOPLE[number % 2], text, GROUP)
        if chance.random() < 0.1:
            day.press(PEOPLE[min(brewer_at, len(PEOPLE) - 1)])
        day.trouble()
        if chance.random() < 0.8:
            day.settle()
    day.off = timedelta()
    day.to(day.now)
    day.settle()
    day.pass_to(START + timedelta(days=1, hours=3))
    day.settle()
    bench.quiet(1.0)
    assert day.served.stop() == 0
    _check(day, [brewer.mark for brewer in brewers])
    # Otherwise the day was too quiet to prove anything.
    for what, least in (("killed", 5), ("fault", 5), ("pressed", 3), ("stopped for hours", 1), ("reminders", 10)):
        assert day.happened[what] >= least, dict(day.happened)


def _check(day: Day, marks: list[str]) -> None:
    with closing(sqlite3.connect(day.data)) as disk:
        assert disk.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        assert disk.execute("SELECT source_id, fault FROM inbox WHERE done = 0 OR fault <> ''").fetchall() == []
        assert disk.execute("SELECT COUNT(*) FROM outbox WHERE sent = 0 OR fault <> ''").fetchone()[0] == 0
        for at, chat in enumerate([*(who.id for who in PEOPLE), GROUP]):
            _the_diary(day, disk, chat)
            _what_was_told(day, disk, chat)
            others = set(marks) - {marks[at]}
            told = "\n".join(call.text for call in day.bench.sent(chat))
            assert not set(re.findall(r"\w+", told)) & others, f"{chat} was told of another"
    assert list(day.data.with_suffix(".backups").glob("*.db")), "no daily backup"
    print(dict(day.happened))


def _about_people(text: str) -> bool:
    return any(re.fullmatch(pattern, text.strip(), re.IGNORECASE) for pattern, _ in household._COMMANDS)


def _the_diary(day: Day, disk: sqlite3.Connection, chat: int) -> None:
    """Each message had its effect once, in order: the session, asked anew, says the same events, no more, no fewer."""
    name = f"telegram:{chat}"
    rows = disk.execute(
        "SELECT message, events.at, kind, batch, data, payload, form FROM events JOIN inbox ON inbox.id = message"
        " WHERE events.chat = ? ORDER BY events.id",
        (name,),
    ).fetchall()
    messages: dict[int, list[Event]] = {}
    forms: dict[int, tuple[str, str]] = {}
    for number, at, kind, batch, data, payload, form in rows:
        event = Event(kind=kind, at=datetime.fromisoformat(at), batch=batch, data=json.loads(data))
        messages.setdefault(number, []).append(event)
        forms[number] = payload, form
    state, heard, fired = EMPTY, [], Counter[tuple[str, str]]()
    for number, events in messages.items():
        if events[0].kind == "settings_told" and state == EMPTY:
            state, events = fold(state, events[:1]), events[1:]
        first = events[0]
        said: Heard | Due
        if first.kind == "heard":
            said = Heard(text=first.data["text"], who=first.data["who"])
            heard.append(first.data["text"])
        else:
            found = kept_message(forms[number][0])
            assert isinstance(found, Due), f"{chat}: an effect without a message"
            said = found
        for event in events:
            if event.kind == "fired":
                due = state.reminders[event.data["key"]].due
                assert event.at >= due, f"{chat}: {event.data['key']} came early"
                fired[event.data["key"], due.isoformat()] += 1
        outcome = step(state, said, first.at)
        for stored, one in zip_longest(events, outcome.events):
            assert stored is not None, f"{chat}: {said} lost {one}"
            assert one is not None, f"{chat}: {said} has an effect too many: {stored}"
            assert (stored.kind, stored.at, stored.batch) == (one.kind, one.at, one.batch)
            assert stored.data == one.model_dump(mode="json")["data"]
        state = outcome.state
    assert set(fired.values()) <= {1}, f"{chat}: a reminder happened twice"
    table = dict(disk.execute("SELECT key, due_utc FROM reminders WHERE chat = ?", (name,)).fetchall())
    assert {key: datetime.fromisoformat(due) for key, due in table.items()} == {
        key: each.due.astimezone(UTC) for key, each in state.reminders.items()
    }
    # What was written was heard, once and in this order; what a button said may stand in between.
    place = 0
    for text, must in day.wrote.get(chat, []):
        if not must or _about_people(text):
            continue
        wanted = "".join(each for each in menu.as_words(text, USERNAME) if each.isprintable() or each in "\n\t")
        while place < len(heard) and heard[place] != wanted:
            place += 1
        assert place < len(heard), f"{chat}: {text!r} was not heard"
        place += 1
    pressed = sum(not must for _, must in day.wrote.get(chat, []))
    written = sum(must and not _about_people(text) for text, must in day.wrote.get(chat, []))
    assert written <= len(heard) <= written + pressed
    day.happened["readings"] += sum(event.kind == "reading" for events in messages.values() for event in events)
    day.happened["reminders"] += sum(fired.values())
    day.happened["messages"] += len(heard)


def _what_was_told(day: Day, disk: sqlite3.Connection, chat: int) -> None:
    """Every reply arrived, in order, at least once and at most twice, twice only after an answer that was cut off."""
    queued = [
        (text, bool(reply["attachments"]))
        for (row,) in disk.execute("SELECT reply FROM outbox WHERE address = ? ORDER BY id", (f"telegram:{chat}",))
        for reply in [json.loads(row)]
        for text in (pieces(reply["text"]) or [""])
    ]
    calls = [call for call in day.bench.sent(chat) if call.method == "sendMessage"]
    told = [text for call in calls for text in _plain(call.text)]
    place, again, files = 0, 0, False
    for text in told:
        if place < len(queued) and text == queued[place][0]:
            place, again, files = place + 1, 0, queued[place][1]
        elif place and text == queued[place - 1][0]:
            again += 1
            day.happened["told twice"] += 1
            assert again == 1, f"{chat} was told three times: {text!r}"
        else:
            assert files, f"{chat} was told out of order: {text!r} where {queued[place:place + 1]} was next"
    assert place == len(queued), f"{chat} was never told {queued[place]!r}"
    cut = sum(call.done and not call.answered for call in day.bench.sent(chat)) + len(day.cuts)
    assert len(told) - len(queued) <= cut or any(each for _, each in queued)


def _plain(text: str) -> list[str]:
    """A message as it was queued: without markup and without what is said of its being late."""
    text = re.sub(r"</?b>", "", text)
    text = html.unescape(text)
    if text.startswith("I could not reach you:"):
        return [re.sub(r"^(\w+day )?\d\d:\d\d ", "", each) for each in text.split("\n\n")[1:]]
    return [re.sub(r"^\(meant for [^)]*\) ", "", text)]
