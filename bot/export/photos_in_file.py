"""Photos and kept voice notes inside the file of a diary: put in as far as there is room, taken out with suspicion, laid where the diary looks for them."""

from __future__ import annotations

import base64
import binascii
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from bot.made_files import folder_beside
from bot.sent_files import write_sent
from conversations.session.events import Event

MOST_BYTES = 32_000_000
"""Of all photos in one file, so that with the rest it stays below what a messenger takes."""
_PATH = re.compile(r"photos/[A-Za-z0-9_-]{1,80}/[A-Za-z0-9][A-Za-z0-9.-]{0,100}\.(?:jpg|png|ogg)")
_BEGINS = (b"\xff\xd8", b"\x89PNG", b"OggS")


class PhotoFile(BaseModel):
    """A photo or a voice note that the person sent, as it is kept."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    path: str = Field(description="As the 'photo' or 'recording' event names it.")
    data: str = Field(description="The JPEG, PNG or Ogg in base64.")


def paths_of(events: Iterable[Event]) -> list[str]:
    """Where the photos and kept voice notes of a diary lie, in the order in which they were sent."""
    return list(dict.fromkeys(str(each.data["path"]) for each in events if each.kind in ("photo", "recording") and each.data.get("path")))


def gathered(photos: Mapping[str, bytes | None], most: int = MOST_BYTES) -> tuple[tuple[PhotoFile, ...], tuple[str, ...]]:
    """What fits, and the paths of what is not there or has no room."""
    inside, left_out, size = [], [], 0
    for path, data in photos.items():
        if data is None or size + len(data) > most:
            left_out.append(path)
            continue
        size += len(data)
        inside.append(PhotoFile(path=path, data=base64.b64encode(data).decode()))
    return tuple(inside), tuple(left_out)


def checked(found: Any) -> dict[str, bytes]:
    """The photos of a strange file by their paths; raises ValueError with a sentence."""
    if not isinstance(found, list):
        raise ValueError("Its photos are no list.")
    good: dict[str, bytes] = {}
    for each in found:
        if not isinstance(each, dict) or set(each) != {"path", "data"} or not all(isinstance(value, str) for value in each.values()):
            raise ValueError("One of its photos is damaged.")
        if not _PATH.fullmatch(each["path"]) or ".." in each["path"]:
            raise ValueError("One of its photos lies where no photo does.")
        try:
            data = base64.b64decode(each["data"], validate=True)
        except (binascii.Error, ValueError):
            raise ValueError("One of its photos is damaged.") from None
        if not data.startswith(_BEGINS):
            raise ValueError("One of its photos is no picture.")
        good[each["path"]] = data
    return good


def lay_down(data: Path, photos: Mapping[str, bytes]) -> int:
    """Write photos beside a data file, for its owner only; what is there stays. Returns how many there are now."""
    folder, count = folder_beside(data), 0
    for path, picture in photos.items():
        if not _PATH.fullmatch(path) or ".." in path:
            continue
        write_sent(data, folder / path, picture)
        count += 1
    return count
