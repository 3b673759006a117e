"""What goes along with a reply, made when it is delivered: each kind has one maker, imported only when asked for."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime
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

    def search(self, query: str, limit: int = 20) -> list[FoundText]:
        """What the person said and noted that holds these words, newest first."""
        ...

    def photo(self, path: str) -> bytes | None:
        """A photo that the person sent, by its path in the state; None where it is gone."""
        ...


class FoundText(NamedTuple):
    """Something that the person said, found again."""

    at: datetime
    batch: int | None
    text: str


Maker = Callable[[Diary, Attachment], File | str]
"""Gives a file, or text where the answer is words found in the diary."""

_log = logging.getLogger(__name__)

MAKERS: dict[str, str] = {
    "diary_search": "bot.found_text:found_lines",
    "photo": "bot.photo_back:photo",
    "stick_scale": "bot.stick_page:make",
    "timeline": "bot.timeline_picture:make",
    "calendar": "bot.calendar_file:make",
    "gravity_chart": "bot.pictures.makers:gravity",
    "mash_chart": "bot.pictures.makers:mash",
    "boil_chart": "bot.pictures.makers:boil",
    "day_chart": "bot.pictures.makers:day",
    "colour_chart": "bot.pictures.makers:colour",
    "cost_chart": "bot.pictures.makers:costs",
    "batch_card": "bot.pictures.makers:card",
    "batch_html": "bot.export.web_page:batch_html",
    "batch_pdf": "bot.export.paper:batch_pdf",
    "labels": "bot.export.labels:labels",
    "data_json": "bot.export.diary_file:data_json",
    "data_csv": "bot.export.tables:data_csv",
    "reminders_ics": "bot.export.calendar:reminders_ics",
}
"""From the kind of an attachment to ``module:function`` of its maker."""
TEXTS = frozenset({"diary_search"})
"""Kinds whose maker gives words, quickly and the same every time: a rehearsal shows them too."""


def make(diary: Diary, attachment: Attachment) -> File | str:
    """Make what was asked for; raises KeyError for a kind that nothing makes."""
    module, _, function = MAKERS[attachment.kind].partition(":")
    maker: Maker = getattr(import_module(module), function)
    return maker(diary, attachment)


def made(diary: Diary, attachment: Attachment) -> File | str:
    """Like :func:`make`, but what cannot be made becomes a sentence: a reply is never lost over its picture."""
    try:
        return make(diary, attachment)
    # Whatever went wrong, the words of the reply are right and go out.
    except Exception:
        _log.exception("attachment %s", attachment.kind)
        return f"I could not make this: {attachment.alt} Everything you sent is kept; ask for it again."
