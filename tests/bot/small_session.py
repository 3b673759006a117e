"""A session of three sentences, so that the shell is tested whatever the real session says."""

from __future__ import annotations

from datetime import datetime, timedelta

from conversations.session.events import Choice, Due, Event, Heard, Reminder, Reply
from conversations.session.fold import fold
from conversations.session.outcome import Outcome
from conversations.session.state import State


def step(state: State, message: Heard | Due, now: datetime) -> Outcome:
    """`note X` writes, `in N X` reminds after N minutes, `break` is a fault of ours."""
    events: list[Event] = []
    choices: tuple[Choice, ...] = ()
    if isinstance(message, Due):
        if message.key not in state.reminders:
            return Outcome(state=state)
        reminder = state.reminders[message.key]
        events.append(Event(kind="fired", at=now, data={"key": message.key}))
        late = (now - reminder.due).total_seconds()
        text = reminder.text + (f"\n{late:.0f} s late" if late >= 60 else "")
    elif message.text.startswith("note "):
        events.append(Event(kind="note", at=now, data={"text": message.text[5:]}))
        text = "noted: " + message.text[5:]
        choices = (Choice(label="More", says="note more"), Choice(label="Tea", says="in 5 tea"))
    elif message.text.startswith("in "):
        _, minutes, what = message.text.split(" ", 2)
        key = f"r{state.next_id}"
        reminder = Reminder(key=key, due=now + timedelta(minutes=float(minutes)), text=what)
        events.append(Event(kind="reminder_set", at=now, data={"reminder": reminder.model_dump(mode="json")}))
        events.append(Event(kind="numbered", at=now, data={"next_id": state.next_id + 1}))
        text = "will do"
    elif message.text == "break":
        raise ZeroDivisionError
    else:
        text = "?"
    events.append(Event(kind="said", at=now, data={}))
    return Outcome(events=tuple(events), replies=(Reply(text=text, choices=choices),), state=fold(state, events))
