"""Who may talk to Potside: nobody until somebody pairs with the code on the console, then those who were invited."""

from __future__ import annotations

import hmac
import secrets
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from typing import Literal, NamedTuple

from bot.store import Store

LINK_HOLDS = timedelta(hours=24)
TRIES = 5
"""Wrong pairing codes that one account may send."""
TRIES_IN_ALL = 50
"""Wrong codes from all accounts together, after which a new code is made."""
STRANGERS_KEPT = 10_000
_LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"

LinkKind = Literal["invite", "share"]


class Person(NamedTuple):
    """Somebody who may talk to Potside."""

    id: int
    name: str
    role: str


class Link(NamedTuple):
    """A link that was just used up."""

    kind: LinkKind
    made_by: int
    diary: str
    batch: int | None = None


def _utc(when: datetime) -> str:
    return when.astimezone(UTC).isoformat(timespec="seconds")


def _hash(token: str) -> str:
    return sha256(token.encode()).hexdigest()


def plain_code(text: str) -> str:
    """A code as it is compared: letters and digits only, in capitals.

    >>> plain_code(" abcd-ef23 ")
    'ABCDEF23'
    """
    return "".join(letter for letter in text.upper() if letter.isascii() and letter.isalnum())


class Access:
    """The people, the links and the strangers of one data file."""

    def __init__(self, store: Store) -> None:
        self._store = store

    def person(self, number: int) -> Person | None:
        """Somebody who may talk, by the number of the account."""
        found = self._store.rows("SELECT id, name, role FROM people WHERE id = ?", number)
        return Person(*found[0]) if found else None

    def people(self) -> list[Person]:
        """Everybody who may talk, the owner first."""
        return [Person(*row) for row in self._store.rows("SELECT id, name, role FROM people ORDER BY role DESC, since")]

    def owner(self) -> Person | None:
        """The one who paired."""
        return next((person for person in self.people() if person.role == "owner"), None)

    def depose(self) -> None:
        """Nobody is the owner any more, so that somebody with the console can pair anew; all may go on brewing."""
        with self._store.transaction() as connection:
            connection.execute("UPDATE people SET role = 'member' WHERE role = 'owner'")

    def pairing_code(self) -> str | None:
        """The code that makes its sender the owner; None once somebody is. The same one after a restart."""
        if self.owner() is not None:
            return None
        found = self._store.rows("SELECT value FROM facts WHERE name = 'pairing_code'")
        return str(found[0][0]) if found else self._new_code()

    def _new_code(self) -> str:
        letters = "".join(secrets.choice(_LETTERS) for _ in range(8))
        code = f"{letters[:4]}-{letters[4:]}"
        with self._store.transaction() as connection:
            connection.execute("INSERT OR REPLACE INTO facts (name, value) VALUES ('pairing_code', ?)", (code,))
        return code

    def pair(self, number: int, name: str, text: str, now: datetime) -> bool:
        """Make the sender of the right code the owner; after too many wrong ones the code is another."""
        code = self.pairing_code()
        said = plain_code(text)
        if code is None or len(said) != 8:
            return False
        tries = self._store.rows("SELECT tries FROM strangers WHERE id = ?", number)
        if tries and tries[0][0] >= TRIES:
            return False
        if not hmac.compare_digest(said.encode(), plain_code(code).encode()):
            with self._store.transaction() as connection:
                connection.execute(
                    "INSERT INTO strangers (id, seen, tries) VALUES (?, 0, 1)"
                    " ON CONFLICT (id) DO UPDATE SET tries = tries + 1",
                    (number,),
                )
                if connection.execute("SELECT SUM(tries) FROM strangers").fetchone()[0] % TRIES_IN_ALL == 0:
                    self._new_code()
            return False
        with self._store.transaction() as connection:
            self._add(number, name, "owner", now)
            connection.execute("UPDATE people SET role = 'owner' WHERE id = ?", (number,))
            connection.execute("DELETE FROM facts WHERE name = 'pairing_code'")
        return True

    def _add(self, number: int, name: str, role: str, now: datetime) -> None:
        with self._store.transaction() as connection:
            connection.execute(
                "INSERT INTO people (id, name, role, since) VALUES (?, ?, ?, ?) ON CONFLICT (id) DO NOTHING",
                (number, name, role, _utc(now)),
            )
            connection.execute("DELETE FROM strangers WHERE id = ?", (number,))

    def make_link(self, kind: LinkKind, made_by: int, diary: str, now: datetime, batch: int | None = None) -> str:
        """The payload of a link that holds for a day and for one person; only its hash is kept.

        With ``batch`` it lets into that batch of the diary alone.
        """
        token = ("i" if kind == "invite" else "s") + secrets.token_urlsafe(16)
        with self._store.transaction() as connection:
            connection.execute("DELETE FROM links WHERE expires < ?", (_utc(now - timedelta(days=30)),))
            connection.execute(
                "INSERT INTO links (hash, kind, made_by, diary, expires, batch) VALUES (?, ?, ?, ?, ?, ?)",
                (_hash(token), kind, made_by, diary, _utc(now + LINK_HOLDS), batch),
            )
        return token

    def use_link(self, token: str, number: int, name: str, now: datetime, group: bool = False) -> Link | None:
        """Use a link up; None where it does not exist, has expired, was used, or may not bring this person in.

        An invitation lets anybody in. A shared diary lets in who may talk already; only the owner's own link
        brings a new person as well. One's own link is of use in a group only.
        """
        known = self.person(number)
        found = self._store.rows(
            "SELECT kind, made_by, diary, expires, batch FROM links WHERE hash = ? AND used_by IS NULL", _hash(token)
        )
        if not found:
            return None
        kind, made_by, diary, expires, batch = found[0]
        maker = self.person(made_by)
        if datetime.fromisoformat(expires) < now or maker is None or (made_by == number and not group):
            return None
        if maker.role != "owner" if known is None else kind == "invite":
            return None
        with self._store.transaction() as connection:
            connection.execute("UPDATE links SET used_by = ? WHERE hash = ?", (number, _hash(token)))
            self._add(number, name, "member", now)
            # A group and a single batch are let in where the link is opened; see Household.opened.
            if kind == "share" and batch is None and made_by != number:
                connection.execute(
                    "INSERT OR IGNORE INTO guests (diary, person, since) VALUES (?, ?, ?)", (diary, number, _utc(now))
                )
        return Link(kind, made_by, diary, batch)

    def remove(self, number: int) -> bool:
        """Somebody may not talk any more; the owner stays. Their links die with it."""
        with self._store.transaction() as connection:
            gone = connection.execute("DELETE FROM people WHERE id = ? AND role <> 'owner'", (number,)).rowcount == 1
            if gone:
                connection.execute("DELETE FROM guests WHERE person = ?", (number,))
                connection.execute("DELETE FROM batch_guests WHERE address = ?", (f"telegram:{number}",))
                connection.execute("DELETE FROM links WHERE made_by = ?", (number,))
        return gone

    def stranger(self, number: int) -> bool:
        """Count somebody who may not talk; True the first time, when one neutral line is in order."""
        with self._store.transaction() as connection:
            kept = connection.execute("SELECT COUNT(*) FROM strangers").fetchone()[0]
            row = connection.execute("SELECT seen FROM strangers WHERE id = ?", (number,)).fetchone()
            if row is None and kept >= STRANGERS_KEPT:
                return False
            connection.execute(
                "INSERT INTO strangers (id, seen, tries) VALUES (?, 1, 0)"
                " ON CONFLICT (id) DO UPDATE SET seen = seen + 1",
                (number,),
            )
        return row is None or row[0] == 0

    def strangers(self) -> tuple[int, int]:
        """How many strangers there were, and how many messages they sent."""
        count, seen = self._store.rows("SELECT COUNT(*), COALESCE(SUM(seen), 0) FROM strangers")[0]
        return int(count), int(seen)
