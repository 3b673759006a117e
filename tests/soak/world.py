"""A simulated house: people write, time passes, and the machine in the cupboard fails in every way that it can."""

from __future__ import annotations

import copy
import random
import shutil
import sqlite3
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.clock import SimulatedClock
from bot.engine import Engine
from bot.store import Incoming, Store
from bot.store_errors import StoreError
from conversations.session.events import Heard, Reply
from tests.soak.failing import FailingConnection, Killed, connect
from tests.soak.people import Person, Said

TROUBLES = {
    "none": 92.0, "kill": 2.5, "disk full": 0.4, "read-only": 0.4, "disk mended": 2.0, "clock step": 0.7,
    "sending": 0.9, "long stop": 0.3,
}  # fmt: skip
"""What befalls the machine before a message, and how often in about a hundred."""


class SendingFailed(Exception):
    """The messenger did not take a reply, or did and the answer was lost."""


@dataclass
class Ledger:
    """What must be true of the data file, kept beside it and rolled back with it."""

    accepted: dict[str, list[str]] = field(default_factory=dict)
    """Source ids of each chat in the order in which they were taken."""
    told: dict[str, list[str]] = field(default_factory=dict)
    """What reached each chat."""
    cut: Counter[str] = field(default_factory=Counter)
    """Sends of each chat whose answer was lost, so that they may come again."""


