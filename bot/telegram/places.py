"""Which chat works in which diary: each chat has its own, and may be let into another one or into one batch of it.

A chat's own diary bears the chat's name. A group's diary belongs to everybody in the group who may talk to
Potside. Whoever was let into somebody's diary works in it from the private chat, until "/mine".
"""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import NamedTuple

from bot.store import Incoming, Store
from bot.telegram.one_batch import Talk
from bot.telegram.updates import address_of, chat_of
from conversations.session.events import Heard, Reply
from conversations.session.fold import batch_of
from conversations.session.state import Batch


class Place(NamedTuple):
    """A chat: the diary that it works in, its title, whether the service still takes messages for it.

    ``batch`` is the one batch of the diary that it sees; None where it sees the whole diary.
    """

    address: str
    diary: str
    title: str
    stopped: bool
    batch: int | None = None


class Share(NamedTuple):
    """Somebody who was let in: a whole diary where ``batch`` is None. ``address`` is the chat that was let in."""

    diary: str
    batch: int | None
    address: str


class Places:
    """The chats of one data file."""

    def __init__(self, store: Store) -> None:
        self._store = store

    def find(self, address: str) -> Place | None:
        """A chat that was here before."""
        found = self._store.rows("SELECT address, diary, title, stopped, batch FROM places WHERE address = ?", address)
        for row in found:
            return Place(row[0], row[1], row[2], bool(row[3]), row[4])
        return None

    def visit(self, address: str, title: str) -> Place:
        """A chat says something: it exists, and takes messages again if it had stopped."""
        found = self.find(address)
        if found is None or found.stopped or (title and title != found.title):
            with self._store.transaction() as connection:
                connection.execute(
                    "INSERT INTO places (address, diary, title) VALUES (?1, ?1, ?2)"
                    " ON CONFLICT (address) DO UPDATE SET stopped = 0, title = ?2",
                    (address, title),
                )
            found = self.find(address)
        assert found is not None
        return found

    def title(self, diary: str) -> str:
        """Whose diary it is, for people."""
        found = self._store.rows("SELECT title FROM places WHERE address = ?", diary)
        return str(found[0][0]) if found and found[0][0] else "a shared diary"

    def work_in(self, address: str, diary: str, batch: int | None = None) -> None:
        """From now on this chat works in that diary, or in one batch of it."""
        with self._store.transaction() as connection:
            connection.execute(
                "UPDATE places SET diary = ?, batch = ?, talk = '' WHERE address = ?", (diary, batch, address)
            )

    def running(self, diary: str) -> Batch | None:
        """The batch that a diary is at."""
        state = self._store.state(diary)
        return batch_of(state, state.current)

    def batch(self, diary: str, number: int) -> Batch | None:
        """A batch of a diary."""
        return batch_of(self._store.state(diary), number)

    def talk(self, address: str) -> Talk:
        """The conversation of a chat that works in one batch."""
        found = self._store.rows("SELECT talk FROM places WHERE address = ?", address)
        talk: Talk = json.loads(found[0][0]) if found and found[0][0] else {}
        return talk

    def keep_talk(self, address: str, talk: Talk) -> None:
        """Keep it for the next message."""
        with self._store.transaction() as connection:
            connection.execute("UPDATE places SET talk = ? WHERE address = ?", (json.dumps(talk), address))

    def watchers(self, diary: str) -> tuple[str, ...]:
        """Where reminders of a diary go: its home, and every chat that works in all of it; stopped ones are left out."""
        rows = self._store.rows(
            "SELECT address FROM places WHERE stopped = 0 AND ((diary = ?1 AND batch IS NULL) OR address = ?1)"
            " ORDER BY address <> ?1, address",
            diary,
        )
        return tuple(row[0] for row in rows)

    def batch_watchers(self, diary: str) -> dict[str, int]:
        """Chats that work in one batch of a diary, and in which."""
        return dict(
            self._store.rows(
                "SELECT address, batch FROM places WHERE stopped = 0 AND diary = ? AND batch IS NOT NULL", diary
            )
        )

    def stop(self, address: str) -> None:
        """The chat is gone or blocked Potside: nothing is sent until it says something again."""
        with self._store.transaction() as connection:
            connection.execute("UPDATE places SET stopped = 1, pinned = NULL WHERE address = ?", (address,))

    def shut(self, address: str) -> None:
        """Somebody was removed: what waits for them is dropped too."""
        with self._store.transaction() as connection:
            self.stop(address)
            connection.execute("UPDATE outbox SET sent = 1 WHERE address = ? AND sent = 0", (address,))

    def shared_with(self, person: int) -> list[str]:
        """Diaries of others that a person may work in."""
        return [
            row[0] for row in self._store.rows("SELECT diary FROM guests WHERE person = ? ORDER BY since", person)
        ]

    def batches_shared_with(self, address: str) -> list[Share]:
        """Single batches of others that a chat may work in."""
        rows = self._store.rows(
            "SELECT diary, batch, address FROM batch_guests WHERE address = ? ORDER BY since, batch", address
        )
        return [Share(*row) for row in rows]

    def let_into_batch(self, diary: str, batch: int, address: str) -> None:
        """A chat may work in one batch from now on."""
        with self._store.transaction() as connection:
            connection.execute(
                "INSERT OR IGNORE INTO batch_guests (diary, batch, address, since) VALUES (?, ?, ?, ?)",
                (diary, batch, address, datetime.now(UTC).isoformat(timespec="seconds")),
            )

    def shares(self, diary: str) -> list[Share]:
        """Everybody who was let into a diary or one batch of it: people by their private chat, and groups."""
        people = [Share(diary, None, address_of(person)) for person in self.guests(diary)]
        groups = self._store.rows(
            "SELECT address FROM places WHERE diary = ?1 AND address <> ?1 AND batch IS NULL AND address LIKE 'telegram:-%'"
            " ORDER BY address",
            diary,
        )
        batches = self._store.rows(
            "SELECT diary, batch, address FROM batch_guests WHERE diary = ? ORDER BY since, batch, address", diary
        )
        return [*people, *(Share(diary, None, row[0]) for row in groups), *(Share(*row) for row in batches)]

    def end(self, share: Share, line: str, now: datetime) -> None:
        """A chat may not work there any more, gets nothing of it that still waits, and is told so with this line."""
        with self._store.transaction() as connection:
            if share.batch is not None:
                connection.execute(
                    "DELETE FROM batch_guests WHERE diary = ? AND batch = ? AND address = ?", tuple(share)
                )
            elif (person := chat_of(share.address)) is not None:
                connection.execute("DELETE FROM guests WHERE diary = ? AND person = ?", (share.diary, person))
            found = self.find(share.address)
            if found is not None and (found.diary, found.batch) == (share.diary, share.batch):
                self.work_in(share.address, share.address)
                connection.execute(
                    "UPDATE outbox SET sent = 1 WHERE address = ? AND chat = ? AND sent = 0", (share.address, share.diary)
                )
                self.tell(share.address, line, now)

    def tell(self, address: str, line: str, now: datetime) -> None:
        """Queue a line for a chat that did not ask; it leaves at the next look for what is unsent, within a second."""
        with self._store.transaction():
            self._store.queue(Incoming("", address, Heard(text=""), now), [Reply(text=line)])

    def guests(self, diary: str) -> list[int]:
        """People who were let into a diary."""
        return [row[0] for row in self._store.rows("SELECT person FROM guests WHERE diary = ?", diary)]

    def may_work(self, place: Place, person: int) -> bool:
        """Whether a person may work in the diary that a chat is at: asked again at each message."""
        if place.diary == place.address:
            return True
        if place.batch is not None:
            return Share(place.diary, place.batch, place.address) in self.batches_shared_with(place.address)
        if chat_of(place.address) != person:
            return True
        return person in self.guests(place.diary)

    def moved(self, old: str, new: str) -> None:
        """A group got a new number: its diary and everything that waits for it go along."""
        with self._store.transaction() as connection:
            if self.find(old) is None:
                return
            connection.execute("DELETE FROM places WHERE address = ?", (new,))
            connection.execute("UPDATE places SET address = ? WHERE address = ?", (new, old))
            connection.execute("UPDATE OR REPLACE batch_guests SET address = ? WHERE address = ?", (new, old))
            connection.execute("UPDATE outbox SET address = ? WHERE address = ? AND sent = 0", (new, old))
