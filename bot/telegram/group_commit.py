"""One wait for the disk for several chats: what they wrote since the last one is committed together.

Each effect is still all or nothing (a part that fails is rolled back alone), and whoever needs to know that it is
on the disk waits for :meth:`GroupCommit.done`. So nothing leaves before it is committed.
"""

from __future__ import annotations

import asyncio
import time

from bot.store import Store

MOST = 64
LONGEST_S = 0.01


class GroupCommit:
    """An open transaction of the store that is closed within milliseconds."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._written: asyncio.Future[None] | None = None
        self._parts = 0
        self._since = 0.0
        self._cost_s = 0.0

    def begin(self) -> None:
        """What is written from now on, is committed together a moment later."""
        if self._written is not None and (self._parts >= MOST or time.monotonic() - self._since > LONGEST_S):
            self.flush()
        if self._written is None:
            self._store.begin()
            self._written = asyncio.get_running_loop().create_future()
            self._parts, self._since = 0, time.monotonic()
            # A slow disk is asked less often: waiting as long again for others to join costs nobody much.
            asyncio.get_running_loop().call_later(
                min(LONGEST_S, self._cost_s), self._flush_quietly, self._written
            )
        self._parts += 1

    def flush(self) -> None:
        """Commit now; raises StoreError where that fails, as does :meth:`done` for everybody in it."""
        written, self._written = self._written, None
        if written is None:
            return
        begun = time.monotonic()
        try:
            self._store.end()
        except Exception as fault:
            written.set_exception(fault)
            # Whoever wrote hears it in done(); there may be nobody left who asks.
            written.exception()
            raise
        self._cost_s += 0.2 * (time.monotonic() - begun - self._cost_s)
        written.set_result(None)

    def _flush_quietly(self, which: asyncio.Future[None]) -> None:
        if self._written is which:
            try:
                self.flush()
            # The writers are told through done().
            except Exception:
                return

    async def done(self) -> None:
        """Wait until what was written is on the disk."""
        if self._written is not None:
            await asyncio.shield(self._written)
