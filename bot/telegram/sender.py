"""The way out: what is committed in the outbox goes to each chat in order, within the limits, until it arrived.

Sending cannot be exactly once: a message that was cut off before its answer came is sent again. Everything else
is sent once, since each piece is noted as soon as the service confirmed it.
"""

from __future__ import annotations

import asyncio
import logging
import random
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from datetime import timedelta

from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup
from telegram.error import BadRequest, ChatMigrated, Forbidden, InvalidToken, NetworkError, RetryAfter, TelegramError

from bot.attachments import File
from bot.clock import Clock
from bot.store import Store, Unsent
from bot.telegram import late, wording
from bot.telegram.aloud import VOICE, Aloud
from bot.telegram.buttons import Buttons
from bot.telegram.group_commit import GroupCommit
from bot.telegram.limits import Limits
from bot.telegram.makers import make_all
from bot.telegram.one_batch import may_offer, seen
from bot.telegram.places import Place, Places
from bot.telegram.updates import address_of, chat_of
from conversations.session.events import Reply

IN_FLIGHT = 64
LONGEST_WAIT_S = 60.0
TRIES_ALOUD = 5
"""Times that a voice note is sent again: its text is there, and the next message must not wait for a voice."""
_GONE = ("chat not found", "user is deactivated", "bot was kicked", "peer_id_invalid", "not enough rights to send")
_log = logging.getLogger(__name__)

Piece = str | File


