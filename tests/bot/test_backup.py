"""Copies and the way back, through the real command."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.backup import backups, is_due, is_sound, make_backup, restore
from bot.main import main
from bot.only_one import only_one
from bot.store import Incoming, Store
from bot.store_errors import StoreError
from conversations.session.events import Heard
from tests.bot.small_session import step

NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


def note(store: Store, text: str) -> None:
    message = Incoming(text, "c", Heard(text=f"note {text}"), NOW)
    store.take(*message[:4])
    store.commit(message, step(store.state("c"), message.message, NOW))


@pytest.fixture
def data(tmp_path: Path) -> Path:
    path = tmp_path / "diary.db"
    store = Store.open(path)
    note(store, "first")
    store.close()
    return path


def notes(path: Path) -> tuple[str, ...]:
    store = Store.open(path)
    found = store.state("c").notes
    store.close()
    return found


def test_copy_is_made_while_the_file_is_in_use(data: Path) -> None:
    store = Store.open(data)
    store._connection.execute("BEGIN IMMEDIATE")
    made = make_backup(data, NOW, 7)
    store._connection.execute("ROLLBACK")
    store.close()
    assert is_sound(made)
    assert made.stat().st_mode & 0o077 == 0
    assert not is_due(data, NOW)
    assert is_due(data, NOW + timedelta(days=1))


def test_old_copies_go(data: Path) -> None:
    for day in range(10):
        make_backup(data, NOW + timedelta(days=day), 3)
    assert [copy.stem for copy in backups(data)] == ["2026-03-23", "2026-03-22", "2026-03-21"]


def test_restore_by_command(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    make_backup(data, NOW, 7)
    store = Store.open(data)
    note(store, "second")
    store.close()
    assert main(["restore", "--data", str(data)]) == 0
    assert "2026-03-14" in capsys.readouterr().out
    assert main(["restore", "--data", str(data), "2026-03-14"]) == 0
    assert notes(data) == ("first",)
    (aside,) = data.parent.glob("diary.db.before-*")
    assert notes(aside) == ("first", "second")


def test_restore_over_a_damaged_file(data: Path) -> None:
    made = make_backup(data, NOW, 7)
    data.write_bytes(b"rubbish" * 1000)
    with pytest.raises(StoreError, match="damaged"):
        Store.open(data)
    aside = restore(data, made, NOW)
    assert notes(data) == ("first",)
    assert aside is not None
    assert aside.read_bytes().startswith(b"rubbish")


def test_damaged_copy_is_refused(data: Path) -> None:
    made = make_backup(data, NOW, 7)
    made.write_bytes(made.read_bytes()[:3000] + b"\x00" * 5000)
    with pytest.raises(StoreError, match="nothing was changed"):
        restore(data, made, NOW)
    other = data.with_name("other.db")
    sqlite3.connect(other).execute("CREATE TABLE x (y)").connection.close()
    with pytest.raises(StoreError, match="no data file"):
        restore(data, other, NOW)
    assert notes(data) == ("first",)


def test_not_while_somebody_serves(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    make_backup(data, NOW, 7)
    with only_one(data):
        assert main(["restore", "--data", str(data), "2026-03-14"]) == 1
    assert "Another Potside is serving" in capsys.readouterr().err


def test_status_of_a_file_that_nobody_serves(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    make_backup(data, NOW, 7)
    assert main(["status", "--data", str(data)]) == 1
    said = capsys.readouterr().out
    assert "Not serving" in said
    assert "last backup 2026-03-14" in said
    assert main(["status", "--data", str(data.with_name("none.db"))]) == 1
