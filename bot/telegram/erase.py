"""Erasing for good: out of the tables, the search, the free pages, the log of the file, the photos and the backups."""

from __future__ import annotations

import logging
import sqlite3
from contextlib import closing
from pathlib import Path

from bot.backup import backups
from bot.sent_files import erase_sent
from bot.store import Store
from bot.store_search import forget_deleted

_log = logging.getLogger(__name__)
_OF_A_DIARY = (
    "DELETE FROM events WHERE chat = ?1",
    "DELETE FROM snapshots WHERE chat = ?1",
    "DELETE FROM reminders WHERE chat = ?1",
    "DELETE FROM outbox WHERE chat = ?1",
    "DELETE FROM inbox WHERE chat = ?1 AND done = 1",
    "DELETE FROM guests WHERE diary = ?1",
    "DELETE FROM links WHERE diary = ?1",
    "DELETE FROM batch_guests WHERE diary = ?1 OR address = ?1",
    "UPDATE places SET diary = address, batch = NULL, talk = '' WHERE diary = ?1",
    "UPDATE places SET diary = address, batch = NULL, talk = '', title = '', pinned = NULL, pinned_text = '' WHERE address = ?1",
)
# In diaries of others the readings stay, since they are theirs; whose hand took them is forgotten.
_OF_A_PERSON = (
    "UPDATE events SET data = json_set(data, '$.who', '') WHERE json_extract(data, '$.who') = ?2",
    "UPDATE events SET data = json_set(data, '$.reading.who', '') WHERE json_extract(data, '$.reading.who') = ?2",
    "DELETE FROM snapshots WHERE instr(state, json_quote(?2)) > 0",
    # What others were told with the name in it: a list of readings, who opened a link.
    "UPDATE events SET data = json_set(data, '$.lines', json('[]'))"
    " WHERE kind = 'said' AND instr(json_extract(data, '$.lines'), ?2) > 0",
    "UPDATE outbox SET reply = json_set(reply, '$.text', replace(json_extract(reply, '$.text'), ?2, 'somebody'),"
    " '$.spoken', replace(json_extract(reply, '$.spoken'), ?2, 'somebody')) WHERE instr(reply, ?2) > 0",
    "DELETE FROM guests WHERE person = ?1",
    "DELETE FROM links WHERE made_by = ?1",
    "UPDATE people SET name = '' WHERE id = ?1",
)


def erase(store: Store, diary: str, person: int, name: str) -> None:
    """Erase a person's own diary and name; the right to talk to Potside stays. Not inside a transaction."""
    with store.transaction() as connection:
        connection.execute("PRAGMA secure_delete = ON")
        _erase(connection, diary, person, name)
    store.forget_states()
    store.rows("VACUUM")
    store.fold_log()
    erase_sent(store.path, diary)
    for copy in backups(store.path):
        _erase_in_copy(copy, diary, person, name)


def _erase(connection: sqlite3.Connection, diary: str, person: int, name: str) -> None:
    for statement in _OF_A_DIARY:
        connection.execute(statement, (diary,))
    for statement in _OF_A_PERSON:
        if "?2" not in statement:
            connection.execute(statement, (person,))
        elif name:
            connection.execute(statement.replace("?2", "?1"), (name,))
    forget_deleted(connection)


def _erase_in_copy(path: Path, diary: str, person: int, name: str) -> None:
    try:
        with closing(sqlite3.connect(path, timeout=10)) as copy:
            copy.execute("PRAGMA secure_delete = ON")
            with copy:
                _erase(copy, diary, person, name)
            copy.execute("VACUUM")
    except sqlite3.Error:
        # A copy that cannot be cleaned, for instance one of an older shape, must not outlive the promise.
        _log.warning("a backup could not be cleaned and was deleted")
        path.unlink(missing_ok=True)
