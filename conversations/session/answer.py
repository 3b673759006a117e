"""One message answered without a session: for `potside ask` and other programs."""

from __future__ import annotations

from datetime import datetime

from conversations.intents import Understanding
from conversations.session.events import Heard, Reply
from conversations.session.state import State
from conversations.session.step import context_of, step
from conversations.understanding.beyond_sentences import read


def answer_once(text: str, state: State, now: datetime) -> tuple[Understanding, tuple[Reply, ...]]:
    """What was understood, and what would be replied; nothing is kept."""
    return read(text, context_of(state, now)), step(state, Heard(text=text), now).replies
