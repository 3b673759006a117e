"""What must hold of the data file at any quiet moment, whatever happened before."""

from __future__ import annotations

import json
import re
import sqlite3
from collections import Counter
from datetime import UTC, datetime
from itertools import zip_longest

from bot.store import Store, _message
from conversations.session.events import Event
from conversations.session.fold import EMPTY, fold
from conversations.session.state import State
from conversations.session.step import step
from tests.soak.world import World


def check(world: World) -> Counter[str]:
    """Raise AssertionError where anything is lost, doubled, left over or in the wrong place; returns the counts."""
    store, counts = world.store, Counter[str]()
    disk = sqlite3.connect(world.path)
    assert disk.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert disk.execute("SELECT COUNT(*) FROM inbox WHERE done = 0").fetchone()[0] == 0
    faults = disk.execute("SELECT source_id, payload, fault FROM inbox WHERE fault <> ''").fetchall()
    assert not faults, faults[:3]
    assert disk.execute("SELECT COUNT(*) FROM outbox WHERE sent = 0").fetchone()[0] == 0
    assert store.due(world.clock.now()) == []
    for person in world.people:
        _chat(world, disk, person.chat, counts)
    _no_leak(world)
    disk.close()
    return counts


def _chat(world: World, disk: sqlite3.Connection, chat: str, counts: Counter[str]) -> None:
    events = [event for _, _, event in world.store.events(chat)]
    state = fold(EMPTY, events)
    assert world.store.state(chat) == state, f"{chat}: the state in use is not the fold of its events"
    fresh = Store.open(world.path, read_only=True)
    assert fresh.state(chat) == state, f"{chat}: the snapshot and the events since do not give the fold"
    fresh.close()
    assert State.model_validate_json(state.model_dump_json()) == state

    # Every message that was taken is there once, in order.
    sources = [row[0] for row in disk.execute("SELECT source_id FROM inbox WHERE chat = ? ORDER BY id", (chat,))]
    assert [each for each in sources if not each.startswith("due:")] == world.ledger.accepted.get(chat, [])

    # Its effect is what the session says, worked out anew from nothing: not less, not twice, and nothing of others.
    _worked_out_anew(disk, chat, events)

    table = {
        key: datetime.fromisoformat(due)
        for key, due in disk.execute("SELECT key, due_utc FROM reminders WHERE chat = ?", (chat,))
    }
    assert table == {key: each.due.astimezone(UTC) for key, each in state.reminders.items()}
    _reminders(events, chat)

    # Replies reached the person in order, at least once, and again only where an answer had been lost.
    queued = [json.loads(row[0])["text"] for row in disk.execute("SELECT reply FROM outbox WHERE chat = ?", (chat,))]
    told = world.ledger.told.get(chat, [])
    if not world.happened["damaged"]:
        assert _shortened(told, queued), f"{chat}: replies lost or out of order"
        assert len(told) - len(queued) <= world.ledger.cut[chat]
    counts["messages"] += len(sources)
    counts["readings"] += sum(event.kind == "reading" for event in events)
    counts["reminders fired"] += sum(event.kind == "fired" for event in events)
    counts["reminders waiting"] += len(table)
    counts["events"] += len(events)
    counts["replies"] += len(queued)
    counts["told twice"] += len(told) - len(queued)


def _worked_out_anew(disk: sqlite3.Connection, chat: str, stored: list[Event]) -> None:
    without = disk.execute(
        "SELECT source_id FROM inbox WHERE chat = ? AND id NOT IN (SELECT message FROM events)", (chat,)
    ).fetchall()
    # Only a reminder that was dropped between falling due and being said may lead to nothing.
    assert all(source.startswith("due:") for (source,) in without), without
    rows = disk.execute(
        "SELECT payload, inbox.at FROM inbox JOIN (SELECT message, MIN(id) AS first FROM events GROUP BY message) ON"
        " message = inbox.id WHERE chat = ? ORDER BY first",
        (chat,),
    ).fetchall()
    state, done = EMPTY, 0
    for payload, taken_at in rows:
        if done < len(stored) and stored[done].kind == "settings_told" and done == 0:
            state, done = fold(state, stored[:1]), 1
        # A reminder that was taken before an outage is told at the time after it; all else at the time it was taken.
        at = stored[done].at if done < len(stored) and '"due"' in payload else datetime.fromisoformat(taken_at)
        outcome = step(state, _message(payload), at)
        there = tuple(stored[done : done + len(outcome.events)])
        for stored_one, one in zip_longest(there, outcome.events):
            assert stored_one is not None, f"{chat}: {payload} at {at}: {one} is not in the diary"
            assert _plain(stored_one) == _plain(one), f"{chat}: {payload} at {at}: {stored_one} where {one} is right"
        state, done = outcome.state, done + len(outcome.events)
    assert done == len(stored), f"{chat}: events that no message led to"


def _plain(event: Event) -> object:
    return event.kind, event.at.astimezone(UTC), event.batch, event.model_dump(mode="json")["data"]


def _reminders(events: list[Event], chat: str) -> None:
    """Nothing fires before its time by the machine's clock, twice for one setting, or without being set."""
    pending: dict[str, datetime] = {}
    state = EMPTY
    for event in events:
        if event.kind == "fired":
            key = event.data["key"]
            assert key in pending, f"{chat}: {key} fired and was not set"
            assert event.at.astimezone(UTC) >= pending[key], f"{chat}: {key} fired early"
        state = fold(state, [event])
        pending = {key: each.due.astimezone(UTC) for key, each in state.reminders.items()}


def _shortened(told: list[str], queued: list[str]) -> bool:
    """Whether ``told`` is ``queued`` with some entries repeated on the spot."""
    place = 0
    for text in told:
        if place < len(queued) and text == queued[place]:
            place += 1
        elif not (place and text == queued[place - 1]):
            return False
    return place == len(queued)


def _no_leak(world: World) -> None:
    marks = {person.chat: person.mark for person in world.people}
    word = re.compile(r"\b(" + "|".join(marks.values()) + r")\b")
    for chat, lines in world.ledger.told.items():
        foreign = set(word.findall("\n".join(lines))) - {marks[chat]}
        assert not foreign, f"{chat} was told of {foreign}"
