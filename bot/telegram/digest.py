"""What went wrong, told to the owner: at most one message an hour, with kinds of faults and never with words of people."""

from __future__ import annotations

import re
from collections import Counter
from datetime import datetime, timedelta

from bot.store import Incoming, Store
from bot.telegram.access import Access
from bot.telegram.updates import address_of
from conversations.session.events import Heard, Reply

EVERY = timedelta(hours=1)


class Digest:
    """Looks for faults that the owner has not heard of."""

    def __init__(self, store: Store, access: Access) -> None:
        self._store = store
        self._access = access

    def _fact(self, name: str, default: str) -> str:
        found = self._store.rows("SELECT value FROM facts WHERE name = ?", name)
        return str(found[0][0]) if found else default

    def look(self, now: datetime) -> str | None:
        """Queue a digest where one is due; returns the chat that it goes to."""
        owner = self._access.owner()
        if owner is None or now - datetime.fromisoformat(self._fact("digest_at", "1970-01-01T00:00+00:00")) < EVERY:
            return None
        message, reply = (int(each) for each in self._fact("digest_upto", "0 0").split())
        faults = self._store.rows("SELECT id, fault FROM inbox WHERE fault <> '' AND id > ?", message)
        refused = self._store.rows("SELECT id FROM outbox WHERE fault <> '' AND id > ?", reply)
        if not faults and not refused:
            return None
        address = address_of(owner.id)
        with self._store.transaction() as connection:
            upto = f"{max([message, *(row[0] for row in faults)])} {max([reply, *(row[0] for row in refused)])}"
            connection.execute("INSERT OR REPLACE INTO facts (name, value) VALUES ('digest_upto', ?)", (upto,))
            connection.execute(
                "INSERT OR REPLACE INTO facts (name, value) VALUES ('digest_at', ?)", (now.isoformat(),)
            )
            told = Incoming("", address, Heard(text=""), now)
            self._store.queue(told, [Reply(text=_text([row[1] for row in faults], len(refused)))])
        return address


def _text(faults: list[str], refused: int) -> str:
    kinds = Counter(re.match(r"\w*", fault)[0] or "unknown" for fault in faults)  # type: ignore[index]
    lines = []
    if faults:
        named = ", ".join(f"{kind} ({count})" for kind, count in kinds.most_common(5))
        lines += [f"{len(faults)} messages could not be handled: {named}.", "Their senders were told."]
    if refused:
        lines.append(f"{refused} replies were refused by the service.")
    return "\n".join([*lines, "The log says where."])
