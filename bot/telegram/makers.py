"""Making what goes along with a reply: in a thread, so that a picture for one chat does not hold up the others."""

from __future__ import annotations

import asyncio
from typing import NamedTuple

from bot.attachments import TEXTS, File, FoundText, made
from bot.made_files import kept_photo
from bot.store import Store
from bot.telegram import wording
from bot.telegram.one_batch import seen
from conversations.session.events import Attachment, Event, Reply
from conversations.session.state import State


class ReadDiary(NamedTuple):
    """A diary that was read before, since the store belongs to one thread."""

    state: State
    all_events: list[Event]
    store: Store
    chat: str
    only: int | None = None
    """The one batch that this is for; events and state hold no other then."""

    def events(self) -> list[Event]:
        """Every event, oldest first."""
        return self.all_events

    def photo(self, path: str) -> bytes | None:
        """A photo that the person sent, by its path in the state."""
        return kept_photo(self.store.path, path)

    def search(self, query: str, limit: int = 20) -> list[FoundText]:
        """What was said with these words; opens the file once more, to read only."""
        store = Store.open(self.store.path, read_only=True)
        try:
            found = store.search(self.chat, query, limit)
            return found if self.only is None else [each for each in found if each.batch == self.only]
        finally:
            store.close()


async def make_all(store: Store, chat: str, reply: Reply, only: int | None = None) -> list[str | File]:
    """The pieces that follow the text of a reply, captions in front of what they are captions of.

    With ``only`` they are made of one batch of the diary alone.
    """
    if any(attachment.kind in TEXTS for attachment in reply.attachments):
        store.ready_for_search()
    state, events = store.state(chat), store.diary(chat).events()
    if only is not None:
        events = [event for event in events if event.batch == only]
        state = seen(state, only) or State()
    diary = ReadDiary(state, events, store, chat, only)
    parts: list[str | File] = []
    for attachment in reply.attachments:
        thing = await asyncio.to_thread(_make, diary, attachment)
        if isinstance(thing, str):
            parts += wording.pieces(thing)
        else:
            parts += [*wording.pieces(attachment.alt), thing]
    return parts


def _make(diary: ReadDiary, attachment: Attachment) -> str | File:
    if attachment.kind == "my_data":
        from bot.telegram.copy_of_data import copy_of_data

        return copy_of_data(diary.store.path, diary.chat, diary.all_events)
    return made(diary, attachment)
