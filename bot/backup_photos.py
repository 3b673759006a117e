"""Photos and kept voice notes beside the daily copies: one pool for all copies, each once, gone when no copy needs it any more.

A photo's file is never changed after it was written and its name ends in the beginning of its SHA-256, so a copy of
it is made once and a damaged one is told from a whole one. Copied and not linked: a link would be damaged with it.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing
from hashlib import sha256
from pathlib import Path

from bot.made_files import folder_beside

PHOTOS = "photos"


def pool_of(backups: Path) -> Path:
    """Where the photos of all copies in a folder lie."""
    return backups / PHOTOS


def keep_photos(data: Path, backups: Path) -> int:
    """Bring what is new into the pool; returns how many photos that were. Raises OSError."""
    new = 0
    for name, photo in _photos(folder_beside(data) / PHOTOS):
        kept = pool_of(backups) / name
        # One that was cut short later must not take the place of its whole copy.
        if not kept.is_file() or (kept.stat().st_size != photo.stat().st_size and _whole(photo)):
            _copy(photo, kept)
            new += 1
    return new


def drop_photos(data: Path, backups: Path, copies: Iterable[Path]) -> None:
    """Take out of the pool what neither the diary's folder holds nor any of these copies mentions. Raises OSError."""
    needed = {name for name, _ in _photos(folder_beside(data) / PHOTOS)}
    for copy in copies:
        needed |= mentioned(copy)
    for name, photo in list(_photos(pool_of(backups))):
        if name not in needed:
            photo.unlink(missing_ok=True)


def put_back(data: Path, chosen: Path) -> int:
    """Photos that a copy of the diary mentions, where they are missing or damaged; nothing is taken away.

    Returns how many came back. Raises OSError.
    """
    back = 0
    needed = mentioned(chosen)
    for name, kept in _photos(pool_of(chosen.parent)):
        photo = folder_beside(data) / PHOTOS / name
        if name in needed and (not photo.is_file() or (not _whole(photo) and _whole(kept))):
            _copy(kept, photo)
            back += 1
    return back


def mentioned(copy: Path) -> set[str]:
    """Photos in the diaries of a data file, as names below their folder; empty for one that cannot be read."""
    try:
        with closing(sqlite3.connect(f"{copy.resolve().as_uri()}?mode=ro", uri=True)) as file:
            rows = file.execute("SELECT json_extract(data, '$.path') FROM events WHERE kind IN ('photo', 'recording')").fetchall()
    except sqlite3.Error:
        return set()
    return {str(path).removeprefix(f"{PHOTOS}/") for (path,) in rows if path}


def _photos(folder: Path) -> Iterator[tuple[str, Path]]:
    """Each whole file of a folder of diaries, as "diary/photo"; links are none of ours."""
    for path in sorted(folder.glob("*/*")):
        if path.is_file() and not path.is_symlink() and path.suffix != ".new":
            yield f"{path.parent.name}/{path.name}", path


def _whole(photo: Path) -> bool:
    return photo.is_file() and photo.stem.endswith(sha256(photo.read_bytes()).hexdigest()[:12])


def _copy(photo: Path, to: Path) -> None:
    for each in (to.parent.parent.parent, to.parent.parent, to.parent):
        each.mkdir(mode=0o700, parents=True, exist_ok=True)
    new = to.with_suffix(".new")
    new.unlink(missing_ok=True)
    with open(photo, "rb") as source, open(os.open(new, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as out:
        shutil.copyfileobj(source, out)
        out.flush()
        os.fsync(out.fileno())
    new.replace(to)
