"""The store: one transaction a message, nothing twice, nothing lost, damaged files left alone."""

from __future__ import annotations

import sqlite3
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.clock import SimulatedClock
from bot.engine import Engine
from bot.store import SNAPSHOT_EVERY, Incoming, Store
from bot.store_errors import StoreChanged, StoreError
from conversations.session.events import Heard, Reply
from tests.bot.small_session import step

NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)
CHAT = "here"


class Heardback(list[str]):
    def __call__(self, chat: str, reply: Reply, at: datetime) -> None:
        self.append(reply.text)


def an_engine(store: Store, clock: SimulatedClock | None = None) -> tuple[Engine, Heardback]:
    told = Heardback()
    return Engine(store, clock or SimulatedClock(NOW), told, step), told


def say(engine: Engine, text: str, source: str) -> bool:
    return engine.handle(Incoming(source, CHAT, Heard(text=text), engine.clock.now()))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "new" / "folder" / "diary.db"


def test_makes_folder_and_private_file(path: Path) -> None:
    Store.open(path).close()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_pragmas(path: Path) -> None:
    store = Store.open(path)
    asked = {
        name: store._connection.execute(f"PRAGMA {name}").fetchone()[0]
        for name in ("journal_mode", "synchronous", "foreign_keys")
    }
    assert asked == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}


def test_same_source_id_is_handled_once(path: Path) -> None:
    engine, told = an_engine(Store.open(path))
    assert say(engine, "note a", "1")
    assert not say(engine, "note a", "1")
    assert engine.store.state(CHAT).notes == ("a",)
    assert told == ["noted: a"]


def test_crash_between_take_and_commit_is_handled_after_restart(path: Path) -> None:
    store = Store.open(path)
    store.take("1", CHAT, Heard(text="note a"), NOW)
    store.close()
    engine, told = an_engine(Store.open(path))
    engine.recover()
    engine.recover()
    assert engine.store.state(CHAT).notes == ("a",)
    assert told == ["noted: a"]
    assert engine.store.pending() == []


def test_crash_between_commit_and_delivery_sends_after_restart(path: Path) -> None:
    store = Store.open(path)
    store.take("1", CHAT, Heard(text="note a"), NOW)
    first = Incoming("1", CHAT, Heard(text="note a"), NOW)
    store.commit(first, step(store.state(CHAT), first.message, NOW))
    store.close()
    engine, told = an_engine(Store.open(path))
    engine.recover()
    assert told == ["noted: a"]
    assert engine.store.unsent(CHAT) == []


def test_commit_is_one_transaction(path: Path) -> None:
    # Made to fail at its very last write, the commit must leave nothing of the earlier ones.
    store = Store.open(path)
    store._connection.execute(
        "CREATE TRIGGER full BEFORE INSERT ON outbox BEGIN SELECT RAISE(ABORT, 'no space left'); END"
    )
    store.take("1", CHAT, Heard(text="in 5 stir"), NOW)
    outcome = step(store.state(CHAT), Heard(text="in 5 stir"), NOW)
    with pytest.raises(StoreError, match="full"):
        store.commit(Incoming("1", CHAT, Heard(text="in 5 stir"), NOW), outcome)
    assert store.events(CHAT) == []
    assert store.next_due(CHAT) is None
    assert [one.source_id for one in store.pending()] == ["1"]
    assert store.state(CHAT).reminders == {}


def test_events_carry_the_number_of_their_message(path: Path) -> None:
    engine, _ = an_engine(Store.open(path))
    for number in range(3):
        say(engine, f"note {number}", f"s{number}")
    assert [(message, event.kind) for _, message, event in engine.store.events(CHAT)] == [
        (number, kind) for number in (1, 2, 3) for kind in ("note", "said")
    ]


def test_state_after_restart_is_the_state_before(path: Path) -> None:
    engine, _ = an_engine(Store.open(path))
    for number in range(SNAPSHOT_EVERY):
        say(engine, f"note {number}" if number % 3 else f"in {number + 1} x", f"s{number}")
    before = engine.store.state(CHAT)
    snapshots = engine.store._connection.execute("SELECT last_event FROM snapshots").fetchall()
    assert len(snapshots) == 1
    assert 0 < snapshots[0][0] < engine.store.events(CHAT)[-1][0]
    engine.store.close()
    assert Store.open(path).state(CHAT) == before


def test_snapshot_of_another_shape_is_not_read(path: Path) -> None:
    engine, _ = an_engine(Store.open(path))
    for number in range(SNAPSHOT_EVERY):
        say(engine, f"note {number}", f"s{number}")
    before = engine.store.state(CHAT)
    engine.store._connection.execute("UPDATE snapshots SET shape = 'old', state = '{}'")
    engine.store._connection.commit()
    engine.store.close()
    assert Store.open(path).state(CHAT) == before


def test_due_table_equals_reminders_of_the_state(path: Path) -> None:
    clock = SimulatedClock(NOW)
    engine, told = an_engine(Store.open(path), clock)
    for number, line in enumerate(("in 9 late", "in 3 early", "in 5 middle")):
        say(engine, line, str(number))
    assert [due.due - NOW for due in engine.store.due(NOW + timedelta(hours=1))] == [
        timedelta(minutes=minutes) for minutes in (3, 5, 9)
    ]
    told.clear()
    clock.move_to(NOW + timedelta(minutes=5))
    assert engine.fire_due() == 2
    assert told == ["early\n120 s late", "middle"]
    left = engine.store.next_due(CHAT)
    assert left is not None
    assert left.text == "late"
    assert engine.store.state(CHAT).reminders == {left.key: left}


