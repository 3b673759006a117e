"""What goes along with a reply, made when it is delivered: each kind has one maker, imported only when asked for."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import NamedTuple, Protocol

from conversations.session.events import Attachment, Event
from conversations.session.state import State


class File(NamedTuple):
    """A made file: its name for the person, its media type and its bytes."""

    name: str
    media_type: str
    data: bytes


class Diary(Protocol):
    """What a maker may read: the chat's state and all of its events."""

    @property
    def state(self) -> State:
        """The state of the chat as committed."""
        ...

    def events(self) -> list[Event]:
        """Every event of the chat, oldest first."""
        ...


Maker = Callable[[Diary, Attachment], File | str]
"""Gives a file, or text where the answer is words found in the diary."""

MAKERS: dict[str, str] = {}
"""From the kind of an attachment to ``module:function`` of its maker."""


def make(diary: Diary, attachment: Attachment) -> File | str:
    """Make what was asked for; raises KeyError for a kind that nothing makes."""
    module, _, function = MAKERS[attachment.kind].partition(":")
    maker: Maker = getattr(import_module(module), function)
    return maker(diary, attachment)
