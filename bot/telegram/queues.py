"""One queue a chat, chats side by side: strict order within, and no chat can take the room of the others."""

from __future__ import annotations

import asyncio
import logging
from collections import deque
from collections.abc import Awaitable, Callable, Iterable

from bot.telegram.updates import Arrived

MOST_WAITING = 50
"""Messages of one chat held in memory; what goes beyond is read from the inbox again when its turn comes."""
_log = logging.getLogger(__name__)


class Queues:
    """Runs ``handle`` for what arrived. A chat has a task while something of it waits."""

    def __init__(
        self, handle: Callable[[Arrived], Awaitable[None]], refill: Callable[[str, int], list[Arrived]]
    ) -> None:
        """``refill`` reads the oldest unhandled messages of a chat from the inbox."""
        self._handle = handle
        self._refill = refill
        self._waiting: dict[str, deque[Arrived]] = {}
        self._more: set[str] = set()
        self._tasks: dict[str, asyncio.Task[None]] = {}
        self._closing = False

    def put(self, arrivals: Iterable[Arrived]) -> None:
        """Queue what was committed, in this order."""
        for arrived in arrivals:
            address = arrived.address
            queue = self._waiting.setdefault(address, deque())
            if address in self._more or len(queue) >= MOST_WAITING:
                self._more.add(address)
            else:
                queue.append(arrived)
            self._start(address)

    def resume(self, addresses: Iterable[str]) -> None:
        """After a start: these chats have something in the inbox."""
        for address in addresses:
            self._waiting.setdefault(address, deque())
            self._more.add(address)
            self._start(address)

    def _start(self, address: str) -> None:
        if address not in self._tasks and not self._closing:
            self._tasks[address] = asyncio.create_task(self._run(address))

    async def _run(self, address: str) -> None:
        queue = self._waiting[address]
        try:
            while not self._closing:
                if not queue and address in self._more:
                    queue.extend(self._refill(address, MOST_WAITING))
                    if len(queue) < MOST_WAITING:
                        self._more.discard(address)
                if not queue:
                    return
                await self._handle(queue.popleft())
                # One message each, then the next chat: a flood of one is handled between the others.
                await asyncio.sleep(0)
        # What failed here was not marked as done: it is still in the inbox and is read again.
        except Exception:
            _log.exception("queue")
            queue.clear()
            self._more.add(address)
            if not self._closing:
                asyncio.get_running_loop().call_later(1.0, self._start, address)
        finally:
            del self._tasks[address]
            if not queue and address not in self._more:
                del self._waiting[address]

    async def close(self, wait_s: float) -> None:
        """Finish the messages that are being handled; the others wait in the inbox for the next start."""
        self._closing = True
        tasks = list(self._tasks.values())
        if tasks:
            await asyncio.wait(tasks, timeout=wait_s)
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)

    def __len__(self) -> int:
        """How many messages wait in memory."""
        return sum(len(queue) for queue in self._waiting.values())