def test_reminders_survive_restart_and_fire_once(path: Path) -> None:
    engine, _ = an_engine(Store.open(path))
    say(engine, "in 5 stir", "1")
    engine.store.close()
    later = SimulatedClock(NOW + timedelta(hours=2))
    engine, told = an_engine(Store.open(path), later)
    engine.recover()
    engine.fire_due()
    engine.fire_due()
    assert told == ["stir\n6900 s late"]


def test_two_chats_may_use_the_same_reminder_key(path: Path) -> None:
    clock = SimulatedClock(NOW)
    engine, told = an_engine(Store.open(path), clock)
    for chat in ("a", "b"):
        engine.handle(Incoming(chat, chat, Heard(text=f"in 1 {chat}"), NOW))
    told.clear()
    clock.move_to(NOW + timedelta(minutes=1))
    assert engine.fire_due() == 2
    assert told == ["a", "b"]


def test_fault_in_one_message_is_told_and_ends_there(path: Path) -> None:
    engine, told = an_engine(Store.open(path))
    say(engine, "break", "1")
    say(engine, "note a", "2")
    assert told[0].startswith("That was not saved")
    assert told[1] == "noted: a"
    assert engine.store.pending() == []


def test_second_program_on_the_file_is_not_overwritten(path: Path) -> None:
    first, second = Store.open(path), Store.open(path)
    stale = step(first.state(CHAT), Heard(text="note mine"), NOW)
    first.take("1", CHAT, Heard(text="note mine"), NOW)
    say(an_engine(second)[0], "note theirs", "2")
    with pytest.raises(StoreChanged):
        first.commit(Incoming("1", CHAT, Heard(text="note mine"), NOW), stale)
    an_engine(first)[0].recover()
    assert first.state(CHAT).notes == ("theirs", "mine")


def test_zone_of_the_first_message_is_kept(path: Path) -> None:
    from zoneinfo import ZoneInfo

    engine, _ = an_engine(Store.open(path), SimulatedClock(NOW.astimezone(ZoneInfo("Europe/Lisbon"))))
    say(engine, "note a", "1")
    engine.store.close()
    assert Store.open(path).state(CHAT).zone == "Europe/Lisbon"


@pytest.mark.parametrize(
    "content", [b"not a database, but long enough to look at" * 50, b"SQLite format 3\0" + b"\xff" * 5000]
)
def test_damaged_file_is_named_and_left_alone(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "diary.db"
    path.write_bytes(content)
    with pytest.raises(StoreError, match=r"diary\.db is damaged"):
        Store.open(path)
    assert path.read_bytes() == content


def test_damaged_inside(path: Path) -> None:
    engine, _ = an_engine(Store.open(path))
    for number in range(200):
        say(engine, f"note {'x' * 100}{number}", f"s{number}")
    engine.store.close()
    content = bytearray(path.read_bytes())
    content[8192:-4096] = b"\x5a" * (len(content) - 12288)
    path.write_bytes(content)
    with pytest.raises(StoreError, match=r"diary\.db is damaged"):
        Store.open(path)
    assert path.read_bytes() == content


def test_folder_and_missing_file(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="is a folder"):
        Store.open(tmp_path)
    with pytest.raises(StoreError, match="There is no data file"):
        Store.open(tmp_path / "none.db", read_only=True)
    assert list(tmp_path.iterdir()) == []


def test_full_disk_loses_nothing_recorded(path: Path) -> None:
    # SQLite's own page limit answers as a full disk does, with SQLITE_FULL.
    engine, _ = an_engine(Store.open(path))
    say(engine, "note a", "1")
    pages = engine.store._connection.execute("PRAGMA page_count").fetchone()[0]
    engine.store._connection.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(StoreError, match="disk is full"):
        say(engine, "note " + "b" * 50_000, "2")
    engine.store.close()
    assert Store.open(path).state(CHAT).notes == ("a",)


def test_file_of_a_newer_version(path: Path) -> None:
    store = Store.open(path)
    store._connection.execute(
        "INSERT INTO _sqlite_migrations (migration_set, name, applied_at) VALUES ('potside', 'from_the_future', '')"
    )
    store._connection.commit()
    store.close()
    with pytest.raises(StoreError, match="newer"):
        Store.open(path)


def test_read_only_store_reads_and_refuses_to_write(path: Path) -> None:
    engine, _ = an_engine(Store.open(path))
    say(engine, "note a", "1")
    reader = Store.open(path, read_only=True)
    assert reader.state(CHAT).notes == ("a",)
    with pytest.raises(StoreError, match="read-only"):
        reader.take("2", CHAT, Heard(text="note b"), NOW)


def test_foreign_keys_hold(path: Path) -> None:
    store = Store.open(path)
    with pytest.raises(sqlite3.IntegrityError):
        store._connection.execute("INSERT INTO events VALUES (1, 'c', 99, '', 'note', NULL, '{}')")


def test_who_serves_one_chat_leaves_the_others_to_their_messenger(path: Path) -> None:
    store, told, clock = Store.open(path), Heardback(), SimulatedClock(NOW)
    everybody = Engine(store, clock, lambda chat, reply, at: None, step)
    everybody.handle(Incoming("1", "telegram:1", Heard(text="in 1 theirs"), NOW))
    store.take("2", "telegram:1", Heard(text="note theirs"), NOW)
    engine = Engine(store, clock, told, step, only=CHAT)
    engine.handle(Incoming("3", CHAT, Heard(text="in 1 mine"), NOW))
    told.clear()
    clock.move_to(NOW + timedelta(minutes=1))
    engine.recover()
    engine.fire_due()
    assert told == ["mine"]
    assert [due.chat for due in store.due(clock.now())] == ["telegram:1"]
    assert [each.source_id for each in store.pending()] == ["2"]
