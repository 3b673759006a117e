"""One SQLite file that holds everything: what came in, the diary, due times, and what is still to be sent.

A message is handled in one transaction: its inbox row becomes done, its events are appended, the table of due
times becomes equal to the state's reminders, and its replies are queued. So a program that is killed at any
moment has handled a message wholly or not at all.
"""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

from sqlite_utils import Database

from bot.attachments import FoundText
from bot.store_errors import StoreChanged, StoreError, saying
from bot.store_schema import known, migrations
from bot.store_search import search
from conversations.session.events import Due, Event, Heard, Reminder, Reply
from conversations.session.fold import EMPTY, fold
from conversations.session.outcome import Outcome
from conversations.session.state import State

SNAPSHOT_EVERY = 50
"""Events of a chat between two snapshots: folding this many takes less time than a screen refresh."""


class Incoming(NamedTuple):
    """One thing to handle, with the id under which its sender would deliver it again."""

    source_id: str
    chat: str
    message: Heard | Due
    at: datetime


class DueTime(NamedTuple):
    """A reminder of a chat and when it falls due, in UTC."""

    chat: str
    key: str
    due: datetime


class Unsent(NamedTuple):
    """A committed reply that nobody has confirmed yet."""

    id: int
    at: datetime
    reply: Reply


class ChatDiary(NamedTuple):
    """The diary of one chat, as makers of attachments read it."""

    store: Store
    chat: str

    @property
    def state(self) -> State:
        """The state of the chat as committed."""
        return self.store.state(self.chat)

    def events(self) -> list[Event]:
        """Every event of the chat, oldest first."""
        return [event for _, _, event in self.store.events(self.chat)]

    def search(self, query: str, limit: int = 20) -> list[FoundText]:
        """What the person said and noted that holds these words, newest first."""
        return self.store.search(self.chat, query, limit)


def _utc(when: datetime) -> str:
    """Text of fixed width, so that the order of the text is the order in time."""
    return when.astimezone(UTC).isoformat(timespec="microseconds")


def _payload(message: Heard | Due) -> str:
    kind = "heard" if isinstance(message, Heard) else "due"
    return json.dumps({"kind": kind, **message.model_dump(mode="json")})


def _message(payload: str) -> Heard | Due:
    fields = json.loads(payload)
    return Heard(**fields) if fields.pop("kind") == "heard" else Due(**fields)


def _shape() -> str:
    """Mark of the fields of State: a snapshot with others is not read; the diary is folded anew instead."""
    return hashlib.sha256(json.dumps(State.model_json_schema(), sort_keys=True).encode()).hexdigest()[:16]


