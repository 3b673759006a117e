"""Full text search over what a person said and noted: an FTS5 table that is brought up to date when it is asked.

Kept equal at every message it cost a tenth of all processor time: each part of a commit made it write its words out.
What leaves the diary leaves the table at once.
"""

from __future__ import annotations

import sqlite3
from datetime import datetime
from typing import TYPE_CHECKING

from bot.attachments import FoundText

if TYPE_CHECKING:
    from sqlite_utils import Database

_KINDS = "('heard', 'note', 'tasting', 'photo')"
"""Events whose words are searched. What was heard holds them all; the others tell which batch was meant."""
_TEXT = (
    "trim(coalesce(json_extract({0}data, '$.text'), '') || ' ' || coalesce(json_extract({0}data, '$.caption'), ''))"
)


def make_search_table(db: Database) -> None:
    """The table, filled from the diary as it is, and triggers: what leaves the diary leaves the search with it."""
    db.execute(
        "CREATE VIRTUAL TABLE said_text USING fts5(text, chat UNINDEXED, tokenize = 'porter unicode61 remove_diacritics 2')"
    )
    db.execute(
        f"INSERT INTO said_text (rowid, text, chat) SELECT id, {_TEXT.format('')}, chat FROM events"
        f" WHERE kind IN {_KINDS} AND {_TEXT.format('')} <> ''"
    )
    new = (
        f"INSERT INTO said_text (rowid, text, chat) SELECT new.id, {_TEXT.format('new.')}, new.chat"
        f" WHERE new.kind IN {_KINDS} AND {_TEXT.format('new.')} <> ''"
    )
    old = "DELETE FROM said_text WHERE rowid = old.id"
    db.execute(f"CREATE TRIGGER said_text_added AFTER INSERT ON events BEGIN {new}; END")
    db.execute(f"CREATE TRIGGER said_text_erased AFTER DELETE ON events BEGIN {old}; END")
    db.execute(f"CREATE TRIGGER said_text_changed AFTER UPDATE ON events BEGIN {old}; {new}; END")


def index_when_asked(db: Database) -> None:
    """New events wait for :func:`catch_up`; ``said_upto`` holds the last one that is in the table."""
    db.execute("CREATE TABLE said_upto (id INTEGER NOT NULL)")
    db.execute("INSERT INTO said_upto SELECT coalesce(max(id), 0) FROM events")
    db.execute("DROP TRIGGER said_text_added")
    db.execute("DROP TRIGGER said_text_changed")
    new = (
        f"INSERT INTO said_text (rowid, text, chat) SELECT new.id, {_TEXT.format('new.')}, new.chat"
        f" WHERE new.kind IN {_KINDS} AND {_TEXT.format('new.')} <> '' AND new.id <= (SELECT id FROM said_upto)"
    )
    db.execute(
        "CREATE TRIGGER said_text_changed AFTER UPDATE ON events"
        f" BEGIN DELETE FROM said_text WHERE rowid = old.id; {new}; END"
    )


def is_behind(connection: sqlite3.Connection) -> bool:
    """Whether events were added since the last :func:`catch_up`."""
    row = connection.execute("SELECT coalesce((SELECT max(id) FROM events), 0) > id FROM said_upto").fetchone()
    return bool(row[0])


def catch_up(connection: sqlite3.Connection) -> None:
    """Put the words of the events since the last time into the table; within a transaction."""
    connection.execute(
        f"INSERT INTO said_text (rowid, text, chat) SELECT id, {_TEXT.format('')}, chat FROM events"
        f" WHERE id > (SELECT id FROM said_upto) AND kind IN {_KINDS} AND {_TEXT.format('')} <> ''"
    )
    connection.execute("UPDATE said_upto SET id = max(id, coalesce((SELECT max(id) FROM events), 0))")


def forget_deleted(connection: sqlite3.Connection) -> None:
    """After an erasure: merge the index, in which deleted words otherwise stay until it happens to be merged."""
    connection.execute("INSERT INTO said_text (said_text) VALUES ('optimize')")


def as_match(query: str, joined: str = " ") -> str:
    """The words of a person as an FTS5 query in which nothing has a meaning of its own; empty without words.

    >>> as_match('toast OR "malt')
    '"toast"* "OR"* "malt"*'
    """
    words = ["".join(letter for letter in word if letter.isalnum()) for word in _split(query)]
    return joined.join(f'"{word}"*' for word in words[:12] if word)


def _split(query: str) -> list[str]:
    # As the tokenizer does: everything that is no letter and no digit parts words.
    return "".join(letter if letter.isalnum() else " " for letter in query).split()


def search(connection: sqlite3.Connection, chat: str, query: str, limit: int) -> list[FoundText]:
    """What this chat said with all of these words, newest first; with any of them where none holds all."""
    for joined in (" ", " OR "):
        match = as_match(query, joined)
        if not match:
            return []
        rows = connection.execute(
            "SELECT events.message, events.at, events.batch, said_text.text FROM said_text"
            " JOIN events ON events.id = said_text.rowid"
            " WHERE said_text MATCH ? AND said_text.chat = ? ORDER BY events.id DESC LIMIT ?",
            (match, chat, limit * 3),
        ).fetchall()
        found: dict[int, FoundText] = {}
        for message, at, batch, text in rows:
            # The message came first and its note after it: the note is newer, and says the same in fewer words.
            found.setdefault(message, FoundText(datetime.fromisoformat(at), batch, text))
        if found:
            return list(found.values())[:limit]
    return []
