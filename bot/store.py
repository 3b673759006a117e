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
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from bot.attachments import FoundText
from bot.made_files import close_to_others
from bot.store_diary import ChatDiary
from bot.store_errors import StoreChanged, StoreError, saying
from bot.store_rows import DueTime as DueTime
from bot.store_rows import Incoming as Incoming
from bot.store_rows import Unsent as Unsent
from bot.store_rows import message as _message
from bot.store_rows import payload as _payload
from bot.store_schema import known, migrations
from bot.store_search import catch_up, is_behind, search
from bot.store_writes import append_events, set_reminders, utc
from conversations.session.events import Due, Event, Heard, Reminder, Reply
from conversations.session.fold import EMPTY, fold
from conversations.session.outcome import Outcome
from conversations.session.state import State

SNAPSHOT_EVERY = 50
"""Events of a chat between two snapshots: folding this many takes less time than a screen refresh."""

STATES_KEPT = 2000
"""States of chats held in memory; of the others the snapshot is read again."""


def _shape() -> str:
    """Mark of the fields of State: a snapshot with others is not read; the diary is folded anew instead."""
    return hashlib.sha256(json.dumps(State.model_json_schema(), sort_keys=True).encode()).hexdigest()[:16]


class Store:
    """The data file, opened by one thread; a second program's writes are noticed and not overwritten."""

    def __init__(self, connection: sqlite3.Connection, path: Path, read_only: bool = False) -> None:
        """Take over an open connection; use :meth:`open` or :meth:`in_memory` instead."""
        self.path = path
        self._connection = connection
        self.read_only = read_only
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
            with self.transaction():
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
                    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
                    if not path.exists():
                        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
                    close_to_others(path)
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
        if not self.read_only:
            # So that whoever only reads finds it all; where the disk is full, the next search does it.
            with suppress(StoreError):
                self.ready_for_search()
        self._connection.close()

    @contextmanager
    def transaction(self) -> Iterator[sqlite3.Connection]:
        """All or nothing; one inside another is a part of it that can fail alone. No await inside."""
        # Begun as a writer: a reader that becomes one fails beside a second program, whatever the timeout.
        with saying(self.path):
            inside = self._connection.in_transaction
            begin, commit, back = (
                ("SAVEPOINT part", "RELEASE part", "ROLLBACK TO part; RELEASE part")
                if inside
                else ("BEGIN IMMEDIATE", "COMMIT", "ROLLBACK")
            )
            self._connection.execute(begin)
            try:
                yield self._connection
                self._connection.execute(commit)
            except BaseException:
                if self._connection.in_transaction:
                    for statement in back.split("; "):
                        self._connection.execute(statement)
                # What was kept in memory may be of events that are gone again.
                self._cache.clear()
                raise

    def begin(self) -> None:
        """Open a transaction that others become parts of, until :meth:`end`."""
        with saying(self.path):
            self._connection.execute("BEGIN IMMEDIATE")

    def end(self) -> None:
        """Commit what :meth:`begin` opened; where that fails nothing of it is kept."""
        with saying(self.path):
            try:
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                self._cache.clear()
                raise

    def rows(self, sql: str, *values: object) -> list[Any]:
        """What a query finds."""
        return self._rows(sql, *values)

    def _rows(self, sql: str, *values: object) -> list[Any]:
        with saying(self.path):
            return self._connection.execute(sql, values).fetchall()

    def take(self, source_id: str, chat: str, message: Heard | Due, at: datetime) -> bool:
        """Keep a message durably before it is handled; False where its source id was taken before."""
        with self.transaction():
            cursor = self._connection.execute(
                "INSERT OR IGNORE INTO inbox (source_id, chat, at, payload) VALUES (?, ?, ?, ?)",
                (source_id, chat, at.isoformat(), _payload(message)),
            )
            return cursor.rowcount == 1

    def pending(self) -> list[Incoming]:
        """What was taken and not handled, oldest first: after a crash, and otherwise nothing."""
        rows = self._rows("SELECT source_id, chat, payload, at FROM inbox WHERE done = 0 AND form = 'session' ORDER BY id")
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
        self._keep(chat, rows[-1][0] if rows else after, state)
        return state

    def _keep(self, chat: str, last: int, state: State) -> None:
        self._cache.pop(chat, None)
        self._cache[chat] = (last, state)
        if len(self._cache) > STATES_KEPT:
            del self._cache[next(iter(self._cache))]

    def fold_log(self) -> None:
        """Write the log into the file and empty it: until then the file can hold what was deleted."""
        self._rows("PRAGMA wal_checkpoint(TRUNCATE)")

    def forget_states(self) -> None:
        """Read every state from the file again, after something else than a commit changed it."""
        self._cache.clear()

    def diary(self, chat: str) -> ChatDiary:
        """One chat to read from, for what is made of it."""
        return ChatDiary(self, chat)

    def ready_for_search(self) -> None:
        """Put what was said since the last search into the search table."""
        with saying(self.path):
            if not is_behind(self._connection):
                return
        with self.transaction() as connection:
            catch_up(connection)

    def search(self, chat: str, query: str, limit: int = 20) -> list[FoundText]:
        """What a chat said with these words, newest first; nothing in the query has a meaning of its own.

        A store that only reads finds what was there at the last :meth:`ready_for_search`.
        """
        if not self.read_only:
            self.ready_for_search()
        with saying(self.path):
            return search(self._connection, chat, query, limit)

    def commit(self, incoming: Incoming, outcome: Outcome, taken: bool = True) -> bool:
        """Store everything that one message led to, in one transaction.

        Without ``taken`` its inbox row is written here as well. Returns False, and stores nothing, where the
        message was handled already. Raises StoreChanged where another program added events since :meth:`state`,
        StoreError where the file cannot be written.
        """
        chat = incoming.chat
        seen, before = self._cache[chat] if chat in self._cache else (self._last_event(chat), None)
        with self.transaction():
            number = self._finish(incoming) if taken else self._take_finished(incoming)
            if number is None:
                return False
            if self._last_event(chat) != seen:
                raise StoreChanged(chat)
            last = append_events(self._connection, chat, number, outcome.events) or seen
            self._snapshot(chat, last, outcome.state)
            set_reminders(self._connection, chat, None if before is None else before.reminders, outcome.state.reminders)
            self.queue(incoming, outcome.replies, number)
        self._keep(chat, last, outcome.state)
        return True

    def commit_fault(self, incoming: Incoming, fault: str, reply: Reply, taken: bool = True) -> bool:
        """Close a message that could not be handled, so that it does not stop the program at every start."""
        with self.transaction():
            number = self._finish(incoming, fault) if taken else self._take_finished(incoming, fault)
            if number is None:
                return False
            self.queue(incoming, (reply,), number)
        return True

    def finish(self, source_id: str, chat: str, fault: str = "") -> int | None:
        """Mark a message as handled, in the transaction of its effect; None where it was handled before.

        What was fetched from a messenger is emptied: the diary has what it needs of it.
        """
        with self.transaction():
            row = self._connection.execute(
                "UPDATE inbox SET done = 1, fault = ?, chat = ?,"
                " payload = CASE form WHEN 'session' THEN payload ELSE '' END"
                " WHERE source_id = ? AND done = 0 RETURNING id",
                (fault, chat, source_id),
            ).fetchone()
        return None if row is None else int(row[0])

    def _finish(self, incoming: Incoming, fault: str = "") -> int | None:
        return self.finish(incoming.source_id, incoming.chat, fault)

    def _take_finished(self, incoming: Incoming, fault: str = "") -> int | None:
        row = self._connection.execute(
            "INSERT OR IGNORE INTO inbox (source_id, chat, at, payload, done, fault) VALUES (?, ?, ?, ?, 1, ?)"
            " RETURNING id",
            (incoming.source_id, incoming.chat, incoming.at.isoformat(), _payload(incoming.message), fault),
        ).fetchone()
        return None if row is None else int(row[0])

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

    def queue(self, incoming: Incoming, replies: Iterable[Reply], message: int | None = None) -> None:
        """Append replies to the outbox, for each place that they go to; part of a transaction."""
        self._connection.executemany(
            "INSERT INTO outbox (chat, at, reply, address, message, choices, quiet) VALUES (?, ?, ?, ?, ?, ?, ?)",
            [
                (
                    incoming.chat,
                    incoming.at.isoformat(),
                    reply.model_dump_json(),
                    address,
                    message,
                    sum(choice.says != "undo" for choice in reply.choices),
                    address in incoming.quiet,
                )
                for reply in replies
                for address in incoming.to or (incoming.chat,)
            ],
        )

    def due(self, now: datetime, limit: int = -1, chat: str | None = None) -> list[DueTime]:
        """Reminders that have fallen due, of all chats or of one, earliest first, keys deciding between equal times."""
        rows = self._rows(
            "SELECT chat, key, due_utc FROM reminders WHERE due_utc <= ?1 AND (?3 IS NULL OR chat = ?3)"
            " ORDER BY due_utc, chat, key LIMIT ?2",
            utc(now),
            limit,
            chat,
        )
        return [DueTime(chat, key, datetime.fromisoformat(due)) for chat, key, due in rows]

    def read_ahead(self, until: datetime, most: int) -> None:
        """Have the states in memory of chats whose reminders fall due soon; at most so many at a time."""
        # Nested, so that the index of due times is used: DISTINCT alone would walk through all reminders each second.
        rows = self._rows(
            "SELECT DISTINCT chat FROM (SELECT chat FROM reminders WHERE due_utc <= ? ORDER BY due_utc LIMIT ?)",
            utc(until),
            STATES_KEPT // 2,
        )
        for chat in [row[0] for row in rows if row[0] not in self._cache][:most]:
            self.state(chat)

    def next_due(self, chat: str, after: datetime | None = None) -> Reminder | None:
        """The reminder of a chat that falls due next (later than ``after``), None where none is set."""
        rows = self._rows(
            "SELECT data FROM reminders WHERE chat = ? AND due_utc > ? ORDER BY due_utc, key LIMIT 1",
            chat,
            "" if after is None else utc(after),
        )
        return Reminder.model_validate_json(rows[0][0]) if rows else None

    def unsent(self, address: str, limit: int = -1) -> list[Unsent]:
        """Replies to a chat that were committed and not confirmed as sent, in order."""
        rows = self._rows(
            "SELECT id, at, reply, chat, pieces, quiet FROM outbox WHERE address = ? AND sent = 0 ORDER BY id LIMIT ?",
            address,
            limit,
        )
        return [
            Unsent(number, datetime.fromisoformat(at), Reply.model_validate_json(reply), chat, pieces, bool(quiet))
            for number, at, reply, chat, pieces, quiet in rows
        ]

    def chats(self) -> list[str]:
        """Chats that have a diary."""
        return [row[0] for row in self._rows("SELECT DISTINCT chat FROM events ORDER BY chat")]

    def unsent_chats(self) -> list[str]:
        """Chats that have replies waiting, in the order of their oldest."""
        return [
            row[0] for row in self._rows("SELECT address FROM outbox WHERE sent = 0 GROUP BY address ORDER BY MIN(id)")
        ]

    def mark_sent(self, ids: Iterable[int]) -> None:
        """Note that these replies reached the person."""
        with self.transaction():
            self._connection.executemany("UPDATE outbox SET sent = 1 WHERE id = ?", [(number,) for number in ids])
