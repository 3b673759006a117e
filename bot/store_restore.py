"""Putting an exported diary into a chat that has none, in one transaction."""

from __future__ import annotations

import sqlite3
import uuid
from collections.abc import Iterable, Sequence

from bot.store import Store
from bot.store_errors import StoreError
from bot.store_rows import payload
from bot.store_writes import append_events, set_reminders
from conversations.session.events import Event, Heard
from conversations.session.state import State


def restore(store: Store, chat: str, entries: Sequence[Sequence[Event]], state: State) -> None:
    """Append all entries to an empty chat; ``state`` is their fold. Raises StoreError where it is not empty."""
    token = uuid.uuid4().hex
    with store.transaction() as connection:
        if connection.execute("SELECT 1 FROM events WHERE chat = ? LIMIT 1", (chat,)).fetchone():
            raise StoreError(
                f"There is a diary in {store.path} already, and nothing of it is overwritten."
                " Name a new file: potside --data NEW.db import FILE."
            )
        for number, events in enumerate(entries):
            append_handled(connection, f"import:{token}:{number}", chat, events)
        set_reminders(connection, chat, None, state.reminders)


def append_handled(connection: sqlite3.Connection, source_id: str, chat: str, events: Sequence[Event]) -> None:
    """Inside a transaction: a message that was handled elsewhere, and the events that it led to, one at least."""
    heard = _first(events, "heard") or events[0]
    said = Heard(text=str(heard.data.get("text", "")) if heard.kind == "heard" else "")
    number = connection.execute(
        "INSERT INTO inbox (source_id, chat, at, payload, done) VALUES (?, ?, ?, ?, 1)",
        (source_id, chat, heard.at.isoformat(), payload(said)),
    ).lastrowid
    append_events(connection, chat, number or 0, events)


def _first(events: Iterable[Event], kind: str) -> Event | None:
    return next((each for each in events if each.kind == kind), None)


