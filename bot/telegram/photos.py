"""Photos that a person sent, in a folder beside the data file under names that we make."""

from __future__ import annotations

import os
import re
import shutil
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from bot.backup import folder_of as backups_of
from bot.backup_photos import pool_of
from bot.made_files import folder_beside

MOST_BYTES = 10_000_000


def folder_of(data: Path, diary: str) -> Path:
    """Where the photos of a diary lie; nothing in the diary's name leads elsewhere."""
    return folder_beside(data) / "photos" / re.sub(r"[^A-Za-z0-9-]+", "_", diary)


def keep_photo(data: Path, diary: str, picture: bytes, at: datetime) -> str:
    """Write a picture for its owner only; returns its path below the folder of the data file."""
    folder = folder_of(data, diary)
    # One after the other: the mode is only for the last of a path.
    for each in (folder_beside(data), folder.parent, folder):
        each.mkdir(mode=0o700, parents=True, exist_ok=True)
    ending = "png" if picture.startswith(b"\x89PNG") else "jpg"
    path = folder / f"{at:%Y-%m-%d-%H%M%S}-{sha256(picture).hexdigest()[:12]}.{ending}"
    if not path.exists():
        new = path.with_suffix(".new")
        with open(os.open(new, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600), "wb") as out:
            out.write(picture)
            out.flush()
            os.fsync(out.fileno())
        new.replace(path)
    return path.relative_to(folder_beside(data)).as_posix()


def erase_photos(data: Path, diary: str) -> None:
    """Delete the photos of a diary, in the backups too."""
    folder = folder_of(data, diary)
    for each in (folder, pool_of(backups_of(data)) / folder.name):
        if each.is_dir():
            shutil.rmtree(each)
