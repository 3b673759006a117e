"""What is looked at each second costs the same whether ten reminders wait or many thousands."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from bot.store import Store

NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


def steps(store: Store, work: Callable[[], object]) -> int:
    """Hundreds of instructions that SQLite runs for it: the same on every machine, however busy."""
    counted = [0]

    def count() -> int:
        counted[0] += 1
        return 0

    store._connection.set_progress_handler(count, 100)
    work()
    store._connection.set_progress_handler(None, 100)
    return counted[0]


def test_an_idle_second_does_not_walk_through_all_reminders() -> None:
    store = Store.in_memory()
    far = (NOW + timedelta(days=30)).isoformat(timespec="microseconds")
    store._connection.executemany(
        "INSERT INTO reminders (chat, key, due_utc, data) VALUES (?, ?, ?, '{}')",
        [(f"telegram:{number % 500}", f"r{number}", far) for number in range(20_000)],
    )
    assert steps(store, lambda: store.read_ahead(NOW, 40)) < 5
    assert steps(store, lambda: store.due(NOW, 200)) < 5
    assert steps(store, store.unsent_chats) < 5
