"""Order within a chat, fairness between chats, and a bounded memory."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime

from bot.telegram.queues import MOST_WAITING, Queues
from bot.telegram.updates import Arrived

AT = datetime(2026, 3, 14, tzinfo=UTC)


def arrived(chat: int, update: int) -> Arrived:
    return Arrived(update=update, kind="text", chat=chat, person=chat, at=AT)


class World:
    """An inbox that outlives the queues, and a handler that can be made slow or faulty."""

    def __init__(self) -> None:
        self.inbox: list[Arrived] = []
        self.handled: list[Arrived] = []
        self.fail_at: set[int] = set()
        self.queues = Queues(self.handle, self.refill)

    async def handle(self, one: Arrived) -> None:
        await asyncio.sleep(0)
        if one.update in self.fail_at:
            self.fail_at.discard(one.update)
            raise OSError("the disk is full")
        # The oldest of a chat is handled first, so it is found at once.
        self.inbox.remove(one)
        self.handled.append(one)

    def refill(self, address: str, limit: int) -> list[Arrived]:
        return [one for one in self.inbox if one.address == address][:limit]

    def put(self, *arrivals: Arrived) -> None:
        self.inbox += arrivals
        self.queues.put(arrivals)

    async def wait(self, until_s: float = 30.0) -> None:
        async with asyncio.timeout(until_s):
            while self.inbox:
                await asyncio.sleep(0.01)


async def test_flood_is_handled_in_order_with_little_memory_and_holds_up_nobody() -> None:
    world = World()
    world.put(*(arrived(1, number) for number in range(400)))
    assert len(world.queues) == MOST_WAITING
    world.put(*(arrived(2, number) for number in range(5000, 5010)))
    await world.wait()
    assert [one.update for one in world.handled if one.chat == 1] == list(range(400))
    last_of_second = max(at for at, one in enumerate(world.handled) if one.chat == 2)
    assert last_of_second < 25  # ten of theirs, one for one with the flood


async def test_what_failed_is_read_again_before_what_came_later() -> None:
    world = World()
    world.fail_at = {3}
    world.put(*(arrived(1, number) for number in range(6)))
    await world.wait()
    assert [one.update for one in world.handled] == list(range(6))


async def test_after_a_restart_the_inbox_comes_first() -> None:
    world = World()
    world.inbox = [arrived(1, number) for number in range(120)]
    world.queues.resume(["telegram:1"])
    world.put(arrived(1, 500))
    await world.wait()
    assert [one.update for one in world.handled] == [*range(120), 500]


async def test_closing_leaves_the_rest_in_the_inbox() -> None:
    world = World()
    world.put(*(arrived(1, number) for number in range(1000)))
    await asyncio.sleep(0.001)
    await world.queues.close(1.0)
    assert world.handled == [arrived(1, number) for number in range(len(world.handled))]
    assert len(world.handled) + len(world.inbox) == 1000
