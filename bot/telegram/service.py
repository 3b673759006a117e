"""`potside serve`: everything put together, started in the right order and stopped without losing anything."""

from __future__ import annotations

import asyncio
import logging
import signal
import sys
from collections.abc import Coroutine
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from telegram import Bot, BotCommand
from telegram.error import InvalidToken, TelegramError

from bot.clock import Clock
from bot.engine import Engine
from bot.store import Store
from bot.telegram import health, memory, menu
from bot.telegram.access import Access, Person
from bot.telegram.buttons import Buttons
from bot.telegram.connection import Connection
from bot.telegram.desk import Desk
from bot.telegram.digest import Digest
from bot.telegram.erase import erase
from bot.telegram.group_commit import GroupCommit
from bot.telegram.household import Household
from bot.telegram.housekeeping import Housekeeping
from bot.telegram.inbox import Inbox
from bot.telegram.limits import Limits
from bot.telegram.media import Media
from bot.telegram.places import Places
from bot.telegram.polling import Polling
from bot.telegram.queues import Queues
from bot.telegram.schedule import AT_ONCE, TICK_S, Schedule
from bot.telegram.sender import IN_FLIGHT, Sender
from bot.telegram.settings import Settings
from bot.telegram.status_message import StatusMessages
from bot.telegram.updates import Arrived

if TYPE_CHECKING:
    from bot.telegram.webhook import Webhook

STOP_WITHIN_S = 5.0
_log = logging.getLogger(__name__)


def make_bot(settings: Settings) -> Bot:
    """The door to the service. No updater and no application: both would confirm updates before they are kept."""
    return Bot(
        settings.token,
        base_url=f"{settings.telegram_base_url}/bot",
        base_file_url=f"{settings.telegram_base_url}/file/bot",
        request=Connection(IN_FLIGHT + 8),
        get_updates_request=Connection(2),
    )


