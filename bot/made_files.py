"""Made files on this machine: a folder beside the data file, with names that no batch's name can lead astray."""

from __future__ import annotations

import os
import re
import unicodedata
from contextlib import suppress
from pathlib import Path

from bot.attachments import File

_LONGEST = 80


def safe_name(name: str) -> str:
    """A file name of plain letters, digits, dots and dashes that fits every file system.

    >>> safe_name("../../Märzen & co: gravity.png")
    'Marzen-co-gravity.png'
    >>> safe_name("...")
    'file'
    """
    plain = unicodedata.normalize("NFKD", name.replace("/", " ").replace("\\", " ")).encode("ascii", "ignore").decode()
    stem, dot, ending = plain.rpartition(".")
    if not dot or not re.fullmatch(r"[A-Za-z0-9]{1,8}", ending):
        stem, ending = plain, ""
    stem = re.sub(r"[^A-Za-z0-9]+", "-", stem).strip("-")[:_LONGEST].rstrip("-") or "file"
    return f"{stem}.{ending}" if ending else stem


def close_to_others(path: Path) -> None:
    """A file that was copied here may be open to others of this machine; its log takes over the file's rights."""
    for each in (path, *(path.with_name(path.name + log) for log in ("-wal", "-shm"))):
        with suppress(FileNotFoundError, PermissionError):
            if each.stat().st_mode & 0o077:
                each.chmod(0o600)


def folder_beside(data: Path) -> Path:
    """Where the made files of a data file go: ``diary.files`` beside ``diary.db``."""
    return data.with_suffix(".files")


def kept_photo(data: Path, path: str, largest: int = 25_000_000) -> bytes | None:
    """A photo beside a data file; None where it is not there, is too big, or its path leads elsewhere.

    Paths come out of the diary, and a diary can come out of a file that somebody sent.
    """
    folder = (folder_beside(data) / "photos").resolve()
    found = (folder_beside(data) / path).resolve()
    try:
        if not found.is_relative_to(folder) or not found.is_file() or found.stat().st_size > largest:
            return None
        return found.read_bytes()
    except OSError:
        return None


def keep(folder: Path, file: File) -> Path:
    """Write a file for its owner only and say where; one of that name with other contents stays as it is.

    Raises OSError where it cannot be written.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    folder.chmod(0o700)
    name = safe_name(file.name)
    stem, dot, ending = name.rpartition(".")
    for number in range(1, 10_000):
        shown = name if number == 1 else (f"{stem}-{number}.{ending}" if dot else f"{name}-{number}")
        path = folder / shown
        try:
            # Exclusive: neither a file that is there nor a link to elsewhere is written through.
            handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
        except FileExistsError:
            if path.is_file() and not path.is_symlink() and path.read_bytes() == file.data:
                return path
            continue
        with open(handle, "wb") as out:
            out.write(file.data)
        return path
    raise OSError(f"too many files named {name}")
