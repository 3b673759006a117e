"""A copy of everything in one diary, as one file that opens anywhere: what `potside import` restores, tables, photos, kept voice notes."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

from bot.attachments import File
from bot.export.diary_file import as_json
from bot.export.tables import tables
from bot.sent_files import folder_of
from conversations.session.events import Event
from conversations.session.fold import EMPTY, fold

if TYPE_CHECKING:
    from bot.attachments import FoundText
    from conversations.session.state import State

MOST_BYTES = 45_000_000
"""The service takes files up to 50 MB."""


class _Diary:
    """A diary of events alone; its photos travel beside it."""

    def __init__(self, events: list[Event]) -> None:
        self._events = events
        self.state: State = fold(EMPTY, events)

    def events(self) -> list[Event]:
        """Every event, oldest first."""
        return self._events

    def search(self, query: str, limit: int = 20) -> list[FoundText]:
        """Nothing is looked for in a copy."""
        return []

    def photo(self, path: str) -> bytes | None:
        """None: they are not read twice."""
        return None


def copy_of_data(data: Path, chat: str, events: list[Event]) -> File:
    """A zip archive of a diary; photos and voice notes that would make it too big are left out and named in a list."""
    archive, diary = io.BytesIO(), _Diary(events)
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as zipped:
        zipped.writestr("diary.json", as_json(diary, with_photos=False))
        for name, text in tables(diary).items():
            zipped.writestr(name, text.encode("utf-8-sig"))
        left_out = []
        folder = folder_of(data, chat)
        for photo in sorted(folder.rglob("*")) if folder.is_dir() else []:
            if not photo.is_file() or photo.is_symlink():
                continue
            if archive.tell() + photo.stat().st_size > MOST_BYTES:
                left_out.append(photo.name)
            else:
                kind = "voice notes" if photo.suffix == ".ogg" else "photos"
                zipped.write(photo, f"{kind}/{photo.name}", compress_type=zipfile.ZIP_STORED)
        if left_out:
            zipped.writestr("photos-left-out.txt", "\n".join(left_out))
    return File("potside-diary.zip", "application/zip", archive.getvalue())
