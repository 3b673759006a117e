"""The pinned message of a running batch: where it is, what comes next and when, the last readings; edited in place."""

from __future__ import annotations

import asyncio
import logging
from datetime import datetime
from zoneinfo import ZoneInfo

from telegram import Bot
from telegram.error import BadRequest, Forbidden, TelegramError

from bot.store import Store
from bot.telegram.one_batch import seen
from bot.telegram.places import Places
from bot.telegram.sender import Sender
from bot.telegram.updates import chat_of
from conversations.session import wording
from conversations.session.fold import batch_of
from conversations.session.stages import stages
from conversations.session.state import Batch, Reading, State

PAUSE_S = 3.0
"""Between two edits of all: several messages in a row cost one edit."""
_log = logging.getLogger(__name__)


def status_text(state: State, now: datetime) -> str:
    """The message for the current batch; empty where none is running. Times are clock times, so it does not age."""
    batch = batch_of(state, state.current)
    if batch is None or batch.stage == "condition":
        return ""
    local = now.astimezone(ZoneInfo(state.zone))
    lines = [f"{batch.name}: {stages()[batch.stage].title.lower()}" + (" (paused)" if batch.paused_at else "")]
    mine = [each for each in state.reminders.values() if each.batch in (batch.id, None)]
    following = min(mine, key=lambda each: each.due, default=None)
    if following is not None:
        when = wording.clock(following.due.astimezone(local.tzinfo), local)
        lines.append(f"Next: {when} {following.text.partition(chr(10))[0]}")
    lines += [_reading(each, state, batch) for each in batch.readings[-3:]]
    return "\n".join(lines)


def _reading(reading: Reading, state: State, batch: Batch) -> str:
    at = f"{reading.at.astimezone(ZoneInfo(state.zone)):%H:%M}"
    value, units = reading.best, state.units
    kind = "volume" if reading.kind == "depth" and reading.corrected else reading.kind
    shown = {
        "gravity": lambda: wording.gravity(value),
        "temperature": lambda: wording.temperature(value, units),
        "volume": lambda: wording.volume(value, units),
        "depth": lambda: wording.depth(value, units),
    }.get(kind, lambda: wording.mass(value, units))()
    several = len({each.who for each in batch.readings}) > 1
    return f"{at} {kind} {shown}" + (f" ({reading.who})" if several and reading.who else "")


class StatusMessages:
    """Keeps the pinned messages equal to the diaries, a few seconds behind, and never before an answer."""

    def __init__(self, bot: Bot, store: Store, places: Places, sender: Sender) -> None:
        self._bot = bot
        self._store = store
        self._places = places
        self._sender = sender
        self._changed: dict[str, None] = {}

    def touch(self, *diaries: str) -> None:
        """Something changed in these diaries."""
        self._changed.update(dict.fromkeys(diaries))

    async def run(self, now: asyncio.Future[None] | None = None) -> None:
        """Bring the messages up to date until cancelled."""
        while True:
            await asyncio.sleep(PAUSE_S)
            diaries, self._changed = list(self._changed), {}
            for diary in diaries:
                whole = dict.fromkeys(self._places.watchers(diary))
                for address, only in {**whole, **self._places.batch_watchers(diary)}.items():
                    try:
                        await self._update(diary, address, only)
                    except (Forbidden, BadRequest) as refusal:
                        _log.info("no status message", extra={"after": type(refusal).__name__})
                    except TelegramError as trouble:
                        _log.info("status message later", extra={"after": type(trouble).__name__})
                        self.touch(diary)

    async def _update(self, diary: str, address: str, only: int | None) -> None:
        chat, state = chat_of(address), self._store.state(diary)
        if chat is None or state.clock is None:
            return
        shown = state if only is None else seen(state, only)
        text = status_text(shown, state.clock) if shown is not None else ""
        found = self._store.rows("SELECT pinned, pinned_text FROM places WHERE address = ?", address)
        pinned, before = found[0] if found else (None, "")
        if text == before or (not text and pinned is None):
            return
        if pinned is not None and await self._sender.edit(chat, pinned, text or "No batch is running."):
            self._keep(address, pinned if text else None, text)
            return
        if not text:
            return
        message = await self._sender.post_silently(chat, text)
        self._keep(address, message, text)
        try:
            await self._bot.pin_chat_message(chat, message, disable_notification=True)
        except TelegramError:
            # In a group that takes a right that may not be given; the message is useful unpinned.
            _log.info("a status message could not be pinned")

    def _keep(self, address: str, message: int | None, text: str) -> None:
        with self._store.transaction() as connection:
            connection.execute(
                "UPDATE places SET pinned = ?, pinned_text = ? WHERE address = ?", (message, text, address)
            )
