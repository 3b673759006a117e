"""A photo that the person sent, sent back as it was asked for."""

from __future__ import annotations

from bot.attachments import Diary, File
from conversations.session.events import Attachment


def photo(diary: Diary, attachment: Attachment) -> File | str:
    """Maker of ``photo``: the option ``path`` names one of the batch's own photos."""
    path = str(attachment.options.get("path", ""))
    known = {each.path for batch in diary.state.batches for each in batch.photos}
    data = diary.photo(path) if path in known else None
    if data is None:
        return f"This photo is not on this machine: {attachment.alt}"
    kind = "png" if data.startswith(b"\x89PNG") else "jpg"
    return File(f"photo.{kind}", "image/png" if kind == "png" else "image/jpeg", data)
