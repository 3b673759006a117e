"""When Python looks for garbage: what a message leaves at once, everything else in a quiet moment.

Looking through all memory takes a tenth of a second with a few hundred diaries in it, and Python does it in the middle of
whatever is going on: it was the longest wait between a message and its answer.
"""

from __future__ import annotations

import asyncio
import gc
import time
from collections.abc import Callable
from datetime import datetime

from conversations.session.events import Heard
from conversations.session.fold import EMPTY
from conversations.session.step import step

LOOK_S = 10.0
EVERY_S = 300.0
AT_LATEST_S = 1800.0
"""Seconds after which everything is looked through although it was never quiet."""
YOUNG, MIDDLE, NEVER = 5000, 20, 1_000_000_000


def settle(now: datetime) -> None:
    """Read everything that the first message needs, and leave what is there from now on out of each look."""
    step(EMPTY, Heard(text="gravity 1.050 at 20 C"), now)
    gc.collect()
    gc.freeze()
    gc.set_threshold(YOUNG, MIDDLE, NEVER)


async def collect_in_quiet(busy: Callable[[], int]) -> None:
    """Look through everything now and then, when ``busy`` says that nothing waits; until cancelled."""
    last = time.monotonic()
    while True:
        await asyncio.sleep(LOOK_S)
        since = time.monotonic() - last
        if since >= AT_LATEST_S or (since >= EVERY_S and not busy()):
            gc.collect()
            last = time.monotonic()
