"""What one step of the session hands to the shell."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

from conversations.session.events import Event, Reply
from conversations.session.state import State


class Outcome(BaseModel):
    """Events to append, replies to send, and the state after them.

    The shell stores all three in one transaction and makes its table of due times equal to
    ``state.reminders``; so a reminder exists exactly when the fold of the events says so.
    """

    model_config = ConfigDict(frozen=True)
    events: tuple[Event, ...] = ()
    replies: tuple[Reply, ...] = ()
    state: State
