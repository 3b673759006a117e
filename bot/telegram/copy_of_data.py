"""A copy of everything in one diary, as one file that opens anywhere: events as JSON, readings as a table, photos, kept voice notes."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path

from bot.attachments import File
from bot.export.tables import table
from bot.sent_files import folder_of
from conversations.session.events import Event
from conversations.session.fold import EMPTY, fold

MOST_BYTES = 45_000_000
"""The service takes files up to 50 MB."""


def copy_of_data(data: Path, chat: str, events: list[Event]) -> File:
    """A zip archive of a diary; photos and voice notes that would make it too big are left out and named in a list."""
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as zipped:
        zipped.writestr(
            "diary.json", json.dumps([event.model_dump(mode="json") for event in events], ensure_ascii=False, indent=1)
        )
        zipped.writestr("readings.csv", _readings(events))
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


def _readings(events: list[Event]) -> str:
    """Readings that hold, corrected ones replaced, as a table."""
    head = ("batch", "at", "stage", "kind", "value", "unit", "corrected", "corrected unit", "who", "note")
    return table(
        head,
        (
            (
                batch.name,
                reading.at.isoformat(),
                reading.stage,
                reading.kind,
                reading.value.value,
                reading.value.unit,
                reading.corrected.value if reading.corrected else "",
                reading.corrected.unit if reading.corrected else "",
                reading.who,
                reading.note,
            )
            for batch in fold(EMPTY, events).batches
            for reading in batch.readings
        ),
    )