class World:
    """One data file, its program, and the people who write to it."""

    def __init__(self, path: Path, people: list[Person], start: datetime, seed: int) -> None:
        self.path, self.people, self.true_time = path, people, start
        self.chance = random.Random(seed)
        self.clock = SimulatedClock(start)
        self.off = timedelta()
        """How far the machine's clock is from the true time."""
        self.ledger = Ledger()
        self.happened: Counter[str] = Counter()
        self.waiting: dict[str, list[Incoming]] = {person.chat: [] for person in people}
        """Messages that the messenger still holds, because the program did not take them."""
        self._numbers = 0
        self._backup: tuple[Path, Ledger] | None = None
        self._sending = 1.0
        self._open()

    def _open(self) -> None:
        self.connection: FailingConnection = connect(self.path)
        self.store = Store(self.connection, self.path)
        # Nothing here cuts the power, so waiting for the disk would only make the weeks longer.
        self.connection.execute("PRAGMA synchronous = OFF")
        self.engine = Engine(self.store, self.clock, self._deliver)

    def _deliver(self, chat: str, reply: Reply, at: datetime) -> None:
        luck = self.chance.random()
        if luck > self._sending:
            self.happened["send failed"] += 1
            raise SendingFailed
        self.ledger.told.setdefault(chat, []).append(reply.text)
        if luck > self._sending - 0.05 and self._sending < 1:
            self.happened["answer to a send lost"] += 1
            self.ledger.cut[chat] += 1
            raise SendingFailed

    def restart(self) -> None:
        """The program is gone and comes back; what it had taken it handles now."""
        self.happened["restart"] += 1
        self.connection.kill_in = None
        # What was begun is gone with the process; without this a cursor that is still referenced keeps the lock.
        self.connection.rollback()
        self.connection.close()
        self._open()
        self._guarded(self.engine.recover)

    def _guarded(self, work: object) -> bool:
        """Do something of the engine's; False where it failed, after a restart where it was a kill."""
        assert callable(work)
        try:
            work()
        except SendingFailed:
            return True  # it is in the outbox; the next delivery brings it
        except StoreError:
            self.happened["refused by the disk"] += 1
            return False
        except Killed:
            self.happened["killed"] += 1
            # Cut off inside a send it may have reached the person, who then hears it twice.
            for chat in self.ledger.told:
                self.ledger.cut[chat] += 1
            self.restart()
            return False
        return True

    def _look(self, sql: str, *values: str) -> object:
        """Ask past the breakable connection, as somebody outside of the program would."""
        row = sqlite3.Connection.execute(self.connection, sql, values).fetchone()
        return row[0] if row else None

    def now(self) -> datetime:
        """What the machine thinks the time is."""
        return self.true_time + self.off

    def pass_to(self, when: datetime) -> None:
        """Let time pass; the program wakes for each reminder unless it is down or the disk refuses."""
        for _ in range(1000):
            first = self._look("SELECT MIN(due_utc) FROM reminders")
            due = datetime.fromisoformat(first) if isinstance(first, str) else None
            if due is None or due > when + self.off:
                break
            self.true_time = max(self.true_time, due - self.off)
            self.clock.move_to(self.now())
            if not self._guarded(self.engine.fire_due):
                break
        self.true_time = max(self.true_time, when)
        self.clock.move_to(self.now())

    def says(self, person: Person, said: Said) -> None:
        """Somebody writes; what cannot be taken stays with the messenger and comes again, in order."""
        self._numbers += 1
        here = self.clock.now().astimezone(person.zone)
        self.waiting[person.chat].append(
            Incoming(f"u{self._numbers}", person.chat, Heard(text=said.text, who=person.mark), here)
        )
        self.bring(person.chat)

    def bring(self, chat: str) -> None:
        """The messenger hands over what it holds for a chat, oldest first, until one is not taken."""
        queue = self.waiting[chat]
        while queue:
            incoming = queue[0]
            done = self._guarded(lambda: self.engine.handle(incoming))  # noqa: B023 - called at once
            if not done and not self._look("SELECT done FROM inbox WHERE source_id = ?", incoming.source_id):
                return
            self.ledger.accepted.setdefault(chat, []).append(incoming.source_id)
            del queue[0]

    def day(self, number: int) -> None:
        """One day of everybody, with its faults, and a backup at its end."""
        start = self.true_time
        said = sorted((one, person.chat) for person in self.people for one in person.day(start, number))
        by_chat = {person.chat: person for person in self.people}
        for one, chat in said:
            self._trouble()
            self.pass_to(max(one.at, self.true_time))
            self.says(by_chat[chat], one)
            if self.chance.random() < 0.01:
                self._again(chat)
        self.pass_to(max(start + timedelta(days=1), self.true_time))
        self.calm()

    def _again(self, chat: str) -> None:
        """The messenger delivers a message a second time, days later or at once."""
        taken = self.ledger.accepted.get(chat)
        if taken:
            self.happened["delivered twice"] += 1
            again = Incoming(self.chance.choice(taken), chat, Heard(text="undo"), self.clock.now())
            self._guarded(lambda: self.engine.handle(again))

    def _trouble(self) -> None:
        kind = self.chance.choices(list(TROUBLES), list(TROUBLES.values()))[0]
        match kind:
            case "kill":
                self.connection.kill_in = self.chance.randrange(1, 40)
                self.connection.after = self.chance.random() < 0.5
            case "disk full":
                self.connection.fill()
            case "read-only":
                self.connection.lock(True)
            case "clock step":
                self.off = timedelta(seconds=self.chance.choice((-90000, -7200, -600, -3, 0, 0, 5, 600, 3600, 200000)))
                self.clock.move_to(self.now())
            case "sending":
                self._sending = self.chance.choice((1.0, 0.9, 0.5, 0.0))
            case "disk mended":
                self.connection.make_room()
                self.connection.lock(False)
                for chat in self.waiting:
                    self.bring(chat)
            case "long stop":
                # Down for some hours, as when somebody needed the socket.
                self.true_time += timedelta(hours=self.chance.uniform(1, 9))
                self.clock.move_to(self.now())
                self.restart()
        self.happened[kind] += 1

    def calm(self) -> None:
        """Everything is in order again: room, right time, a messenger that answers; what waited is done."""
        self._sending = 1.0
        self.off = timedelta()
        self.clock.move_to(self.now())
        self.connection.kill_in = None
        self.connection.make_room()
        self.connection.lock(False)
        assert self._guarded(self.engine.recover)
        for chat in self.waiting:
            self.bring(chat)
            assert not self.waiting[chat]
        assert self._guarded(self.engine.fire_due)

    def back_up(self) -> None:
        """Copy the data file with SQLite's own backup, and remember what must be in it."""
        copy_path = self.path.with_name("backup.db")
        target = sqlite3.connect(copy_path)
        self.connection.backup(target)
        target.close()
        self._backup = (copy_path, copy.deepcopy(self.ledger))

    def damage_and_restore(self) -> None:
        """Pages are overwritten; the program must say so and change nothing; the last backup takes over."""
        assert self._backup is not None
        self.happened["damaged"] += 1
        self.store.close()
        content = bytearray(self.path.read_bytes())
        pages = len(content) // 4096
        for page in self.chance.sample(range(1, pages), max(1, pages // 4)):
            content[page * 4096 : (page + 1) * 4096] = bytes(self.chance.randrange(256) for _ in range(64)) * 64
        self.path.write_bytes(content)
        with pytest.raises(StoreError, match="damaged"):
            Store.open(self.path)
        assert self.path.read_bytes() == content
        backup, ledger = self._backup
        for rest in self.path.parent.glob(self.path.name + "-*"):
            rest.unlink()
        shutil.copyfile(backup, self.path)
        told = self.ledger.told
        self.ledger = copy.deepcopy(ledger)
        # What people were told since cannot be untold; it only counts for the leak check.
        self.ledger.told = {chat: list(lines) for chat, lines in told.items()}
        self._open()
        self.engine.recover()


START = datetime(2026, 9, 22, 6, 0, tzinfo=UTC)
