"""What can go wrong with the data file, as sentences for the person at the pot."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class StoreError(Exception):
    """The data file cannot be used; the text is a whole sentence that names the file."""


class StoreChanged(Exception):
    """Another program wrote to the same chat since its state was read: read it again and repeat the step."""


def sentence(error: Exception, path: Path) -> str:
    """One clear sentence for an error of SQLite or of the file system."""
    said = str(error).lower()
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_FULL or "no space left" in said or "file too large" in said:
        return f"The disk is full, so nothing can be added to {path}. Make room and start again."
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB) or "malformed" in said:
        return f"The data file {path} is damaged and was left alone. Restore a copy, or name another."
    if code == sqlite3.SQLITE_READONLY or "read-only" in said:
        return f"The data file {path} is read-only, so nothing can be recorded in it."
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return f"Another program is holding the data file {path}. Close it and try again."
    if code == sqlite3.SQLITE_CANTOPEN or isinstance(error, OSError):
        why = getattr(error, "strerror", None) or "the file or its folder is not accessible"
        return f"The data file {path} cannot be opened: {why[0].lower()}{why[1:]}."
    return f"The data file {path} cannot be used: {error}."


@contextmanager
def saying(path: Path) -> Iterator[None]:
    """Turn errors of SQLite and of the file system into a StoreError that names the file."""
    try:
        yield
    except (sqlite3.Error, OSError) as error:
        raise StoreError(sentence(error, path)) from error
