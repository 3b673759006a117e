"""Full text search over what a person said and noted: an FTS5 table that triggers keep equal to the diary."""

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
