"""One turn of the conversation while it is worked out: events so far, the state after them, lines to say."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from conversations.intents import Intent
from conversations.session.events import Attachment, Choice, Event, Reminder, Reply
from conversations.session.fold import batch_of, fold
from conversations.session.outcome import Outcome
from conversations.session.stages import Stage, cautions, stages
from conversations.session.state import Batch, State
from conversations.session.wording import spoken, twelve_hours


class Turn:
    """Collects what one message does. Not shared and not kept: `step` makes one and takes its outcome."""

    def __init__(self, state: State, now: datetime) -> None:
        self.state = state
        self.now = now.astimezone(ZoneInfo(state.zone))
        self.events: list[Event] = []
        self.lines: list[str] = []
        self.choices: list[Choice] = []
        self.attachments: list[Attachment] = []
        self.working = ""
        self.understood = ""
        self.who = ""
        self.expects: str | None = None
        self.question: dict[str, Any] | None = None
        self.last: Intent | None = None
        self.about = ""
        """What is to be said when "is that normal?" follows; empty where that would ask about a reading."""
        self.drawn: dict[int, Batch] = {}
        """Each batch as it was when the shelf was last made to agree with it in this turn."""
        self.course_lines: list[str] = []
        self.course_choices: list[Choice] = []
        """What was said of the course of the brew: a later reading of the same message says it anew."""
        self._opened = False

    @property
    def batch(self) -> Batch | None:
        """The batch that readings go to, if any."""
        return batch_of(self.state, self.state.current)

    @property
    def stage(self) -> Stage | None:
        """Table row of the current batch's stage."""
        return stages()[self.batch.stage] if self.batch else None

    def record(self, kind: str, label: str = "", batch: int | None = None, **data: Any) -> None:
        """Append an event that an undo takes back together with the rest of this message."""
        self.open(label or kind.replace("_", " "))
        self.note_event(kind, batch, **data)

    def open(self, label: str) -> None:
        """Begin what an undo takes back, under the name that it will say; the first one of a message holds."""
        if not self._opened:
            self._opened = True
            self.note_event("opened", label=label)

    @property
    def records(self) -> bool:
        """Whether this message has recorded something that an undo would take back."""
        return self._opened

    def mark(self) -> tuple[State, int, bool]:
        """Where the turn stands, for :meth:`back_to`."""
        return self.state, len(self.events), self._opened

    def back_to(self, mark: tuple[State, int, bool]) -> None:
        """Forget the events since a mark: an intent that was refused leaves nothing half-done."""
        self.state, count, self._opened = mark
        self.drawn.clear()
        del self.events[count:]

    def note_event(self, kind: str, batch: int | None = None, **data: Any) -> None:
        """Append an event that stands outside of undo."""
        number = batch if batch is not None else self.state.current
        event = Event(kind=kind, at=self.now, batch=number, data=data)
        self.events.append(event)
        self.state = fold(self.state, [event])

    def number(self) -> int:
        """A fresh number, unique in this chat."""
        number = self.state.next_id
        self.note_event("numbered", next_id=number + 1)
        return number

    def remind(self, key: str, due: datetime, text: str, **fields: Any) -> None:
        """Set a reminder, replacing one with the same key."""
        # The zone goes out before the sum: an hour is an hour across a spring change.
        reminder = Reminder(key=key, due=due.astimezone(ZoneInfo("UTC")), text=text, **fields)
        self.record("reminder_set", reminder=reminder.model_dump(mode="json"))

    def drop(self, key: str) -> None:
        """Drop a pending reminder, if it is there."""
        if key in self.state.reminders:
            self.record("reminder_dropped", key=key)

    def in_seconds(self, seconds: float) -> datetime:
        """The time so many real seconds from now."""
        return self.now.astimezone(ZoneInfo("UTC")) + timedelta(seconds=seconds)

    def say(self, *lines: str) -> None:
        """Add lines to the reply."""
        self.lines.extend(line for line in lines if line)

    def caution(self, key: str) -> None:
        """Say a caution, once per batch."""
        if self.batch and key not in self.batch.cautions_shown:
            self.record("caution", key=key)
            self.say(cautions()[key])

    def offer(self, *choices: tuple[str, str]) -> None:
        """Offer quick replies as (label, message) pairs."""
        new = [Choice(label=label, says=says) for label, says in choices]
        self.choices.extend(choice for choice in new if choice not in self.choices)

    def forget_course(self) -> None:
        """Take back what an earlier reading of this message made of the course of the brew."""
        for line in self.course_lines:
            self.lines.remove(line)
        self.choices = [choice for choice in self.choices if choice not in self.course_choices]
        self.course_lines, self.course_choices = [], []

    def attach(self, kind: str, alt: str, batch: int | None = None, **options: Any) -> None:
        """Ask the shell to make something and send it with the reply; ``alt`` says in words what it shows."""
        self.attachments.append(Attachment(kind=kind, alt=alt, batch=batch, options=options))

    def outcome(self) -> Outcome:
        """Close the turn: the reply, and what the next message needs to know of it."""
        self.note_event(
            "said",
            lines=self.lines,
            expects=self.expects,
            question=self.question,
            last=self.last.model_dump(mode="json") if self.last else None,
            why=self.working,
            understood=self.understood,
            about=self.about or None,
        )
        replies: tuple[Reply, ...] = ()
        if self.lines or self.attachments:
            text = "\n".join(self.lines)
            # Everywhere else times are written on a clock of 24 hours; the person's own is put on at the door.
            text = twelve_hours(text) if self.state.hours == 12 else text
            reply = Reply(
                text=text,
                spoken=spoken(text, self.state.gravity_said),
                choices=tuple(self.choices),
                attachments=tuple(self.attachments),
            )
            replies = (reply,)
        return Outcome(events=tuple(self.events), replies=replies, state=self.state)


Handlers = Mapping[str, Callable[[Turn, Intent], None]]
"""Which function answers an intent: keyed by its name, or by the family before the dot."""
