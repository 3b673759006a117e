"""The tables of the one data file, as migrations that are applied in order and never edited afterwards."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlite_utils.migrations import Migrations

from bot.store_search import index_when_asked, make_search_table

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


@migrations()
def messenger_columns(db: Database) -> None:
    """What a messenger needs: where a reply goes, how far its pieces got, and which message of the messenger it was.

    ``inbox.form`` is ``session`` for what the session understands and ``telegram`` for what was fetched and not
    read yet; ``inbox.place`` names the message in the messenger, so that an edited one finds its earlier version.
    ``outbox.address`` is the chat that a reply goes to, which differs from the diary where a diary is shared;
    ``outbox.pieces`` counts the pieces that arrived, ``outbox.posted`` is the messenger's number of the piece that
    carries the buttons, ``outbox.used`` the button that was pressed, ``outbox.fault`` why it could not be sent.
    """
    db.execute("ALTER TABLE inbox ADD COLUMN form TEXT NOT NULL DEFAULT 'session'")
    db.execute("ALTER TABLE inbox ADD COLUMN place TEXT NOT NULL DEFAULT ''")
    db.execute("CREATE INDEX inbox_place ON inbox (place) WHERE place <> ''")
    db.execute("CREATE INDEX inbox_faults ON inbox (id) WHERE fault <> ''")
    db.execute("CREATE INDEX events_of_message ON events (message)")
    db.execute("ALTER TABLE outbox ADD COLUMN address TEXT NOT NULL DEFAULT ''")
    db.execute("UPDATE outbox SET address = chat")
    db.execute("ALTER TABLE outbox ADD COLUMN message INTEGER")
    db.execute("ALTER TABLE outbox ADD COLUMN choices INTEGER NOT NULL DEFAULT 0")
    db.execute("ALTER TABLE outbox ADD COLUMN pieces INTEGER NOT NULL DEFAULT 0")
    db.execute("ALTER TABLE outbox ADD COLUMN posted INTEGER")
    db.execute("ALTER TABLE outbox ADD COLUMN used INTEGER NOT NULL DEFAULT 0")
    db.execute("ALTER TABLE outbox ADD COLUMN quiet INTEGER NOT NULL DEFAULT 0")
    db.execute("ALTER TABLE outbox ADD COLUMN fault TEXT NOT NULL DEFAULT ''")
    db.execute("DROP INDEX outbox_unsent")
    db.execute("CREATE INDEX outbox_unsent ON outbox (address, id) WHERE sent = 0")
    db.execute("CREATE INDEX outbox_choices ON outbox (chat, id) WHERE choices > 0")


@migrations()
def messenger_tables(db: Database) -> None:
    """Who may talk to Potside over a messenger, which chat works in which diary, and what belongs to each chat.

    ``people.role`` is ``owner`` or ``member``. ``links.kind`` is ``invite`` or ``share``; only the hash of a link
    is kept. ``places`` maps a chat to the diary it works in at the moment; ``guests`` names further diaries that a
    person may work in. ``facts`` holds single values such as the pairing code.
    """
    db.execute("CREATE TABLE facts (name TEXT PRIMARY KEY, value TEXT NOT NULL)")
    db.execute(
        "CREATE TABLE people (id INTEGER PRIMARY KEY, name TEXT NOT NULL, role TEXT NOT NULL, since TEXT NOT NULL)"
    )
    db.execute(
        "CREATE TABLE links (hash TEXT PRIMARY KEY, kind TEXT NOT NULL, made_by INTEGER NOT NULL, diary TEXT NOT NULL,"
        " expires TEXT NOT NULL, used_by INTEGER)"
    )
    db.execute("CREATE TABLE strangers (id INTEGER PRIMARY KEY, seen INTEGER NOT NULL, tries INTEGER NOT NULL)")
    db.execute(
        "CREATE TABLE places (address TEXT PRIMARY KEY, diary TEXT NOT NULL, title TEXT NOT NULL,"
        " stopped INTEGER NOT NULL DEFAULT 0, pinned INTEGER, pinned_text TEXT NOT NULL DEFAULT '')"
    )
    db.execute("CREATE INDEX places_of_diary ON places (diary)")
    db.execute(
        "CREATE TABLE guests (diary TEXT NOT NULL, person INTEGER NOT NULL, since TEXT NOT NULL,"
        " PRIMARY KEY (diary, person))"
    )


@migrations()
def due_times_in_order(db: Database) -> None:
    """The order in which reminders happen, so that many of one moment are not sorted anew at each look."""
    db.execute("DROP INDEX reminders_due")
    db.execute("CREATE INDEX reminders_due ON reminders (due_utc, chat, key)")


@migrations()
def shares_of_one_batch(db: Database) -> None:
    """Chats that may see and add to one batch of a diary of somebody else.

    ``links.batch`` and ``places.batch`` are empty for a whole diary; ``places.talk`` is the guest's own conversation.
    """
    db.execute("ALTER TABLE links ADD COLUMN batch INTEGER")
    db.execute("ALTER TABLE places ADD COLUMN batch INTEGER")
    db.execute("ALTER TABLE places ADD COLUMN talk TEXT NOT NULL DEFAULT ''")
    db.execute(
        "CREATE TABLE batch_guests (diary TEXT NOT NULL, batch INTEGER NOT NULL, address TEXT NOT NULL,"
        " since TEXT NOT NULL, PRIMARY KEY (diary, batch, address))"
    )


@migrations()
def search_when_asked(db: Database) -> None:
    """The search table is brought up to date when somebody searches, not at each message."""
    index_when_asked(db)


def known(names: list[Any]) -> bool:
    """Whether every applied migration is one of ours; False for a file of a newer Potside."""
    ours = {migration.name for migration in migrations._migrations}
    return all(applied.name in ours for applied in names)
