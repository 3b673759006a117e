"""Photos that a person sent and voice notes they wanted kept, in a folder beside the data file under names that we make."""

from __future__ import annotations

import os
import re
import shutil
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from bot.backup import folder_of as backups_of
from bot.backup_photos import pool_of
from bot.export.shrunk_photo import shrunk
from bot.made_files import folder_beside

MOST_BYTES = 20_000_000
"""The service gives no bigger file to a bot."""
KEPT_BYTES = 5_000_000
"""What is bigger is kept smaller, in pixels that fill a page of paper: a memory card holds years of brews."""
KEPT_SIDE = 3200
_ENDINGS = {b"\x89PNG": "png", b"OggS": "ogg"}
"""What a file begins with, and the ending it gets; photos come as JPEG otherwise."""


def folder_of(data: Path, diary: str) -> Path:
    """Where the photos and voice notes of a diary lie; nothing in the diary's name leads elsewhere."""
    return folder_beside(data) / "photos" / re.sub(r"[^A-Za-z0-9-]+", "_", diary)


def made_keepable(picture: bytes) -> bytes | None:
    """The picture as it is kept: as it came, or smaller; None where it is too big and no picture that can be opened."""
    if len(picture) <= KEPT_BYTES and not picture.startswith(b"RIFF"):
        return picture
    return shrunk(picture, KEPT_SIDE)


def keep_sent(data: Path, diary: str, sent: bytes, at: datetime) -> str:
    """Keep a picture or a sound under a name of its own; returns its path below the folder of the data file."""
    ending = _ENDINGS.get(sent[:4], "jpg")
    path = folder_of(data, diary) / f"{at:%Y-%m-%d-%H%M%S}-{sha256(sent).hexdigest()[:12]}.{ending}"
    write_sent(data, path, sent)
    return path.relative_to(folder_beside(data)).as_posix()


def write_sent(data: Path, path: Path, sent: bytes) -> None:
    """Write a file of a diary's folder whole, for its owner only; what is there stays."""
    # One after the other: the mode is only for the last of a path.
    for each in (folder_beside(data), path.parent.parent, path.parent):
        each.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not path.exists():
        new = path.with_suffix(".new")
        with open(os.open(new, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600), "wb") as out:
            out.write(sent)
            out.flush()
            os.fsync(out.fileno())
        new.replace(path)


def erase_sent(data: Path, diary: str) -> None:
    """Delete the photos and voice notes of a diary, in the backups too."""
    folder = folder_of(data, diary)
    for each in (folder, pool_of(backups_of(data)) / folder.name):
        if each.is_dir():
            shutil.rmtree(each)
