"""The durable inbox of the messenger: what was fetched is committed before the service is told that it was taken."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from bot.store import Store
from bot.telegram.updates import Arrived


class Inbox:
    """Rows of the store's inbox whose form is ``telegram``."""

    def __init__(self, store: Store, bot_id: str) -> None:
        """Numbers of updates are only unique for one bot, so its number is part of a source id."""
        self._store = store
        self._bot_id = bot_id

    def source_id(self, arrived: Arrived) -> str:
        """The id under which an update is handled once."""
        return f"telegram:{self._bot_id}:{arrived.update}"

    def take(self, arrivals: Iterable[Arrived], now: datetime) -> list[Arrived]:
        """Commit what was fetched in one transaction; returns what was not known yet."""
        fresh = []
        with self._store.transaction() as connection:
            for arrived in arrivals:
                done = connection.execute(
                    "INSERT OR IGNORE INTO inbox (source_id, chat, at, payload, form, place)"
                    " VALUES (?, ?, ?, ?, 'telegram', ?)",
                    (
                        self.source_id(arrived),
                        arrived.address,
                        now.isoformat(),
                        arrived.model_dump_json(exclude_defaults=True),
                        f"{arrived.chat}/{arrived.message}" if arrived.message and arrived.kind != "button" else "",
                    ),
                )
                if done.rowcount == 1:
                    fresh.append(arrived)
        return fresh

    def waiting(self, address: str, limit: int) -> list[Arrived]:
        """The oldest of what a chat sent and nobody handled."""
        rows = self._store.rows(
            "SELECT payload FROM inbox WHERE done = 0 AND form = 'telegram' AND chat = ? ORDER BY id LIMIT ?",
            address,
            limit,
        )
        return [Arrived.model_validate_json(row[0]) for row in rows]

    def waiting_chats(self) -> list[str]:
        """Chats with something that nobody handled, in the order of their oldest."""
        return [
            row[0]
            for row in self._store.rows(
                "SELECT chat FROM inbox WHERE done = 0 AND form = 'telegram' GROUP BY chat ORDER BY MIN(id)"
            )
        ]

    def earlier(self, arrived: Arrived) -> list[int]:
        """Inbox numbers of the versions of a message that were handled before, oldest first."""
        rows = self._store.rows(
            "SELECT id FROM inbox WHERE place = ? AND done = 1 ORDER BY id", f"{arrived.chat}/{arrived.message}"
        )
        return [int(row[0]) for row in rows]