class Store:
    """The data file, opened by one thread; a second program's writes are noticed and not overwritten."""

    def __init__(self, connection: sqlite3.Connection, path: Path, read_only: bool = False) -> None:
        """Take over an open connection; use :meth:`open` or :meth:`in_memory` instead."""
        self.path = path
        self._connection = connection
        self._cache: dict[str, tuple[int, State]] = {}
        self._shape = _shape()
        connection.execute("PRAGMA foreign_keys = ON")
        if not read_only:
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute("PRAGMA synchronous = FULL")
        database = Database(connection)
        if not known(migrations.applied(database)):
            raise StoreError(f"The data file {path} is of a newer Potside; update Potside to open it.")
        if not read_only:
            with self._transaction():
                migrations.apply(database)

    @classmethod
    def open(cls, path: Path, read_only: bool = False) -> Store:
        """Open the data file, making it and its folder where missing (mode 0600); raises StoreError.

        With ``read_only`` nothing is made or changed, and a missing file is an error.
        """
        path = path.expanduser()
        connection: sqlite3.Connection | None = None
        try:
            with saying(path):
                if path.is_dir():
                    raise StoreError(f"{path} is a folder; name a file for the data.")
                if read_only:
                    if not path.exists():
                        raise StoreError(f"There is no data file {path}.")
                    connection = sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True, timeout=5.0)
                else:
                    path.parent.mkdir(parents=True, exist_ok=True)
                    if not path.exists():
                        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
                    connection = sqlite3.connect(path, timeout=5.0)
                found = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
                if found != "ok":
                    raise sqlite3.DatabaseError(f"malformed: {found}")
                return cls(connection, path, read_only)
        except StoreError:
            if connection is not None:
                connection.close()
            raise

    @classmethod
    def in_memory(cls) -> Store:
        """A store that is gone with the program, for rehearsals and tests."""
        return cls(sqlite3.connect(":memory:"), Path(":memory:"))

    def close(self) -> None:
        """Close the file; the write-ahead log is folded into it."""
        self._connection.close()

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        # Begun as a writer: a reader that becomes one fails beside a second program, whatever the timeout.
        with saying(self.path):
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise

    def _rows(self, sql: str, *values: object) -> list[Any]:
        with saying(self.path):
            return self._connection.execute(sql, values).fetchall()

    def take(self, source_id: str, chat: str, message: Heard | Due, at: datetime) -> bool:
        """Keep a message durably before it is handled; False where its source id was taken before."""
        with self._transaction():
            cursor = self._connection.execute(
                "INSERT OR IGNORE INTO inbox (source_id, chat, at, payload) VALUES (?, ?, ?, ?)",
                (source_id, chat, at.isoformat(), _payload(message)),
            )
            return cursor.rowcount == 1

    def pending(self) -> list[Incoming]:
        """What was taken and not handled, oldest first: after a crash, and otherwise nothing."""
        rows = self._rows("SELECT source_id, chat, payload, at FROM inbox WHERE done = 0 ORDER BY id")
        return [
            Incoming(source, chat, _message(payload), datetime.fromisoformat(at)) for source, chat, payload, at in rows
        ]

    def handled(self, source_id: str) -> bool:
        """Whether a message with this source id was handled."""
        return bool(self._rows("SELECT 1 FROM inbox WHERE source_id = ? AND done = 1", source_id))

    def events(self, chat: str, after: int = 0) -> list[tuple[int, int, Event]]:
        """The diary of a chat in order: id, number of the message that caused it, and the event."""
        rows = self._rows(
            "SELECT id, message, at, kind, batch, data FROM events WHERE chat = ? AND id > ? ORDER BY id",
            chat,
            after,
        )
        return [
            (
                number,
                message,
                Event(kind=kind, at=datetime.fromisoformat(at), batch=batch, data=json.loads(data)),
            )
            for number, message, at, kind, batch, data in rows
        ]

    def _last_event(self, chat: str) -> int:
        return int(self._rows("SELECT COALESCE(MAX(id), 0) FROM events WHERE chat = ?", chat)[0][0])

    def state(self, chat: str) -> State:
        """The state of a chat: kept in memory, else the last snapshot and the events since."""
        last_event = self._last_event(chat)
        if chat in self._cache and self._cache[chat][0] == last_event:
            return self._cache[chat][1]
        after, state = 0, EMPTY
        for after_event, text in self._rows(
            "SELECT last_event, state FROM snapshots WHERE chat = ? AND shape = ?", chat, self._shape
        ):
            after, state = after_event, State.model_validate_json(text)
        rows = self.events(chat, after)
        state = fold(state, [event for _, _, event in rows])
        self._cache[chat] = (rows[-1][0] if rows else after, state)
        return state

    def diary(self, chat: str) -> ChatDiary:
        """One chat to read from, for what is made of it."""
        return ChatDiary(self, chat)

    def search(self, chat: str, query: str, limit: int = 20) -> list[FoundText]:
        """What a chat said with these words, newest first; nothing in the query has a meaning of its own."""
        with saying(self.path):
            return search(self._connection, chat, query, limit)

    def commit(self, chat: str, source_id: str, outcome: Outcome, at: datetime) -> bool:
        """Store everything that one message led to, in one transaction.

        Returns False, and stores nothing, where the message was handled already. Raises StoreChanged where
        another program added events since :meth:`state`, StoreError where the file cannot be written.
        """
        seen = self._cache[chat][0] if chat in self._cache else self._last_event(chat)
        with self._transaction():
            number = self._finish(source_id)
            if number is None:
                return False
            if self._last_event(chat) != seen:
                raise StoreChanged(chat)
            last = self._append(chat, number, outcome.events) or seen
            self._snapshot(chat, last, outcome.state)
            self._set_reminders(chat, outcome.state.reminders.values())
            self._queue(chat, outcome.replies, at)
        self._cache[chat] = (last, outcome.state)
        return True

    def commit_fault(self, chat: str, source_id: str, fault: str, reply: Reply, at: datetime) -> bool:
        """Close a message that could not be handled, so that it does not stop the program at every start."""
        with self._transaction():
            if self._finish(source_id, fault) is None:
                return False
            self._queue(chat, (reply,), at)
        return True

    def _finish(self, source_id: str, fault: str = "") -> int | None:
        row = self._connection.execute(
            "UPDATE inbox SET done = 1, fault = ? WHERE source_id = ? AND done = 0 RETURNING id",
            (fault, source_id),
        ).fetchone()
        return None if row is None else int(row[0])

    def _append(self, chat: str, message: int, events: Iterable[Event]) -> int:
        last = 0
        for event in events:
            data = json.dumps(event.model_dump(mode="json")["data"], ensure_ascii=False)
            last = (
                self._connection.execute(
                    "INSERT INTO events (chat, message, at, kind, batch, data) VALUES (?, ?, ?, ?, ?, ?)",
                    (chat, message, event.at.isoformat(), event.kind, event.batch, data),
                ).lastrowid
                or 0
            )
        return last

    def _snapshot(self, chat: str, last: int, state: State) -> None:
        since = self._connection.execute(
            "SELECT COUNT(*) FROM events WHERE chat = ? AND id >"
            " COALESCE((SELECT last_event FROM snapshots WHERE chat = ? AND shape = ?), 0)",
            (chat, chat, self._shape),
        ).fetchone()[0]
        if since >= SNAPSHOT_EVERY:
            self._connection.execute(
                "INSERT OR REPLACE INTO snapshots (chat, last_event, shape, state) VALUES (?, ?, ?, ?)",
                (chat, last, self._shape, state.model_dump_json()),
            )

    def _set_reminders(self, chat: str, wanted: Iterable[Reminder]) -> None:
        have = {
            key: (due, data)
            for key, due, data in self._connection.execute(
                "SELECT key, due_utc, data FROM reminders WHERE chat = ?", (chat,)
            )
        }
        want = {reminder.key: (_utc(reminder.due), reminder.model_dump_json()) for reminder in wanted}
        self._connection.executemany(
            "DELETE FROM reminders WHERE chat = ? AND key = ?",
            [(chat, key) for key in have.keys() - want.keys()],
        )
        self._connection.executemany(
            "INSERT OR REPLACE INTO reminders (chat, key, due_utc, data) VALUES (?, ?, ?, ?)",
            [(chat, key, *row) for key, row in want.items() if have.get(key) != row],
        )

    def _queue(self, chat: str, replies: Iterable[Reply], at: datetime) -> None:
        self._connection.executemany(
            "INSERT INTO outbox (chat, at, reply) VALUES (?, ?, ?)",
            [(chat, at.isoformat(), reply.model_dump_json()) for reply in replies],
        )

    def due(self, now: datetime) -> list[DueTime]:
        """Reminders of all chats that have fallen due, earliest first, keys deciding between equal times."""
        rows = self._rows(
            "SELECT chat, key, due_utc FROM reminders WHERE due_utc <= ? ORDER BY due_utc, chat, key",
            _utc(now),
        )
        return [DueTime(chat, key, datetime.fromisoformat(due)) for chat, key, due in rows]

    def next_due(self, chat: str, after: datetime | None = None) -> Reminder | None:
        """The reminder of a chat that falls due next (later than ``after``), None where none is set."""
        rows = self._rows(
            "SELECT data FROM reminders WHERE chat = ? AND due_utc > ? ORDER BY due_utc, key LIMIT 1",
            chat,
            "" if after is None else _utc(after),
        )
        return Reminder.model_validate_json(rows[0][0]) if rows else None

    def unsent(self, chat: str) -> list[Unsent]:
        """Replies of a chat that were committed and not confirmed as sent, in order."""
        rows = self._rows("SELECT id, at, reply FROM outbox WHERE chat = ? AND sent = 0 ORDER BY id", chat)
        return [
            Unsent(number, datetime.fromisoformat(at), Reply.model_validate_json(reply)) for number, at, reply in rows
        ]

    def unsent_chats(self) -> list[str]:
        """Chats that have replies waiting, in the order of their oldest."""
        return [row[0] for row in self._rows("SELECT chat FROM outbox WHERE sent = 0 GROUP BY chat ORDER BY MIN(id)")]

    def mark_sent(self, ids: Iterable[int]) -> None:
        """Note that these replies reached the person."""
        with self._transaction():
            self._connection.executemany("UPDATE outbox SET sent = 1 WHERE id = ?", [(number,) for number in ids])
