"""The way of one message: taken durably, stepped, committed, delivered; and reminders when they fall due."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime

from bot.clock import Clock
from bot.store import DueTime, Incoming, Store
from bot.store_errors import StoreChanged, StoreError
from conversations.session.events import Due, Event, Heard, Reply
from conversations.session.fold import fold
from conversations.session.outcome import Outcome
from conversations.session.state import State

Step = Callable[[State, Heard | Due, datetime], Outcome]
Deliver = Callable[[str, Reply, datetime], None]
"""Shows a reply to the people of a chat; the time is when the reply was made."""

MOST_TIMES = 4
"""Times that a reminder set again and again for one and the same moment happens."""

_log = logging.getLogger(__name__)


def due_source_id(due: DueTime) -> str:
    """The id under which a reminder falls due once, whoever notices; moved to another time, once more."""
    return f"due:{due.chat}:{due.key}:{due.due.isoformat()}"


class Engine:
    """Handles messages and reminders of all chats, one after the other."""

    def __init__(
        self, store: Store, clock: Clock, deliver: Deliver, step: Step | None = None, only: str | None = None
    ) -> None:
        """``step`` defaults to the session's own; ``only`` names the chat of whoever serves just one.

        Others in the same file belong to another messenger, which must find their replies unsent.
        """
        if step is None:
            from conversations.session.step import step as session_step

            step = session_step
        self.store = store
        self.clock = clock
        self._deliver = deliver
        self._step = step
        self._only = only

    def recover(self) -> None:
        """After a start: handle what was taken before a crash, then send what is still unsent."""
        for incoming in self.store.pending():
            if self._mine(incoming.chat):
                self.process(incoming)
        for chat in self.store.unsent_chats():
            if self._mine(chat):
                self.deliver(chat)

    def _mine(self, chat: str) -> bool:
        return self._only is None or chat == self._only

    def handle(self, incoming: Incoming) -> bool:
        """Take, step, commit, deliver; False where a message with this source id was taken before.

        Raises StoreError where the data file cannot be written; its text says whether the message was kept.
        """
        try:
            taken = self.store.take(*incoming[:4])
        except StoreError as error:
            raise StoreError(f"That was not saved. {error}") from error
        if taken or not self.store.handled(incoming.source_id):
            try:
                self.process(incoming)
            except StoreError as error:
                raise StoreError(f"That is kept and will be read at the next start. {error}") from error
        self.deliver(incoming.chat)
        return taken

    def process(self, incoming: Incoming, taken: bool = True, step: Step | None = None) -> None:
        """Step and commit, without delivering; ``taken`` says whether the message is in the inbox already.

        ``step`` stands in for the session's own, for somebody who may not say everything.
        """
        for _ in range(5):
            try:
                outcome = self._outcome(incoming, step or self._step)
                self.store.commit(incoming, outcome, taken)
                return
            except StoreChanged:
                continue
            except StoreError:
                raise
            # One faulty message must not end the evening: it is closed, and the person is told.
            except Exception as fault:
                _log.exception("message %s", incoming.source_id)
                reply = Reply(text=self._sorry(incoming))
                self.store.commit_fault(incoming, repr(fault), reply, taken)
                return
        raise StoreError(f"Another program keeps writing to {self.store.path}. Close it and try again.")

    def _outcome(self, incoming: Incoming, step: Step) -> Outcome:
        state = self.store.state(incoming.chat)
        zone = getattr(incoming.at.tzinfo, "key", None)
        if state.clock is not None or zone is None or zone == state.zone:
            return step(state, incoming.message, incoming.at)
        # The very first message: times are to be told in the zone that the person lives in.
        settled = Event(kind="settings_told", at=incoming.at, data={"zone": zone})
        outcome = step(fold(state, [settled]), incoming.message, incoming.at)
        return outcome.model_copy(update={"events": (settled, *outcome.events)})

    def _sorry(self, incoming: Incoming) -> str:
        if isinstance(incoming.message, Heard):
            return "That was not saved: something went wrong on my side.\nPlease say it in other words."
        try:
            what = self.store.state(incoming.chat).reminders[incoming.message.key].text
        except Exception:
            what = incoming.message.key
        return f"A reminder fell due: {what}\nThat was not saved: something went wrong on my side."

    def falls_due_as(self, due: DueTime) -> str | None:
        """The id under which a reminder is to happen now; None where it happened and only a fault left it in the table.

        The table of due times holds what has not happened yet. So one that is in it although its time was handled is
        either one that failed, which must not be tried at every look for ever, or one that was set anew for the same
        time, as after a clock was set back: that one happens once more. The inbox knows which, also after a start.
        """
        first = due_source_id(due)
        for number in range(1, MOST_TIMES + 1):
            source = first if number == 1 else f"{first}:again{number}"
            handled = self.store.rows("SELECT fault FROM inbox WHERE source_id = ? AND done = 1", source)
            if not handled:
                return source
            if handled[0][0]:
                return None
        return None

    def fire_due(self) -> int:
        """Let everything that has fallen due happen, earliest first; returns how many did.

        A reminder may set others that have fallen due as well, so the head of the table is read again after each.
        """
        fired = stuck = 0
        seen: set[str] = set()
        while True:
            # One reading of the clock for both: set back in between, it would let a reminder fire before its time.
            now = self.clock.now()
            due_now = self.store.due(now, stuck + 1, self._only)
            due = next((each for each in due_now if due_source_id(each) not in seen), None)
            if due is None:
                if len(due_now) <= stuck:
                    return fired
                # What stays in the table at its head must not hide what comes after it.
                stuck = len(due_now)
                continue
            seen.add(due_source_id(due))
            source = self.falls_due_as(due)
            if source is not None:
                fired += self.handle(Incoming(source, due.chat, Due(key=due.key), now))

    def deliver(self, chat: str) -> None:
        """Send what is committed and unsent, each marked only after it went out."""
        for waiting in self.store.unsent(chat):
            self._deliver(chat, waiting.reply, waiting.at)
            self.store.mark_sent([waiting.id])
