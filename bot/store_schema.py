"""The tables of the one data file, as migrations that are applied in order and never edited afterwards."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlite_utils.migrations import Migrations

from bot.store_search import make_search_table

if TYPE_CHECKING:
    from sqlite_utils import Database

migrations = Migrations("potside")


@migrations()
def first_tables(db: Database) -> None:
    """Inbox, diary, snapshots, due times and outbox.

    ``inbox.done`` is 0 while waiting and 1 once handled; ``inbox.fault`` says what went wrong in a message
    that could not be handled, and is empty otherwise. Ids are never
    given twice, so an erased row's number stays
    unused.
    """
    db.execute(
        "CREATE TABLE inbox (id INTEGER PRIMARY KEY AUTOINCREMENT, source_id TEXT NOT NULL UNIQUE,"
        " chat TEXT NOT NULL, at TEXT NOT NULL, payload TEXT NOT NULL,"
        " done INTEGER NOT NULL DEFAULT 0, fault TEXT NOT NULL DEFAULT '')"
    )
    db.execute("CREATE INDEX inbox_waiting ON inbox (id) WHERE done = 0")
    db.execute(
        "CREATE TABLE events (id INTEGER PRIMARY KEY AUTOINCREMENT, chat TEXT NOT NULL,"
        " message INTEGER NOT NULL REFERENCES inbox (id), at TEXT NOT NULL, kind TEXT NOT NULL,"
        " batch INTEGER, data TEXT NOT NULL)"
    )
    db.execute("CREATE INDEX events_of_chat ON events (chat, id)")
    db.execute(
        "CREATE TABLE snapshots (chat TEXT PRIMARY KEY, last_event INTEGER NOT NULL,"
        " shape TEXT NOT NULL, state TEXT NOT NULL)"
    )
    db.execute(
        "CREATE TABLE reminders (chat TEXT NOT NULL, key TEXT NOT NULL, due_utc TEXT NOT NULL,"
        " data TEXT NOT NULL, PRIMARY KEY (chat, key))"
    )
    db.execute("CREATE INDEX reminders_due ON reminders (due_utc)")
    db.execute(
        "CREATE TABLE outbox (id INTEGER PRIMARY KEY AUTOINCREMENT, chat TEXT NOT NULL, at TEXT NOT NULL,"
        " reply TEXT NOT NULL, sent INTEGER NOT NULL DEFAULT 0)"
    )
    db.execute("CREATE INDEX outbox_unsent ON outbox (chat, id) WHERE sent = 0")


@migrations()
def search_table(db: Database) -> None:
    """Full text search over what was said and noted."""
    make_search_table(db)


def known(names: list[Any]) -> bool:
    """Whether every applied migration is one of ours; False for a file of a newer Potside."""
    ours = {migration.name for migration in migrations._migrations}
    return all(applied.name in ours for applied in names)
