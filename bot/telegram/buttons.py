"""Buttons that only work where and when they were meant: signed for their chat, refused once they are stale."""

from __future__ import annotations

import hmac
import secrets
from hashlib import sha256
from typing import NamedTuple

from bot.store import Store
from conversations.session.events import Choice, Reply

NOT_HERE = "That button does not belong to this chat."
USED = "That was taken already."
STALE = "That button is from an earlier message. Say it in words, or use the newest one."
NEWER = 'Something newer was recorded. Say "undo" to take that back first.'


class Pressed(NamedTuple):
    """A button that holds: the reply it stands under and what pressing it says."""

    row: int
    posted: int | None
    says: str


class Buttons:
    """Signs buttons when they are sent and reads them when they are pressed."""

    def __init__(self, store: Store) -> None:
        """The key is made once and kept in the data file, so that buttons outlive a restart."""
        self._store = store
        found = store.rows("SELECT value FROM facts WHERE name = 'button_key'")
        if not found:
            with store.transaction() as connection:
                connection.execute(
                    "INSERT INTO facts (name, value) VALUES ('button_key', ?)", (secrets.token_hex(32),)
                )
            found = store.rows("SELECT value FROM facts WHERE name = 'button_key'")
        self._key = bytes.fromhex(found[0][0])

    def data(self, row: int, number: int, address: str) -> str:
        """What a button carries, at most 64 bytes: which reply, which choice, and the signature for this chat."""
        return f"{row:x}.{number}.{self._sign(row, number, address)}"

    def _sign(self, row: int, number: int, address: str) -> str:
        return hmac.new(self._key, f"{row}.{number}.{address}".encode(), sha256).hexdigest()[:20]

    def read(self, data: str, address: str, diary: str, one_batch: bool = False) -> Pressed | str:
        """The button that was pressed in a chat that works in a diary, or the line that refuses it.

        A chat that works in one batch has a conversation of its own, so questions are newest for it or for the others.
        """
        parts = data.split(".")
        try:
            row, number, signature = int(parts[0], 16), int(parts[1]), parts[2]
        except (ValueError, IndexError):
            return NOT_HERE
        # Ours are plain ASCII; half a pair of UTF-16 could not even be compared.
        if not data.isascii() or not hmac.compare_digest(signature.encode(), self._sign(row, number, address).encode()):
            return NOT_HERE
        found = self._store.rows(
            "SELECT chat, reply, message, used, posted FROM outbox WHERE id = ? AND address = ?", row, address
        )
        if not found or found[0][0] != diary:
            return NOT_HERE
        _, reply, message, used, posted = found[0]
        choices = Reply.model_validate_json(reply).choices
        if used:
            return USED
        if not 0 <= number < len(choices):
            return NOT_HERE
        refusal = self._stale(choices[number], diary, message, address if one_batch else "")
        return refusal or Pressed(row, posted, choices[number].says)

    def _stale(self, choice: Choice, diary: str, message: int | None, guest: str) -> str:
        if choice.says == "undo":
            return "" if self.undoes(diary) == message else NEWER
        newest = self._store.rows(
            "SELECT message FROM outbox WHERE chat = ?1 AND choices > 0 AND CASE ?2 WHEN '' THEN address NOT IN"
            " (SELECT address FROM places WHERE batch IS NOT NULL AND diary = ?1) ELSE address = ?2 END"
            " ORDER BY id DESC LIMIT 1",
            diary,
            guest,
        )
        return "" if newest and newest[0][0] == message else STALE

    def undoes(self, diary: str) -> int | None:
        """Number of the message that an undo would take back now, if that is the newest recording one."""
        found = self._store.rows(
            "SELECT kind, message FROM events WHERE chat = ? AND kind IN ('opened', 'undone') ORDER BY id DESC LIMIT 1",
            diary,
        )
        return int(found[0][1]) if found and found[0][0] == "opened" else None

    def undoes_own(self, diary: str, address: str) -> bool:
        """Whether what an undo would take back now was recorded from this chat."""
        message = self.undoes(diary)
        if message is None:
            return False
        found = self._store.rows("SELECT DISTINCT address FROM outbox WHERE message = ?", message)
        return found == [(address,)]

    def use(self, row: int) -> None:
        """A button of this reply was pressed; the copies of the reply in other chats are spent with it."""
        with self._store.transaction() as connection:
            connection.execute(
                "UPDATE outbox SET used = 1 WHERE id = ?1 OR message = (SELECT message FROM outbox WHERE id = ?1)",
                (row,),
            )
