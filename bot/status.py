"""`potside status`: whether all is well with a data file and the program that serves it, for people and supervisors."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, TextIO

from bot.backup import backups
from bot.store import Store
from bot.telegram import health

STALE = timedelta(seconds=120)


def gather(data: Path, now: datetime) -> dict[str, Any]:
    """Sizes of the queues, lateness, last contact, memory; raises StoreError where the file cannot be read."""
    store = Store.open(data, read_only=True)
    try:

        def one(sql: str) -> Any:
            return store.rows(sql)[0][0]

        # What waits for a chat that blocked us waits for its people, and is no sign of trouble.
        reachable = "sent = 0 AND address NOT IN (SELECT address FROM places WHERE stopped = 1)"
        late = [due.due for due in store.due(now, 1)]
        oldest = one(f"SELECT MIN(at) FROM outbox WHERE {reachable}")
        found: dict[str, Any] = {
            "data": str(data),
            "size_mb": round(sum(part.stat().st_size for part in data.parent.glob(f"{data.name}*")) / 1e6, 2),
            "inbox_waiting": one("SELECT COUNT(*) FROM inbox WHERE done = 0"),
            "outbox_waiting": one(f"SELECT COUNT(*) FROM outbox WHERE {reachable}"),
            "outbox_oldest_s": round((now - datetime.fromisoformat(oldest)).total_seconds()) if oldest else 0,
            "reminders": one("SELECT COUNT(*) FROM reminders"),
            "reminders_late_s": round((now - late[0]).total_seconds()) if late else 0,
            "people": one("SELECT COUNT(*) FROM people"),
            "chats_stopped": one("SELECT COUNT(*) FROM places WHERE stopped = 1"),
            "strangers": one("SELECT COUNT(*) FROM strangers"),
            "faults": one("SELECT COUNT(*) FROM inbox WHERE fault <> ''"),
            "last_message": one("SELECT MAX(at) FROM inbox"),
            "last_backup": next((copy.stem for copy in backups(data)), None),
        }
    finally:
        store.close()
    signs = health.read(data)
    found["serving"] = signs is not None and now - datetime.fromisoformat(signs["at"]) < STALE
    found["server"] = signs
    return found


def report(data: Path, now: datetime, as_json: bool, out: TextIO) -> int:
    """Print it; returns 0 where the file is served and nothing is stuck, else 1."""
    found = gather(data, now)
    if as_json:
        print(json.dumps(found), file=out)
    else:
        for line in _lines(found):
            print(line, file=out)
    stuck = found["reminders_late_s"] > STALE.total_seconds() or found["outbox_oldest_s"] > 600
    return 0 if found["serving"] and not stuck else 1


def _lines(found: dict[str, Any]) -> list[str]:
    server = found["server"] or {}
    return [
        ("Serving" if found["serving"] else "Not serving")
        + (f", last sign of life {server['at']}" if server else "")
        + (f", last contact with the service {server['last_contact']}" if server.get("last_contact") else "")
        + (f", {server['resident_mb']} MB resident" if server else ""),
        f"Diary {found['data']}, {found['size_mb']} MB, last backup {found['last_backup'] or 'none'}",
        f"Waiting: {found['inbox_waiting']} to be handled, {found['outbox_waiting']} to be sent"
        f" (oldest {found['outbox_oldest_s']} s)",
        f"Reminders: {found['reminders']} set, the most overdue {found['reminders_late_s']} s",
        f"People: {found['people']}; chats that take nothing: {found['chats_stopped']};"
        f" strangers turned away: {found['strangers']}; faults: {found['faults']}",
    ]
