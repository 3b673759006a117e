"""What goes into the store and comes out of it: a message to handle, a due time, a reply that waits."""

from __future__ import annotations

import json
from datetime import datetime
from typing import NamedTuple

from conversations.session.events import Due, Heard, Reply


class Incoming(NamedTuple):
    """One thing to handle, with the id under which its sender would deliver it again."""

    source_id: str
    chat: str
    message: Heard | Due
    at: datetime
    to: tuple[str, ...] = ()
    """Where replies go, where that is not the chat itself: a diary can be shared by several chats."""
    quiet: tuple[str, ...] = ()
    """Those of ``to`` where a reply must make no sound."""


class DueTime(NamedTuple):
    """A reminder of a chat and when it falls due, in UTC."""

    chat: str
    key: str
    due: datetime


class Unsent(NamedTuple):
    """A committed reply that nobody has confirmed yet."""

    id: int
    at: datetime
    reply: Reply
    chat: str = ""
    pieces: int = 0
    """How many of the messages that it was split into have arrived."""
    quiet: bool = False


def payload(message: Heard | Due) -> str:
    """A message as the inbox keeps it."""
    kind = "heard" if isinstance(message, Heard) else "due"
    return json.dumps({"kind": kind, **message.model_dump(mode="json")})


def message(kept: str) -> Heard | Due:
    """The message that the inbox kept."""
    fields = json.loads(kept)
    return Heard(**fields) if fields.pop("kind") == "heard" else Due(**fields)