class Service:
    """One bot on one data file."""

    def __init__(self, settings: Settings, store: Store, clock: Clock) -> None:
        self._settings = settings
        self._clock = clock
        self.store = store
        self.bot = make_bot(settings)
        self.group = GroupCommit(store)
        self.access = Access(store)
        self.places = Places(store)
        self.inbox = Inbox(store, settings.bot_id)
        buttons = Buttons(store)
        limits = Limits(settings.telegram_rate, settings.telegram_chat_rate, settings.telegram_group_rate)
        self.sender = Sender(self.bot, store, self.places, buttons, limits, self.group, clock)
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
        self.polling = Polling(self.bot, clock, settings.telegram_poll_seconds, self._keep, self.queues.put)
        self._started = clock.now()
        self.housekeeping = Housekeeping(
            store, clock, Digest(store, self.access), settings.backups, self._send, self.signs
        )
        self._webhook: Webhook | None = None
        self._workers: list[asyncio.Task[Any]] = []
        self._changed = asyncio.Event()
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
        self.group.begin()
        woken = await self.desk.handle(arrived)
        await self.group.done()
        self._send(*woken)

    def _take(self, arrivals: list[Arrived]) -> None:
        """Keep what a webhook brought, and have it handled."""
        self.queues.put(self._keep(arrivals))

    def _keep(self, arrivals: list[Arrived]) -> list[Arrived]:
        """Commit what came, before anybody is told that it was taken; returns what is new of it."""
        self.group.begin()
        fresh = self.inbox.take(arrivals, self._clock.now())
        self.group.flush()
        return fresh

    def _send(self, *addresses: str) -> None:
        self.sender.wake(*addresses)
        if self._settings.status_message:
            self.status.touch(*(place.diary for address in addresses if (place := self.places.find(address))))

    def _erase(self, diary: str, person: Person) -> None:
        self.group.flush()
        erase(self.store, diary, person.id, person.name)

    def signs(self) -> dict[str, Any]:
        """What the health file says beside memory."""
        contact = self.polling.last_answer
        return {
            "started": self._started.isoformat(timespec="seconds"),
            "last_contact": contact.isoformat(timespec="seconds") if contact else None,
            "waiting_in_memory": len(self.queues),
            "sending_to": self.sender.lanes,
            "reminder_lateness_s": round(self.schedule.lateness_s, 1),
        }

    async def answer_button(self, query: str, text: str) -> None:
        """Close the waiting mark on a button; too late is not worth a word."""
        with suppress(TelegramError):
            await self.bot.answer_callback_query(query, text or None)

    async def without_buttons(self, chat: int, message: int) -> None:
        """Take the buttons from a message."""
        await self.sender.without_buttons(chat, message)

    async def _introduce(self) -> None:
        """Learn the bot's own name, set its menu and the way in; raises InvalidToken where the token is wrong."""
        wait = 1.0
        while True:
            try:
                await self.bot.initialize()
                self.household.username = self.bot.bot.username or ""
                await self._open_way_in()
                break
            except InvalidToken:
                raise
            except TelegramError as trouble:
                _log.warning("the service does not answer", extra={"after": type(trouble).__name__})
                await asyncio.sleep(wait)
                wait = min(30.0, wait * 2)
        with suppress(TelegramError):
            await self.bot.set_my_commands([BotCommand(name, words) for name, words in menu.MENU])
        _log.info("serving")

    async def _open_way_in(self) -> None:
        if self._webhook is not None:
            await self._webhook.start()
        else:
            # What waits at the service is kept.
            await self.bot.delete_webhook(drop_pending_updates=False)
            self._work(self.polling.run())

    def say_pairing_code(self) -> None:
        """On the console, and nowhere else."""
        code = self.access.pairing_code()
        if code is not None:
            print(f"Pairing code: {code}", flush=True)
            print("Send it to the bot; whoever does that first is its owner.", flush=True)

    def _work(self, work: Coroutine[Any, Any, None]) -> None:
        self._workers.append(asyncio.create_task(work))
        self._changed.set()

    async def run(self) -> None:
        """Serve until SIGTERM or SIGINT. Without a network reminders are still handled, and sent when it is back."""
        stop = asyncio.Event()
        loop = asyncio.get_running_loop()
        for number in (signal.SIGTERM, signal.SIGINT):
            loop.add_signal_handler(number, stop.set)
        self.say_pairing_code()
        if self._settings.telegram_webhook_url:
            from bot.telegram.webhook import Webhook

            self._webhook = Webhook(self.bot, self._settings, self._take)
        stopped = asyncio.create_task(stop.wait())
        try:
            # First what was taken before a crash, then what is unsent, then what is new.
            self.queues.resume(self.inbox.waiting_chats())
            self.sender.wake_all()
            memory.settle(self._clock.now())
            self._work(memory.collect_in_quiet(lambda: len(self.queues) + self.sender.lanes))
            self._work(self._introduce())
            self._work(self._tick())
            self._work(self.housekeeping.run())
            if self._settings.status_message:
                self._work(self.status.run())
            health.notify("READY=1", "STATUS=serving")
            await self._watch(stopped)
        finally:
            stopped.cancel()
            await self._close()

    async def _watch(self, stopped: asyncio.Task[Any]) -> None:
        """Until told to stop; a worker that fails ends the program, and the supervisor starts it again."""
        while not stopped.done():
            self._changed.clear()
            changed = asyncio.create_task(self._changed.wait())
            running = [worker for worker in self._workers if not worker.done()]
            await asyncio.wait({stopped, changed, *running}, return_when=asyncio.FIRST_COMPLETED)
            changed.cancel()
            for worker in self._workers:
                if worker.done():
                    worker.result()

    async def _tick(self) -> None:
        while True:
            # Many at once are taken in parts, so that messages get their turn in between.
            await asyncio.sleep(0 if self.tick() else TICK_S)

    def tick(self) -> bool:
        """What is looked at each second; True where there is more to do at once."""
        more = False
        try:
            self.group.begin()
            more = self.schedule.tick() >= AT_ONCE
            self.group.flush()
        # A reminder that fails must not end all others.
        except Exception:
            _log.exception("reminders")
        if not more:
            # Another program on the same file may have queued something.
            self.sender.wake_all()
        return more

    async def _close(self) -> None:
        _log.info("stopping")
        health.notify("STOPPING=1")
        if self._webhook is not None:
            self._webhook.stop()
        for worker in self._workers:
            worker.cancel()
        await asyncio.gather(*self._workers, return_exceptions=True)
        await self.queues.close(STOP_WITHIN_S)
        await self.sender.close(STOP_WITHIN_S)
        for task in list(self._tasks):
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)
        with suppress(TelegramError, RuntimeError):
            await self.bot.shutdown()
        health.file_of(self.store.path).unlink(missing_ok=True)
        _log.info("stopped")


def serve(settings: Settings, store: Store, clock: Clock) -> int:
    """Run until told to stop; returns the exit code."""
    try:
        asyncio.run(Service(settings, store, clock).run())
    except InvalidToken:
        print("potside: The service does not know this token. Check POTSIDE_TELEGRAM_TOKEN.", file=sys.stderr)
        return 2
    return 0