class Sender:
    """One lane a chat; a lane ends when nothing waits for its chat and starts again when it is woken."""

    def __init__(self, bot: Bot, store: Store, places: Places, buttons: Buttons, limits: Limits, group: GroupCommit, clock: Clock) -> None:
        self._bot = bot
        self._store = store
        self._places = places
        self._buttons = buttons
        self._limits = limits
        self._group = group
        self._clock = clock
        self._aloud = Aloud(store)
        self._lanes: dict[str, asyncio.Task[None]] = {}
        self._woken: set[str] = set()
        self._slots = asyncio.Semaphore(IN_FLIGHT)
        self._closing = False

    def wake(self, *addresses: str) -> None:
        """Something may wait for these chats."""
        for address in addresses:
            if chat_of(address) is None or self._closing:
                continue
            self._woken.add(address)
            if address not in self._lanes:
                self._lanes[address] = asyncio.create_task(self._lane(address))

    def wake_all(self) -> None:
        """Look for everything that waits, as at a start."""
        self.wake(*self._store.unsent_chats())

    async def close(self, wait_s: float) -> None:
        """Let what is on its way arrive, then stop; the rest waits for the next start."""
        self._closing = True
        lanes = list(self._lanes.values())
        if lanes:
            await asyncio.wait(lanes, timeout=wait_s)
        for lane in lanes:
            lane.cancel()
        await asyncio.gather(*lanes, return_exceptions=True)
        self._aloud.close()

    async def _lane(self, address: str) -> None:
        try:
            while address in self._woken:
                self._woken.discard(address)
                while not self._closing and (waiting := self._store.unsent(address, 20)):
                    place = self._places.find(address)
                    if place is not None and place.stopped:
                        return
                    gathered = late.together(waiting, self._clock.now())
                    if gathered is not None and not await self._deliver_late(address, *gathered):
                        return
                    for unsent in () if gathered else waiting:
                        if self._closing:
                            return
                        if not await self._deliver(address, late.with_time(unsent, self._clock.now())):
                            return
        except asyncio.CancelledError:
            raise
        # A lane must not die silently: what it could not send stays in the outbox and is tried again.
        except Exception:
            _log.exception("lane")
            asyncio.get_running_loop().call_later(5.0, self.wake, address)
        finally:
            del self._lanes[address]
            if address in self._woken:
                self.wake(address)

    async def _deliver(self, address: str, unsent: Unsent) -> bool:
        """Send one reply, all its pieces; False where the chat takes nothing any more."""
        chat = chat_of(address)
        assert chat is not None
        place = self._places.find(address)
        parts: list[Piece] = [*wording.pieces(unsent.reply.text)]
        # What is made of a diary goes only to who may see it now.
        if unsent.reply.attachments and (address == unsent.chat or (place is not None and place.diary == unsent.chat)):
            only = place.batch if place is not None and address != unsent.chat else None
            parts += await make_all(self._store, unsent.chat, unsent.reply, only)
        texts = [at for at, part in enumerate(parts) if isinstance(part, str)]
        # Under the text, not under a picture that may follow it: the thumb finds them where the question is.
        buttons_at = next(iter(reversed(texts[: len(wording.pieces(unsent.reply.text))])), len(parts) - 1)
        wish = self._aloud.wish(unsent, address)
        for at, part in enumerate(parts):
            if at < unsent.pieces:
                continue
            keyboard = self._keyboard(unsent, address, place) if at == buttons_at else None
            found = await self._until_sent(chat, part, keyboard, unsent)
            if found is None:
                return False
            self._group.begin()
            with self._store.transaction() as connection:
                connection.execute(
                    "UPDATE outbox SET pieces = ?, posted = COALESCE(?, posted), sent = ? WHERE id = ?",
                    (at + 1, found if keyboard is not None else None, at + 1 == len(parts) and not wish, unsent.id),
                )
            await self._group.done()
        # Behind everything else: a start in between finds the text sent and only the voice left.
        note = await self._aloud.note(wish) if wish else None
        if note is not None and await self._until_sent(chat, note, None, unsent) is None:
            return False
        if wish or not parts:
            self._group.begin()
            self._store.mark_sent([unsent.id])
            await self._group.done()
        return True

    async def _deliver_late(self, address: str, waiting: list[Unsent], reply: Reply) -> bool:
        """Send one reply for several that waited too long; their buttons are those of the last."""
        *earlier, last = waiting
        if not await self._deliver(address, last._replace(reply=reply)):
            return False
        self._group.begin()
        self._store.mark_sent([unsent.id for unsent in earlier])
        await self._group.done()
        return True

    def _offered(self, unsent: Unsent, place: Place | None) -> list[int]:
        """Which choices of a reply do something in this chat."""
        choices = unsent.reply.choices
        if place is None or place.batch is None or place.diary != unsent.chat:
            return list(range(len(choices)))
        shown = seen(self._store.state(unsent.chat), place.batch)
        return [at for at, choice in enumerate(choices) if shown is not None and may_offer(choice, shown)]

    def _keyboard(self, unsent: Unsent, address: str, place: Place | None) -> InlineKeyboardMarkup | None:
        choices, offered = unsent.reply.choices, self._offered(unsent, place)
        if not offered:
            return None
        return InlineKeyboardMarkup(
            [
                [
                    InlineKeyboardButton(
                        choices[offered[at]].label[:60],
                        callback_data=self._buttons.data(unsent.id, offered[at], address),
                    )
                    for at in row
                ]
                for row in wording.rows([choices[number].label for number in offered])
            ]
        )

    async def _until_sent(
        self, chat: int, part: Piece, keyboard: InlineKeyboardMarkup | None, unsent: Unsent
    ) -> int | None:
        """The service's number of the message once it took it, 0 where it refuses it; None where the chat is gone."""
        tries, plain = 0, False
        while True:
            try:
                await self._turn(chat)
                async with self._slots:
                    self._limits.sent(chat, time.monotonic())
                    return await self._post(chat, part, keyboard, unsent.quiet, plain)
            except RetryAfter as refusal:
                wait = _seconds(refusal)
                self._limits.told_to_wait(chat, wait, time.monotonic())
                _log.warning("told to wait", extra={"seconds": wait})
            except ChatMigrated as moved:
                self._places.moved(address_of(chat), address_of(moved.new_chat_id))
                self.wake(address_of(moved.new_chat_id))
                return None
            except Forbidden:
                self._gone(chat)
                return None
            # These two are kinds of NetworkError or end the bot; they come first.
            except BadRequest as refusal:
                said = str(refusal).lower()
                if _is_voice(part):
                    # Somebody may take no voice notes, a group may not allow them: they read.
                    _log.info("a voice note was refused")
                    return 0
                if any(each in said for each in _GONE):
                    self._gone(chat)
                    return None
                if not plain:
                    plain = True
                    continue
                self._give_up(unsent, type(refusal).__name__)
                return 0
            except (InvalidToken, NetworkError, TelegramError) as trouble:
                tries += 1
                if _is_voice(part) and tries > TRIES_ALOUD:
                    return 0
                wait = min(LONGEST_WAIT_S, 0.1 * 3 ** min(tries, 6)) * random.uniform(0.8, 1.2)
                _log.warning("sending again", extra={"after": type(trouble).__name__, "seconds": round(wait, 1)})
                await asyncio.sleep(wait)

    async def _turn(self, chat: int) -> None:
        """Wait until this chat, and then everybody together, may get a message."""
        while (wait := self._limits.wait_for_chat(chat, time.monotonic())) > 0:
            await asyncio.sleep(wait)
        while (wait := self._limits.wait_for_all(time.monotonic())) > 0:
            await asyncio.sleep(wait)

    async def _post(
        self, chat: int, part: Piece, keyboard: InlineKeyboardMarkup | None, quiet: bool, plain: bool
    ) -> int:
        silent = True if quiet else None
        if isinstance(part, str):
            message = await self._bot.send_message(
                chat,
                part if plain else wording.as_html(part),
                parse_mode=None if plain else "HTML",
                reply_markup=keyboard,
                disable_notification=silent,
            )
        elif _is_voice(part):
            message = await self._bot.send_voice(chat, part.data, filename=part.name, disable_notification=silent)
        elif part.media_type in ("image/png", "image/jpeg") and len(part.data) < 9_000_000 and not plain:
            message = await self._bot.send_photo(
                chat, part.data, filename=part.name, reply_markup=keyboard, disable_notification=silent
            )
        else:
            message = await self._bot.send_document(
                chat, part.data, filename=part.name, reply_markup=keyboard, disable_notification=silent
            )
        return message.message_id

    def _gone(self, chat: int) -> None:
        _log.info("a chat takes nothing any more")
        self._places.stop(address_of(chat))

    def _give_up(self, unsent: Unsent, why: str) -> None:
        """The service will never take this one: the rest of the chat must not wait behind it."""
        _log.error("refused for good", extra={"reply": unsent.id})
        with self._store.transaction() as connection:
            connection.execute("UPDATE outbox SET fault = ? WHERE id = ?", (why, unsent.id))

    async def post_silently(self, chat: int, text: str) -> int:
        """Send a message beside the outbox, without a sound, tried once; returns its number."""
        async with self._once(chat):
            message = await self._bot.send_message(
                chat, wording.as_html(text), parse_mode="HTML", disable_notification=True
            )
        return message.message_id

    async def edit(self, chat: int, message: int, text: str) -> bool:
        """Put another text into a message, tried once; False where it is gone."""
        try:
            async with self._once(chat):
                await self._bot.edit_message_text(wording.as_html(text), chat, message, parse_mode="HTML")
        except BadRequest as refusal:
            return "not modified" in str(refusal).lower()
        return True

    @asynccontextmanager
    async def _once(self, chat: int) -> AsyncIterator[None]:
        """One call within the limits, which hear of it where the service says to wait."""
        await self._turn(chat)
        self._limits.sent(chat, time.monotonic())
        try:
            yield
        except RetryAfter as refusal:
            self._limits.told_to_wait(chat, _seconds(refusal), time.monotonic())
            raise

    async def without_buttons(self, chat: int, message: int) -> None:
        """Take the buttons from a message; it does not matter much whether that works."""
        with suppress(TelegramError):
            async with self._once(chat):
                await self._bot.edit_message_reply_markup(chat, message, reply_markup=None)

    @property
    def lanes(self) -> int:
        """How many chats are being sent to."""
        return len(self._lanes)


def _is_voice(part: Piece) -> bool:
    return isinstance(part, File) and part.media_type == VOICE


def _seconds(refusal: RetryAfter) -> float:
    seconds = refusal.retry_after
    return seconds.total_seconds() if isinstance(seconds, timedelta) else float(seconds)
