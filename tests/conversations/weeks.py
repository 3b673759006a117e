"""A chat over the weeks for tests: messages in, what was said out, a clock that stops at every reminder."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

from conversations.session.events import Attachment, Due, Event, Heard, Reminder
from conversations.session.fold import EMPTY
from conversations.session.outcome import Outcome
from conversations.session.state import Batch, State
from conversations.session.step import step

LISBON = ZoneInfo("Europe/Lisbon")
START = datetime(2026, 1, 10, 15, 0, tzinfo=LISBON)


@cache
def _begun(zone: str) -> State:
    return EMPTY.model_copy(update={"zone": zone})


_PLAYED: dict[tuple[int, Heard | Due, datetime], tuple[State, Outcome]] = {}


def played(state: State, message: Heard | Due, now: datetime) -> Outcome:
    """What ``step`` gives, kept: many tests begin as others do, and a step is the same whenever it is done (tests/soak plays
    whole weeks again to see that).
    """
    key = (id(state), message, now)
    if key not in _PLAYED:
        # The state is kept with it, so that no other one ever has its id.
        _PLAYED[key] = state, step(state, message, now)
    return _PLAYED[key][1]


class Chat:
    """One person's chat."""

    def __init__(self, now: datetime = START) -> None:
        self.now = now
        self.state: State = _begun(str(now.tzinfo))
        self.first = self.state
        self.events: list[Event] = []
        self.attached: tuple[Attachment, ...] = ()
        self.choices: dict[str, str] = {}

    def _took(self, outcome: Outcome) -> str:
        self.state = outcome.state
        self.events += outcome.events
        self.attached = tuple(each for reply in outcome.replies for each in reply.attachments)
        self.choices = {choice.label: choice.says for reply in outcome.replies for choice in reply.choices}
        return "\n".join(reply.text for reply in outcome.replies)

    def says(self, *messages: str) -> str:
        """Send messages; gives the answer to the last one."""
        answer = ""
        for text in messages:
            answer = self._took(played(self.state, Heard(text=text), self.now))
        return answer

    def waits(self, days: float) -> list[str]:
        """Let time pass, and hear what falls due."""
        said, end = [], self.now + timedelta(days=days)
        while True:
            due = min(self.state.reminders.values(), key=lambda each: each.due, default=None)
            if due is None or due.due > end:
                break
            self.now = max(self.now, due.due.astimezone(LISBON))
            said.append(self._took(played(self.state, Due(key=due.key), self.now)))
        self.now = end
        return said

    @property
    def batch(self) -> Batch:
        """The current batch."""
        return next(each for each in self.state.batches if each.id == self.state.current)

    def check(self, name: str) -> Reminder | None:
        """The pending check of this name."""
        return next((each for each in self.state.reminders.values() if each.name == name), None)

    def local(self, name: str) -> tuple[int, int, int]:
        """Month, day and hour at which a check is due."""
        reminder = self.check(name)
        assert reminder is not None, f"no {name} among {sorted(each.name for each in self.state.reminders.values())}"
        due = reminder.due.astimezone(LISBON)
        return due.month, due.day, due.hour


def pitched(yeast: str = "dry ale yeast", original: str = "1.048", name: str = "Stair bitter") -> Chat:
    """Five litres in the fermenter, yeast just in, at three on a Saturday afternoon."""
    chat = Chat()
    chat.says(f"brew 5 litres of {name}", "1.1 kg pale malt", "10 g Fuggle 5% at 60", f"use {yeast}", "chilled")
    chat.says(f"5 litres, gravity {original} at 20 C", "transferred", "yeast is in")
    return chat


def steady(stage: str = "bottle") -> Chat:
    """A batch whose gravity is steady, at bottling or before it."""
    chat = pitched()
    for days, gravity in ((3, "1.022"), (4, "1.011"), (2, "1.011")):
        chat.waits(days)
        chat.says(f"{gravity} at 20 C")
    if stage == "bottle":
        chat.says("next")
    return chat


def lots(chat: Chat) -> list[tuple[int, float]]:
    """The bottles that are counted: how many, and of how many millilitres."""
    return [(lot.count, lot.size.in_unit("millilitre")) for lot in chat.batch.bottles]
