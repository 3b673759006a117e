"""What came in, reduced to what Potside needs of it: this is what the inbox keeps until it is handled."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Literal

from pydantic import BaseModel, ConfigDict

if TYPE_CHECKING:
    from telegram import CallbackQuery, Message, Update

TYPES = ["message", "edited_message", "callback_query", "my_chat_member"]
"""Kinds of updates that are asked for."""
LONGEST = 8000
"""Characters of a text that are kept; the session refuses long before that."""

PICTURES = frozenset(["image/jpeg", "image/png", "image/webp"])
"""Kinds of files that are taken for photos."""
_SECRET = re.compile(r"(?<!\d)\d{6,12}:[A-Za-z0-9_-]{30,}")
"""The shape of a bot's token: somebody may paste it into the chat, and it must not get into the diary."""

Kind = Literal["text", "button", "photo", "voice", "location", "other", "moved", "joined", "left"]


class Arrived(BaseModel):
    """One update. ``chat`` is below 0 for a group; ``file`` is the service's id of a photo or voice note."""

    model_config = ConfigDict(frozen=True)
    update: int
    kind: Kind
    chat: int
    person: int
    name: str = ""
    title: str = ""
    message: int = 0
    edited: bool = False
    at: datetime
    text: str = ""
    file: str = ""
    size: int = 0
    seconds: int = 0
    query: str = ""
    moved_to: int = 0

    @property
    def address(self) -> str:
        """The chat as the store names it."""
        return address_of(self.chat)

    @property
    def group(self) -> bool:
        """Whether it came from a group."""
        return self.chat < 0


def address_of(chat: int) -> str:
    """The name of a chat in the store.

    >>> address_of(-100)
    'telegram:-100'
    """
    return f"telegram:{chat}"


def chat_of(address: str) -> int | None:
    """The chat that a name of the store stands for; None for chats that are elsewhere."""
    kind, _, number = address.partition(":")
    return int(number) if kind == "telegram" and number.lstrip("-").isdigit() else None


def first_name(given: str | None) -> str:
    """A name that is safe to show: one line, no control characters, not long."""
    shown = "".join(letter for letter in (given or "") if letter.isprintable())
    return " ".join(shown.split())[:40]


def _whole(text: str) -> str:
    """The text, not too long, without halves of letters: those could never be written down, and would come again for ever."""
    return text[:LONGEST].encode("utf-8", "replace").decode()


def read(update: Update) -> Arrived | None:
    """What an update brings; None for what Potside has no use for, such as posts of a channel."""
    query = update.callback_query
    if query is not None:
        return _button(update.update_id, query)
    member = update.my_chat_member
    if member is not None:
        gone = member.new_chat_member.status in ("left", "kicked")
        return Arrived(
            update=update.update_id,
            kind="left" if gone else "joined",
            chat=member.chat.id,
            person=member.from_user.id,
            name=first_name(member.from_user.first_name),
            title=first_name(member.chat.title),
            at=datetime.now(UTC),
        )
    message = update.message or update.edited_message
    if message is None or message.from_user is None or message.chat.type == "channel":
        return None
    return _message(update.update_id, message, edited=update.message is None)


def _button(number: int, query: CallbackQuery) -> Arrived | None:
    message = query.message
    if message is None:
        return None
    return Arrived(
        update=number,
        kind="button",
        chat=message.chat.id,
        person=query.from_user.id,
        name=first_name(query.from_user.first_name),
        title=first_name(message.chat.title),
        message=message.message_id,
        at=datetime.now(UTC),
        text=_whole(query.data or "")[:64],
        query=query.id,
    )


def _message(number: int, message: Message, edited: bool) -> Arrived:
    kind: Kind = "other"
    text, file, size, seconds = message.text or message.caption or "", "", 0, 0
    if message.text is not None:
        kind = "text"
    elif message.photo:
        largest = max(message.photo, key=lambda each: each.width * each.height)
        kind, file, size = "photo", largest.file_id, largest.file_size or 0
    elif message.document is not None and (message.document.mime_type or "").lower() in PICTURES:
        # A picture sent as a file keeps its full size: that is how the big ones come.
        kind, file, size = "photo", message.document.file_id, message.document.file_size or 0
    elif message.voice is not None:
        kind, file, size = "voice", message.voice.file_id, message.voice.file_size or 0
        duration = message.voice.duration
        seconds = int(duration) if isinstance(duration, int) else int(duration.total_seconds())
    elif message.location is not None or message.venue is not None:
        kind = "location"
    elif message.migrate_to_chat_id:
        kind = "moved"
    sender = message.from_user
    return Arrived(
        update=number,
        kind=kind,
        chat=message.chat.id,
        person=sender.id if sender else 0,
        name=first_name(sender.first_name if sender else ""),
        title=first_name(message.chat.title),
        message=message.message_id,
        edited=edited,
        at=message.date.astimezone(UTC),
        text=_SECRET.sub("[token]", _whole(text)),
        file=file,
        size=size,
        seconds=seconds,
        moved_to=message.migrate_to_chat_id or 0,
    )
