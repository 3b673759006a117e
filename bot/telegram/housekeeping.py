"""What runs by itself: the daily backup, tidying, the owner's digest, signs of life."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from bot.backup import is_due, make_backup
from bot.clock import Clock
from bot.store import Store
from bot.store_errors import StoreError
from bot.telegram import health
from bot.telegram.digest import Digest

BEAT_S = 10.0
FILE_EVERY = 3
"""Beats between two writes of the health file: a memory card wears out."""
SENT_KEPT = timedelta(days=60)
NOTHING_KEPT = timedelta(days=3)
"""How long a message that left nothing in the diary is remembered: no messenger sends one again after that, and what
strangers send must not fill the disk."""
_log = logging.getLogger(__name__)


class Housekeeping:
    """A slow loop beside the others."""

    def __init__(
        self,
        store: Store,
        clock: Clock,
        digest: Digest,
        keep: int,
        wake: Callable[..., None],
        signs: Callable[[], dict[str, Any]],
    ) -> None:
        """``signs`` gives the fields of the health file."""
        self._store = store
        self._clock = clock
        self._digest = digest
        self._keep = keep
        self._wake = wake
        self._signs = signs
        self._tried: datetime | None = None

    async def run(self) -> None:
        """Until cancelled."""
        beats = 0
        while True:
            health.notify("WATCHDOG=1")
            if beats % FILE_EVERY == 0:
                health.write(self._store.path, self._clock.now(), self._signs())
            beats += 1
            try:
                address = self._digest.look(self._clock.now())
                if address is not None:
                    self._wake(address)
                await self._daily()
            # None of this may end the serving.
            except Exception:
                _log.exception("housekeeping")
            await asyncio.sleep(BEAT_S)

    async def _daily(self) -> None:
        now = self._clock.now()
        recently = self._tried is not None and timedelta(0) <= now - self._tried < timedelta(hours=1)
        if not self._keep or recently or not is_due(self._store.path, now):
            return
        self._tried = now
        self.tidy(now)
        try:
            await asyncio.to_thread(make_backup, self._store.path, now, self._keep)
            _log.info("backed up")
        except StoreError as error:
            _log.error("no backup: %s", error)

    def tidy(self, now: datetime) -> None:
        """Drop what was sent or handled long ago; the diary itself keeps everything."""
        with self._store.transaction() as connection:
            before = (now - SENT_KEPT).isoformat(timespec="seconds")
            connection.execute("DELETE FROM outbox WHERE sent = 1 AND at < ?", (before,))
            # Strangers, buttons and questions about people leave nothing in the diary; their numbers are long past.
            connection.execute(
                "DELETE FROM inbox WHERE done = 1 AND form = 'telegram' AND fault = '' AND at < ?"
                " AND NOT EXISTS (SELECT 1 FROM events WHERE events.message = inbox.id)",
                ((now - NOTHING_KEPT).isoformat(timespec="seconds"),),
            )
