"""Photos and voice notes: fetched within limits, kept or heard; what does not work out becomes a helpful line."""

from __future__ import annotations

import asyncio
import logging
from datetime import datetime
from pathlib import Path

from telegram import Bot
from telegram.error import BadRequest, TelegramError

from bot import sent_files
from bot.speech.audio import LARGEST_BYTES, LONGEST_S
from bot.telegram.updates import Arrived
from bot.telegram.voice import hear
from conversations.session.events import Heard, Reply
from conversations.session.state import State

_TRIES = 3
_log = logging.getLogger(__name__)


class Media:
    """Fetches files of messages."""

    def __init__(self, bot: Bot, data: Path) -> None:
        self._bot = bot
        self._data = data

    async def _fetch(self, file: str, most: int) -> bytes | None:
        """The bytes of a file; None where it cannot be had or is bigger than allowed."""
        for attempt in range(_TRIES):
            try:
                found = await self._bot.get_file(file)
                if (found.file_size or 0) > most:
                    return None
                data = bytes(await found.download_as_bytearray())
                return data if len(data) <= most else None
            except BadRequest:
                return None
            except TelegramError as trouble:
                _log.warning("a file did not come", extra={"after": type(trouble).__name__})
                await asyncio.sleep(0.5 * 2**attempt)
        return None

    async def photo(self, arrived: Arrived, diary: str, now: datetime) -> str | Reply:
        """Where the photo was kept, or the line that says why not."""
        if arrived.size > sent_files.MOST_BYTES:
            most = sent_files.MOST_BYTES // 1_000_000
            return Reply(text=f"That photo is too big ({arrived.size / 1e6:.0f} MB, {most} MB at most) and was not kept. Send it as a photo, not as a file.")
        picture = await self._fetch(arrived.file, sent_files.MOST_BYTES)
        if not picture:
            return Reply(text="That photo did not come through and was not kept; please send it again.")
        keepable = await asyncio.to_thread(sent_files.made_keepable, picture)
        if keepable is None:
            return Reply(text="That photo cannot be opened and was not kept. Send it as JPEG or PNG.")
        return await asyncio.to_thread(sent_files.keep_sent, self._data, diary, keepable, now)

    async def words(self, arrived: Arrived, state: State, now: datetime, keep_in: str) -> Heard | Reply:
        """The message that a voice note stands for, or the line that says why not; its sound stays in a diary if one is named."""
        if arrived.seconds > LONGEST_S or arrived.size > LARGEST_BYTES:
            return Reply(text="That voice note is too long (one minute at most). Nothing was recorded; say it in parts.")
        voice = await self._fetch(arrived.file, LARGEST_BYTES)
        if not voice:
            return Reply(text="That voice note did not come through. Nothing was recorded; please send it again.")
        found = await asyncio.to_thread(hear, voice, state, now, arrived.name or "me")
        if found is None:
            return Reply(text='I cannot hear yet, so nothing was recorded. Please type it: "gravity 1.050 at 25 C".')
        if keep_in and found.made_out:
            kept = await asyncio.to_thread(sent_files.keep_sent, self._data, keep_in, voice, now)
            return found.model_copy(update={"recording": kept})
        return found
