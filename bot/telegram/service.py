"""`potside serve`: everything put together, started in the right order and stopped without losing anything."""

from __future__ import annotations

import asyncio
import logging
import signal
import sys
from collections.abc import Coroutine
from contextlib import suppress
from typing import Any

from telegram import Bot, BotCommand
from telegram.error import InvalidToken, TelegramError
from telegram.request import HTTPXRequest

from bot.clock import Clock
from bot.engine import Engine
from bot.store import Store
from bot.telegram import menu
from bot.telegram.access import Access, Person
from bot.telegram.buttons import Buttons
from bot.telegram.desk import Desk
from bot.telegram.household import Household
from bot.telegram.inbox import Inbox
from bot.telegram.limits import Limits
from bot.telegram.media import Media
from bot.telegram.places import Places
from bot.telegram.polling import Polling
from bot.telegram.queues import Queues
from bot.telegram.schedule import TICK_S, Schedule
from bot.telegram.sender import IN_FLIGHT, Sender
from bot.telegram.settings import Settings
from bot.telegram.status_message import StatusMessages
from bot.telegram.updates import Arrived

STOP_WITHIN_S = 5.0
_log = logging.getLogger(__name__)


def make_bot(settings: Settings) -> Bot:
    """The door to the service. No updater and no application: both would confirm updates before they are kept."""
    return Bot(
        settings.token,
        base_url=f"{settings.telegram_base_url}/bot",
        base_file_url=f"{settings.telegram_base_url}/file/bot",
        request=HTTPXRequest(connection_pool_size=IN_FLIGHT + 8, read_timeout=20, write_timeout=20, pool_timeout=30),
        get_updates_request=HTTPXRequest(connection_pool_size=2, read_timeout=20),
    )


class Service:
    """One bot on one data file."""

    def __init__(self, settings: Settings, store: Store, clock: Clock) -> None:
        self._settings = settings
        self._clock = clock
        self.store = store
        self.bot = make_bot(settings)
        self.access = Access(store)
        self.places = Places(store)
        self.inbox = Inbox(store, settings.bot_id)
        buttons = Buttons(store)
        limits = Limits(settings.telegram_rate, settings.telegram_chat_rate, settings.telegram_group_rate)
        self.sender = Sender(self.bot, store, self.places, buttons, limits)
        self.engine = Engine(store, clock, lambda chat, reply, at: None)
        self.household = Household(self.access, self.places)
        self.status = StatusMessages(self.bot, store, self.places, self.sender)
        self.desk = Desk(
            self.engine,
            self.inbox,
            self.access,
            self.places,
            self.household,
            buttons,
            Media(self.bot, store.path),
            self,
            clock,
            self._background,
            self._erase,
        )
        self.queues = Queues(self._handle, self.inbox.waiting)
        self.schedule = Schedule(self.engine, self.places, clock, self._send)
        self.polling = Polling(self.bot, self.inbox, clock, settings.telegram_poll_seconds, self.queues.put)
        self._tasks: set[asyncio.Task[None]] = set()

    def _background(self, work: Coroutine[Any, Any, None]) -> None:
        task = asyncio.create_task(work)
        self._tasks.add(task)
        task.add_done_callback(self._done)

    def _done(self, task: asyncio.Task[None]) -> None:
        self._tasks.discard(task)
        if not task.cancelled() and (fault := task.exception()) is not None:
            _log.error("background", exc_info=fault)

    async def _handle(self, arrived: Arrived) -> None:
        self._send(*await self.desk.handle(arrived))

    def _send(self, *addresses: str) -> None:
        self.sender.wake(*addresses)
        if self._settings.status_message:
            self.status.touch(*(place.diary for address in addresses if (place := self.places.find(address))))

    def _erase(self, diary: str, person: Person) -> None:
        raise NotImplementedError

    async def answer_button(self, query: str, text: str) -> None:
        """Close the waiting mark on a button; too late is not worth a word."""
        with suppress(TelegramError):
            await self.bot.answer_callback_query(query, text or None)

    async def without_buttons(self, chat: int, message: int) -> None:
        """Take the buttons from a message."""
        await self.sender.without_buttons(chat, message)

    async def introduce(self) -> None:
        """Learn the bot's own name and set its menu; raises InvalidToken where the token is wrong."""
        wait = 1.0
        while True:
            try:
                await self.bot.initialize()
                self.household.username = self.bot.bot.username or ""
                break
            except InvalidToken:
                raise
            except TelegramError as trouble:
                _log.warning("the service does not answer", extra={"after": type(trouble).__name__})
                await asyncio.sleep(wait)
                wait = min(30.0, wait * 2)
        with suppress(TelegramError):
            await self.bot.set_my_commands([BotCommand(name, words) for name, words in menu.MENU])

    def say_pairing_code(self) -> None:
        """On the console, and nowhere else."""
        code = self.access.pairing_code()
        if code is not None:
            print(f"Pairing code: {code}", flush=True)
            print("Send it to the bot; whoever does that first is its owner.", flush=True)

    async def run(self) -> None:
        """Serve until SIGTERM or SIGINT."""
        stop = asyncio.Event()
        loop = asyncio.get_running_loop()
        for number in (signal.SIGTERM, signal.SIGINT):
            loop.add_signal_handler(number, stop.set)
        self.say_pairing_code()
        workers: list[asyncio.Task[Any]] = []
        try:
            introduced = asyncio.create_task(self.introduce())
            stopped = asyncio.create_task(stop.wait())
            await asyncio.wait({introduced, stopped}, return_when=asyncio.FIRST_COMPLETED)
            if introduced.done():
                introduced.result()
            else:
                introduced.cancel()
                return
            # First what was taken before a crash, then what is unsent, then what is new.
            self.queues.resume(self.inbox.waiting_chats())
            self.sender.wake_all()
            works: list[Coroutine[Any, Any, None]] = [self.polling.run(), self._tick()]
            if self._settings.status_message:
                works.append(self.status.run())
            workers = [asyncio.create_task(work) for work in works]
            _log.info("serving")
            done, _ = await asyncio.wait({stopped, *workers}, return_when=asyncio.FIRST_COMPLETED)
            for task in done - {stopped}:
                task.result()
        finally:
            await self._close(workers)

    async def _tick(self) -> None:
        while True:
            self.tick()
            await asyncio.sleep(TICK_S)

    def tick(self) -> None:
        """What is looked at each second."""
        try:
            self.schedule.tick()
        # A reminder that fails must not end all others.
        except Exception:
            _log.exception("reminders")

    async def _close(self, workers: list[asyncio.Task[Any]]) -> None:
        _log.info("stopping")
        for worker in workers:
            worker.cancel()
        await asyncio.gather(*workers, return_exceptions=True)
        await self.queues.close(STOP_WITHIN_S)
        await self.sender.close(STOP_WITHIN_S)
        for task in list(self._tasks):
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)
        with suppress(TelegramError, RuntimeError):
            await self.bot.shutdown()
        _log.info("stopped")


def serve(settings: Settings, store: Store, clock: Clock) -> int:
    """Run until told to stop; returns the exit code."""
    try:
        asyncio.run(Service(settings, store, clock).run())
    except InvalidToken:
        print("potside: The service does not know this token. Check POTSIDE_TELEGRAM_TOKEN.", file=sys.stderr)
        return 2
    return 0
