"""A guest of one batch: what such a chat may see of the diary and what it may add to it.

What can be seen is decided by a state that holds nothing but this batch, so an answer cannot speak of another one.
What can be changed is decided by the events: those that add to this batch are kept, any other one refuses the
whole message. The conversation of the guest (an open question, "why?") is the guest's own.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from conversations.session import seasons
from conversations.session.events import Attachment, Choice, Due, Event, Heard, Reply
from conversations.session.fold import batch_of, fold
from conversations.session.outcome import Outcome
from conversations.session.state import State
from conversations.session.step import context_of, step
from conversations.understanding.beyond_sentences import read
from conversations.understanding.understand import understand

Talk = dict[str, Any]
"""What the next message of a guest needs to know of the last one: the fields of the state named in ``_TALK``."""

MAY_ASK = frozenset(
    [
        "ask.alcohol", "ask.caution", "ask.convert", "ask.diary", "ask.fault", "ask.fermentation", "ask.finished",
        "ask.gravity_at", "ask.help", "ask.more", "ask.next", "ask.plan", "ask.priming", "ask.readings", "ask.recipe", "ask.since", "ask.status",
        "ask.stuck", "ask.target", "ask.temperature_help", "ask.time", "ask.understood", "ask.why", "diary.value",
        "look.alive", "picture.boil",
        "picture.card", "picture.chart", "picture.colour", "picture.day", "picture.gravity", "picture.mash",
        "reminder.list", "timer.status",
    ]
)  # fmt: skip
MAY_SAY = MAY_ASK | {
    "reading.depth", "reading.gravity", "reading.mass", "reading.temperature", "reading.volume", "note", "correct",
    "sample.temperature", "tasting.remark", "unclear.hot_sample",
    "yes", "no",
}  # fmt: skip
_ADDS = frozenset(["opened", "reading", "reading_dropped", "note", "photo", "recording", "caution", "numbered"])
_TALK = ("expects", "question", "last", "why", "understood")
_PICTURES = frozenset(["gravity_chart", "mash_chart", "boil_chart", "day_chart", "colour_chart", "batch_card"])


def seen(state: State, batch: int, talk: Talk | None = None) -> State | None:
    """The diary with nothing in it but one batch and what is due for it; None where that batch is not there."""
    one = batch_of(state, batch)
    if one is None:
        return None
    fired = state.last_fired
    shown = State(
        **{name: getattr(state, name) for name in _KITCHEN},
        batches=(one,),
        current=batch,
        reminders={key: each for key, each in state.reminders.items() if each.batch == batch and key != seasons.KEY},
        next_id=state.next_id,
        last_fired=fired if fired is not None and fired.batch == batch else None,
        nudges=False,
        clock=state.clock,
    )
    return State.model_validate({**dict(shown), **(talk or {})})


_KITCHEN = (
    "zone", "units", "currency", "quiet_from", "quiet_to", "kit", "kits", "hours", "check_at", "gravity_said",
)  # fmt: skip
"""What readings are worked out and told with."""


def may_offer(choice: Choice, state: State) -> bool:
    """Whether a button does something for a guest."""
    if choice.says == "undo":
        return True
    intents = understand(choice.says, context_of(state, state.clock)).intents if state.clock else ()
    return bool(intents) and all(intent.name in MAY_SAY for intent in intents)


def may_get(attachment: Attachment) -> bool:
    """Whether something is made of one batch alone."""
    return attachment.kind in _PICTURES


class Guest:
    """The step of the session for a chat that works in one batch; ``talk`` is what the next message needs to know."""

    def __init__(self, batch: int, talk: Talk, may_undo: bool) -> None:
        """``may_undo`` says whether what was recorded last in the diary came from this chat."""
        self.batch = batch
        self.talk = talk
        self._may_undo = may_undo

    def __call__(self, state: State, message: Heard | Due, now: datetime) -> Outcome:
        """What the message does: an addition to the batch, an answer about it, or a refusal that changes nothing."""
        shown = seen(state, self.batch, self.talk)
        if shown is None or not isinstance(message, Heard):
            return _refused(state, "That batch is not there any more. /mine goes back to your own diary.")
        name = shown.batches[0].name
        only = f'This chat shares one batch, {name}: readings, notes, photos and questions about it. "/mine" is your own.'
        if message.text.strip().lower() == "undo":
            if not self._may_undo:
                return _refused(state, "What was recorded last is not from here, so it stays.")
            outcome = step(state, message, now)
            return self._within(state, outcome.events, outcome.replies, self.talk, undoes=True) or _refused(state, only)
        intents = read(message.text, context_of(shown, now)).intents if message.text.strip() else ()
        if any(intent.name not in MAY_SAY for intent in intents):
            return _refused(state, only)
        outcome = step(shown, message.model_copy(update={"takes_back": False}), now)
        after: Talk = {
            key: value for key, value in outcome.state.model_dump(mode="json").items() if key in _TALK
        }
        return self._within(state, outcome.events, outcome.replies, after) or _refused(state, only)

    def _within(
        self, state: State, events: Iterable[Event], replies: tuple[Reply, ...], talk: Talk, undoes: bool = False
    ) -> Outcome | None:
        """The outcome in the whole diary; None where an event would go beyond the batch."""
        kept = []
        for event in events:
            if event.kind == "said":
                kept.append(_said(state, event))
            elif event.kind == "heard":
                kept.append(event.model_copy(update={"batch": self.batch}))
            elif _is_nudge(event):
                continue
            elif self._adds(event) or (undoes and event.kind in ("undone", "reminder_set", "reminder_dropped")):
                kept.append(event)
            else:
                return None
        self.talk = talk
        plain = tuple(
            reply.model_copy(update={"attachments": tuple(each for each in reply.attachments if may_get(each))})
            for reply in replies
        )
        return Outcome(events=tuple(kept), replies=plain, state=fold(state, kept))

    def _adds(self, event: Event) -> bool:
        return event.batch == self.batch and (event.kind in _ADDS or self._is_check(event))

    def _is_check(self, event: Event) -> bool:
        """Whether an event moves a check of this batch, which follows from what was read."""
        if event.kind not in ("reminder_set", "reminder_dropped"):
            return False
        key = event.data["reminder"]["key"] if event.kind == "reminder_set" else event.data["key"]
        return str(key).startswith(f"{self.batch}:watch:")


def _is_nudge(event: Event) -> bool:
    key = event.data["reminder"]["key"] if event.kind == "reminder_set" else event.data.get("key")
    return event.kind in ("reminder_set", "reminder_dropped") and key == seasons.KEY


def _said(state: State, event: Event) -> Event:
    """What was said to a guest, with the conversation of the diary's own people left as it was."""
    last = state.last.model_dump(mode="json") if state.last else None
    data = {**event.data, "expects": state.expects, "question": state.question, "last": last, "why": "", "understood": ""}
    return event.model_copy(update={"data": data})


def _refused(state: State, line: str) -> Outcome:
    return Outcome(state=state, replies=(Reply(text=line),))
