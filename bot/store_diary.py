"""One chat of the store to read from."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from bot.attachments import FoundText
from bot.made_files import kept_photo
from conversations.session.events import Event
from conversations.session.state import State

if TYPE_CHECKING:
    from bot.store import Store


class ChatDiary(NamedTuple):
    """The diary of one chat, as makers of attachments read it."""

    store: Store
    chat: str

    @property
    def state(self) -> State:
        """The state of the chat as committed."""
        return self.store.state(self.chat)

    def events(self) -> list[Event]:
        """Every event of the chat, oldest first."""
        return [event for _, _, event in self.store.events(self.chat)]

    def photo(self, path: str) -> bytes | None:
        """A photo that the person sent, by its path in the state; None where it is gone."""
        return kept_photo(self.store.path, path)

    def search(self, query: str, limit: int = 20) -> list[FoundText]:
        """What the person said and noted that holds these words, newest first."""
        return self.store.search(self.chat, query, limit)
