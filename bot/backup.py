"""Daily copies of the data file and its photos, and the way back: made with SQLite's own backup, so that writing may go on."""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from bot import backup_photos
from bot.store_errors import StoreError, saying

_NAME = re.compile(r"\d{4}-\d{2}-\d{2}\.db")


def folder_of(data: Path) -> Path:
    """Where the copies of a data file lie: ``diary.backups`` beside ``diary.db``."""
    return data.with_suffix(".backups")


def backups(data: Path) -> list[Path]:
    """The copies that there are, newest first."""
    folder = folder_of(data)
    found = [path for path in folder.iterdir() if _NAME.fullmatch(path.name)] if folder.is_dir() else []
    return sorted(found, reverse=True)


def is_sound(path: Path) -> bool:
    """Whether a file is an undamaged data file of Potside."""
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as copy:
            tables = {row[0] for row in copy.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
            return bool(copy.execute("PRAGMA integrity_check(1)").fetchone()[0] == "ok" and "inbox" in tables)
    except sqlite3.Error:
        return False


def _copy(source: Path, to: Path) -> None:
    """A whole and checked copy under its name, or none; raises StoreError."""
    new = to.with_name(to.name + ".new")
    with saying(to):
        new.unlink(missing_ok=True)
        os.close(os.open(new, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        with closing(sqlite3.connect(source, timeout=10)) as old, closing(sqlite3.connect(new)) as copy:
            # In parts, so that the program beside it can write meanwhile.
            old.backup(copy, pages=256, sleep=0.01)
            copy.execute("PRAGMA journal_mode = DELETE")
        if not is_sound(new):
            new.unlink(missing_ok=True)
            raise StoreError(f"The copy of {source} was damaged and is not kept.")
        new.replace(to)


def make_backup(data: Path, now: datetime, keep: int) -> Path:
    """Today's copy, replacing an earlier one of today; the oldest beyond ``keep`` go. Raises StoreError.

    Photos that are new are copied beside them, once for all copies.
    """
    folder = folder_of(data)
    with saying(folder):
        folder.mkdir(mode=0o700, exist_ok=True)
    made = folder / f"{now:%Y-%m-%d}.db"
    _copy(data, made)
    for old in backups(data)[max(1, keep) :]:
        old.unlink(missing_ok=True)
    # After the copy of the diary: a photo that it mentions was on the disk before.
    with saying(backup_photos.pool_of(folder)):
        backup_photos.keep_photos(data, folder)
        backup_photos.drop_photos(data, folder, backups(data))
    return made


def is_due(data: Path, now: datetime) -> bool:
    """Whether there is no copy of today yet."""
    found = backups(data)
    return not found or found[0].name < f"{now:%Y-%m-%d}.db"


def restore(data: Path, chosen: Path, now: datetime) -> Path | None:
    """Put a copy in the place of the data file; returns where the present one was put aside. Raises StoreError.

    Photos that the copy mentions come back where they are missing or damaged; none is taken away.
    """
    if not chosen.is_file():
        raise StoreError(f"There is no copy {chosen}.")
    if not is_sound(chosen):
        raise StoreError(f"{chosen} is damaged or is no data file of Potside; nothing was changed.")
    aside: Path | None = None
    with saying(data):
        data.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if data.exists():
            aside = data.with_name(f"{data.name}.before-{now:%Y-%m-%d-%H%M%S}")
            try:
                _copy(data, aside)
            except StoreError:
                # A damaged file is put aside as it is: somebody may still get something out of it.
                shutil.copy2(data, aside)
                aside.chmod(0o600)
        fresh = data.with_name(data.name + ".restored")
        _copy(chosen, fresh)
        # The log of the old file must not be read into the new one.
        for log in ("-wal", "-shm"):
            data.with_name(data.name + log).unlink(missing_ok=True)
        fresh.replace(data)
        backup_photos.put_back(data, chosen)
    return aside
