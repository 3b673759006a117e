"""Fetching: ask, commit, and only then tell the service that it was taken, which the next question does."""

from __future__ import annotations

import asyncio
import logging
import warnings
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from telegram import Bot, Update
from telegram.error import Conflict, InvalidToken, RetryAfter, TelegramError

from bot.clock import Clock
from bot.telegram.updates import TYPES, Arrived, read

LONGEST_WAIT_S = 30.0
STEPS_TO_LEAVE = 4
"""Turns of the loop in which a question gets from its task into the connection."""
# The library would rather parse the whole answer itself, and lose all of it over one update.
warnings.filterwarnings("ignore", message="Please use 'Bot.getUpdates'")
_log = logging.getLogger(__name__)


class Polling:
    """The loop that fetches; a loss of the network or a fault of the service only makes it wait."""

    def __init__(
        self,
        bot: Bot,
        clock: Clock,
        wait_s: int,
        keep: Callable[[list[Arrived]], list[Arrived]],
        hand: Callable[[list[Arrived]], None],
    ) -> None:
        """``keep`` has everything on the disk when it returns what is new of it; ``hand`` has that handled."""
        self._bot = bot
        self._clock = clock
        self._wait_s = wait_s
        self._keep = keep
        self._hand = hand
        self._asked: asyncio.Task[list[dict[str, Any]]] | None = None
        self.last_answer: datetime | None = None

    async def run(self) -> None:
        """Fetch until cancelled."""
        try:
            await self._run()
        finally:
            if self._asked is not None:
                self._asked.cancel()

    async def _run(self) -> None:
        offset: int | None = None
        troubles = 0
        while True:
            try:
                asking, self._asked = self._asked or asyncio.create_task(self._fetch(offset)), None
                updates = await asking
                self.last_answer = self._clock.now()
                troubles = 0
            except RetryAfter as refusal:
                seconds = refusal.retry_after
                await asyncio.sleep(seconds.total_seconds() if isinstance(seconds, timedelta) else seconds)
                continue
            except TelegramError as trouble:
                troubles += 1
                self._explain(trouble, troubles)
                await asyncio.sleep(min(LONGEST_WAIT_S, 0.25 * 2 ** min(troubles, 8)))
                continue
            if not updates:
                continue
            updates.sort(key=lambda update: int(update["update_id"]))
            # Not one of these is confirmed before all of them are on the disk.
            fresh = self._keep([arrived for update in updates if (arrived := read_raw(update, self._bot)) is not None])
            offset = int(updates[-1]["update_id"]) + 1
            # The next question leaves before these are worked out, or it would wait until all of them are: so a fetch
            # brings fewer at a time, and at 300 a second the last of their replies leaves a quarter sooner.
            self._asked = asyncio.create_task(self._fetch(offset))
            for _ in range(STEPS_TO_LEAVE):
                await asyncio.sleep(0)
            self._hand(fresh)

    async def _fetch(self, offset: int | None) -> list[dict[str, Any]]:
        """What waits at the service, unread: one update that cannot be read must not hold up the others."""
        asked: dict[str, Any] = {"limit": 100, "timeout": self._wait_s, "allowed_updates": TYPES}
        if offset is not None:
            asked["offset"] = offset
        found = await self._bot.do_api_request("getUpdates", api_kwargs=asked, read_timeout=self._wait_s + 15)
        if not isinstance(found, list) or not all(isinstance(each, dict) and "update_id" in each for each in found):
            raise TelegramError("no list of updates")
        return found

    def _explain(self, trouble: TelegramError, times: int) -> None:
        if isinstance(trouble, Conflict):
            said = "another program fetches with this token, or a webhook is set"
        elif isinstance(trouble, InvalidToken):
            said = "the service does not know this token"
        else:
            said = "nothing could be fetched"
        level = logging.WARNING if times in (1, 10) or times % 100 == 0 else logging.DEBUG
        _log.log(level, said, extra={"after": type(trouble).__name__, "times": times})


def read_raw(update: dict[str, Any], bot: Bot) -> Arrived | None:
    """An update as the service sends it; None, with a line in the log, for one that cannot be read."""
    try:
        return read(Update.de_json(update, bot))
    # Whatever is wrong with it: it is nobody's reading, and the next one may be.
    except Exception as fault:
        _log.error("an update could not be read", extra={"fault": type(fault).__name__})
        return None
