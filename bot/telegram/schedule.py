"""Reminders: one look at the table of due times each second, against the wall clock.

That survives a suspended computer and a clock put right, and costs nothing while nothing is due. What fell due
while Potside was off comes as one message a chat.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from bot.clock import Clock
from bot.engine import Engine
from bot.store import DueTime, Incoming
from bot.telegram.places import Places
from conversations.session.events import Due
from conversations.session.quiet import ON_THE_HOB, ends

TICK_S = 1.0
LATE = timedelta(minutes=2)
AHEAD = timedelta(seconds=30)
AHEAD_EACH = 40
"""Diaries read before their reminders fall due, in each quiet second: then only the work of the moment is left."""
AT_ONCE = 100
"""Reminders handled before messages get their turn again."""
MOST_HELD = 1000
"""Of many at one moment all are committed before the first is sent, up to so many chats: none waits for the network."""


class Schedule:
    """Lets what has fallen due happen, and says which chats have something to be sent."""

    def __init__(self, engine: Engine, places: Places, clock: Clock, wake: Callable[..., None]) -> None:
        self._engine = engine
        self._places = places
        self._clock = clock
        self._wake = wake
        self._stuck = 0
        self._woken: dict[str, None] = {}
        self.lateness_s = 0.0
        """How late the latest reminder was."""

    def tick(self) -> int:
        """Handle what is due now, in one transaction; returns how many reminders that were."""
        now = self._clock.now()
        # What a fault left in the table stands at its head and must not hide what comes after it.
        due_now = self._engine.store.due(now, AT_ONCE + self._stuck)
        named = {due: self._engine.falls_due_as(due) for due in due_now if due.chat.startswith("telegram:")}
        waiting = [due for due, source in named.items() if source is not None]
        self._stuck = len(due_now) - len(waiting)
        if not waiting:
            self._send()
            self._engine.store.read_ahead(now + AHEAD, AHEAD_EACH)
            return 0
        with self._engine.store.transaction():
            batches = self._batches(waiting)
            for group in together(waiting, now - LATE, batches):
                first = group[0]
                to = self._places.watchers(first.chat)
                if first in batches:
                    guests = self._places.batch_watchers(first.chat).items()
                    to += tuple(address for address, batch in guests if batch == batches[first])
                message = Due(key=first.key, also=tuple(due.key for due in group[1:]))
                quiet = self._asleep(first, to, now)
                self._engine.process(Incoming(named[first] or "", first.chat, message, now, to, quiet), taken=False)
                self._woken.update(dict.fromkeys(to))
        self.lateness_s = max((now - due.due).total_seconds() for due in waiting)
        if len(waiting) < AT_ONCE or len(self._woken) >= MOST_HELD:
            self._send()
        return len(waiting)

    def _send(self) -> None:
        woken, self._woken = self._woken, {}
        self._wake(*woken)

    def _batches(self, waiting: list[DueTime]) -> dict[DueTime, int | None]:
        """The batch of each reminder of the diaries in which somebody shares one batch."""
        shared = {diary for diary in {due.chat for due in waiting} if self._places.batch_watchers(diary)}
        found: dict[DueTime, int | None] = {}
        for due in waiting:
            if due.chat in shared:
                reminder = self._engine.store.state(due.chat).reminders.get(due.key)
                found[due] = reminder.batch if reminder is not None and reminder.kind != "nudge" else None
        return found

    def _asleep(self, due: DueTime, to: tuple[str, ...], now: datetime) -> tuple[str, ...]:
        """Guests of a diary whose own quiet hours it is: what is not on the hob reaches them without a sound."""
        guests = tuple(address for address in to if address != due.chat)
        if not guests:
            return ()
        store = self._engine.store
        reminder = store.state(due.chat).reminders.get(due.key)
        if reminder is None or reminder.kind in ON_THE_HOB:
            return ()
        return tuple(address for address in guests if ends(store.state(address), now) is not None)


def together(
    waiting: list[DueTime], late_before: datetime, batches: dict[DueTime, int | None] | None = None
) -> list[list[DueTime]]:
    """Single reminders in order, except that the late ones of a diary come together.

    Where ``batches`` names them those of each batch, since not everybody may hear of every batch.
    """
    groups: list[list[DueTime]] = []
    late: dict[tuple[str, int | None], list[DueTime]] = {}
    for due in waiting:
        if due.due < late_before:
            those = (due.chat, (batches or {}).get(due))
            if those not in late:
                groups.append(late.setdefault(those, []))
            late[those].append(due)
        else:
            groups.append([due])
    return groups
