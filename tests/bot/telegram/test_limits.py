"""The limiter against the service's published limits.

Source: Telegram Bots FAQ, "My bot is hitting limits": about 1 message a second in one chat, 20 a minute in one
group, about 30 a second to all.
"""

from __future__ import annotations

import random
from itertools import pairwise

import pytest

from bot.telegram.limits import Limits


def send_all(limits: Limits, chats: list[int], until: float) -> list[tuple[float, int]]:
    """Send as fast as the limiter allows; returns times and chats."""
    now, sent, waiting = 0.0, [], list(chats)
    while waiting and now < until:
        ready = {chat: limits.wait_for_chat(chat, now) for chat in set(waiting)}
        pause = limits.wait_for_all(now)
        can = [chat for chat in waiting if ready[chat] <= 0]
        if can and pause <= 0:
            chat = can[0]
            waiting.remove(chat)
            limits.sent(chat, now)
            sent.append((now, chat))
        else:
            now += max(pause, min(ready.values()) if not can else 0.0, 1e-6)
    return sent


def most_within(times: list[float], window: float) -> int:
    return max(sum(start <= each < start + window for each in times) for start in times)


def test_all_together_stay_under_thirty_a_second() -> None:
    sent = send_all(Limits(25, 1, 16), list(range(1, 301)), 60)
    assert len(sent) == 300
    assert most_within([at for at, _ in sent], 1.0) <= 30
    assert sent[-1][0] < 300 / 25 + 1  # and no slower than it has to be


def test_one_chat_gets_a_small_burst_and_then_one_a_second() -> None:
    times = [at for at, _ in send_all(Limits(25, 1, 16), [5] * 20, 60)]
    assert times[:3] == [0.0, 0.0, 0.0]
    assert all(later - earlier >= 0.999 for earlier, later in pairwise(times[3:]))


def test_a_group_gets_at_most_twenty_a_minute() -> None:
    times = [at for at, _ in send_all(Limits(25, 1, 16), [-5] * 60, 400)]
    assert len(times) == 60
    assert most_within(times, 60.0) <= 20


def test_a_flood_to_one_chat_leaves_the_others_alone() -> None:
    limits = Limits(25, 1, 16)
    for _ in range(3):
        limits.sent(1, 0.0)
    assert limits.wait_for_chat(1, 0.5) == pytest.approx(0.5)
    assert limits.wait_for_chat(2, 0.5) == limits.wait_for_all(0.5) == 0


def test_retry_after_is_obeyed_and_holds_only_that_chat() -> None:
    limits = Limits(25, 1, 16)
    limits.told_to_wait(1, 30, now=100.0)
    assert limits.wait_for_chat(1, 129.0) == pytest.approx(1.0)
    assert limits.wait_for_chat(1, 130.0) == 0
    assert limits.wait_for_chat(2, 100.0) == limits.wait_for_all(100.0) == 0


def test_two_chats_told_to_wait_mean_that_everybody_waits() -> None:
    limits = Limits(25, 1, 16)
    limits.told_to_wait(1, 30, now=100.0)
    limits.told_to_wait(2, 10, now=101.0)
    assert limits.wait_for_all(102.0) == pytest.approx(9.0)


def test_nothing_is_limited_at_zero() -> None:
    assert len(send_all(Limits(0, 0, 0), [1] * 500, 0.5)) == 500


def test_memory_does_not_grow_with_the_number_of_chats() -> None:
    limits, chance = Limits(0, 1, 16), random.Random(7)
    for second in range(20_000):
        limits.sent(chance.randrange(1, 10**9), float(second))
    assert len(limits._chat._full_at) <= 5001
