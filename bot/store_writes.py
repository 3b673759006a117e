"""Parts of one commit: the events of a message, and the table of due times."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from datetime import UTC, datetime

from pydantic_core import to_json

from conversations.session.events import Event, Reminder


def utc(when: datetime) -> str:
    """Text of fixed width, so that the order of the text is the order in time."""
    return when.astimezone(UTC).isoformat(timespec="microseconds")


def append_events(connection: sqlite3.Connection, chat: str, message: int, events: Iterable[Event]) -> int:
    """Append to the diary; returns the number of the last event, 0 without any."""
    last = 0
    for event in events:
        # The data alone: ten times quicker than by way of the whole event, and this is done for each message.
        data = to_json(event.data).decode()
        last = (
            connection.execute(
                "INSERT INTO events (chat, message, at, kind, batch, data) VALUES (?, ?, ?, ?, ?, ?)",
                (chat, message, event.at.isoformat(), event.kind, event.batch, data),
            ).lastrowid
            or 0
        )
    return last


def set_reminders(
    connection: sqlite3.Connection, chat: str, before: dict[str, Reminder] | None, wanted: dict[str, Reminder]
) -> None:
    """Make the table equal to the state; ``before`` is what the table is known to hold, None where that is not."""
    if before is wanted:
        return
    if before is None:
        rows = connection.execute("SELECT key, data FROM reminders WHERE chat = ?", (chat,)).fetchall()
        before = {key: Reminder.model_validate_json(data) for key, data in rows}
    connection.executemany(
        "DELETE FROM reminders WHERE chat = ? AND key = ?",
        [(chat, key) for key in before.keys() - wanted.keys()],
    )
    connection.executemany(
        "INSERT OR REPLACE INTO reminders (chat, key, due_utc, data) VALUES (?, ?, ?, ?)",
        [
            (chat, key, utc(reminder.due), reminder.model_dump_json())
            for key, reminder in wanted.items()
            # The same object is the same reminder: only what changed is compared in full.
            if (known := before.get(key)) is not reminder and known != reminder
        ],
    )
