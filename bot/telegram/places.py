"""Which chat works in which diary: each chat has its own, and a person may be let into another one.

A chat's own diary bears the chat's name. A group's diary belongs to everybody in the group who may talk to
Potside. Whoever was let into somebody's diary works in it from the private chat, until "/mine".
"""

from __future__ import annotations

from typing import NamedTuple

from bot.store import Store
from bot.telegram.updates import address_of, chat_of


class Place(NamedTuple):
    """A chat: the diary that it works in, its title, and whether the service still takes messages for it."""

    address: str
    diary: str
    title: str
    stopped: bool


class Places:
    """The chats of one data file."""

    def __init__(self, store: Store) -> None:
        self._store = store

    def find(self, address: str) -> Place | None:
        """A chat that was here before."""
        found = self._store.rows("SELECT address, diary, title, stopped FROM places WHERE address = ?", address)
        return Place(found[0][0], found[0][1], found[0][2], bool(found[0][3])) if found else None

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

    def work_in(self, address: str, diary: str) -> None:
        """From now on this chat works in that diary."""
        with self._store.transaction() as connection:
            connection.execute("UPDATE places SET diary = ? WHERE address = ?", (diary, address))

    def watchers(self, diary: str) -> tuple[str, ...]:
        """Where reminders of a diary go: its home, and every chat that works in it now; stopped ones are left out."""
        rows = self._store.rows(
            "SELECT address FROM places WHERE stopped = 0 AND (diary = ?1 OR address = ?1)"
            " ORDER BY address <> ?1, address",
            diary,
        )
        return tuple(row[0] for row in rows)

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

    def guests(self, diary: str) -> list[int]:
        """People who were let into a diary."""
        return [row[0] for row in self._store.rows("SELECT person FROM guests WHERE diary = ?", diary)]

    def drop_guest(self, diary: str, person: int) -> None:
        """Somebody may not work in a diary any more."""
        with self._store.transaction() as connection:
            connection.execute("DELETE FROM guests WHERE diary = ? AND person = ?", (diary, person))
            connection.execute(
                "UPDATE places SET diary = address WHERE address = ? AND diary = ?", (address_of(person), diary)
            )

    def may_work(self, place: Place, person: int) -> bool:
        """Whether a person may work in the diary that a chat is at: asked again at each message."""
        if place.diary == place.address or chat_of(place.address) != person:
            return True
        return person in self.guests(place.diary)

    def moved(self, old: str, new: str) -> None:
        """A group got a new number: its diary and everything that waits for it go along."""
        with self._store.transaction() as connection:
            if self.find(old) is None:
                return
            connection.execute("DELETE FROM places WHERE address = ?", (new,))
            connection.execute("UPDATE places SET address = ? WHERE address = ?", (new, old))
            connection.execute("UPDATE outbox SET address = ? WHERE address = ? AND sent = 0", (new, old))
