"""Photos in the backups: each once for all copies, back after a loss, gone when nothing needs them."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.backup import backups, folder_of, make_backup, restore
from bot.backup_photos import pool_of
from bot.made_files import folder_beside, kept_photo
from bot.main import main
from bot.sent_files import erase_sent, keep_sent
from bot.store import Incoming, Store
from bot.store_errors import StoreError
from conversations.session.events import Heard
from conversations.session.step import step

NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)
CHAT = "telegram:11"


def snap(data: Path, picture: bytes, at: datetime = NOW) -> str:
    """Ada sends a picture; returns the path that her diary has of it."""
    path = keep_sent(data, CHAT, b"\xff\xd8" + picture, at)
    store = Store.open(data)
    message = Incoming(path, CHAT, Heard(text="the mash", photo=path), at)
    store.commit(message, step(store.state(CHAT), message.message, at), taken=False)
    store.close()
    return path


def pool(data: Path) -> list[str]:
    folder = pool_of(folder_of(data))
    return sorted(path.name for path in folder.rglob("*") if path.is_file())


@pytest.fixture
def data(tmp_path: Path) -> Path:
    return tmp_path / "house" / "diary.db"


def test_each_photo_is_copied_once_for_all_copies(data: Path) -> None:
    first = snap(data, b"first")
    make_backup(data, NOW, 7)
    (kept,) = pool_of(folder_of(data)).rglob("*.jpg")
    written = kept.stat()
    snap(data, b"second")
    for day in range(1, 10):
        make_backup(data, NOW + timedelta(days=day), 3)
    assert len(backups(data)) == 3
    assert len(pool(data)) == 2
    assert (kept.stat().st_ino, kept.stat().st_mtime_ns) == (written.st_ino, written.st_mtime_ns)
    # No link: what happens to the one must not happen to the other.
    assert kept.stat().st_ino != (folder_beside(data) / first).stat().st_ino
    assert kept.stat().st_mode & 0o077 == 0


def test_everything_lost_but_the_backups(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    paths = [snap(data, b"first"), snap(data, b"second", NOW + timedelta(hours=1))]
    make_backup(data, NOW, 7)
    shutil.rmtree(folder_beside(data))
    data.unlink()
    assert main(["restore", "--data", str(data), "2026-03-14"]) == 0
    assert [kept_photo(data, path) for path in paths] == [b"\xff\xd8first", b"\xff\xd8second"]
    store = Store.open(data)
    assert store.state(CHAT).clock is not None
    store.close()
    assert [path for path in folder_beside(data).rglob("*") if path.stat().st_mode & 0o077] == []


def test_damaged_photo_comes_back_and_spoils_no_copy(data: Path) -> None:
    path = snap(data, b"whole picture")
    make_backup(data, NOW, 7)
    (folder_beside(data) / path).write_bytes(b"\xff\xd8whole")
    make_backup(data, NOW + timedelta(days=1), 7)
    restore(data, backups(data)[0], NOW + timedelta(days=1))
    assert kept_photo(data, path) == b"\xff\xd8whole picture"


def test_restoring_an_earlier_day_takes_no_photo_away(data: Path) -> None:
    early = snap(data, b"early")
    make_backup(data, NOW, 7)
    late = snap(data, b"late", NOW + timedelta(days=1))
    make_backup(data, NOW + timedelta(days=1), 7)
    shutil.rmtree(folder_beside(data))
    restore(data, backups(data)[-1], NOW + timedelta(days=2))
    assert (kept_photo(data, early), kept_photo(data, late)) == (b"\xff\xd8early", None)
    restore(data, backups(data)[0], NOW + timedelta(days=2))
    assert kept_photo(data, early) == b"\xff\xd8early"
    assert kept_photo(data, late) == b"\xff\xd8late"


def test_photo_that_nothing_mentions_goes_with_the_last_copy_that_did(data: Path) -> None:
    snap(data, b"kept")
    gone = snap(data, b"gone")
    make_backup(data, NOW, 2)
    (folder_beside(data) / gone).unlink()
    # The diary as it was before that photo, as after a restore.
    store = Store.open(data)
    store.rows("DELETE FROM events WHERE kind = 'photo' AND json_extract(data, '$.path') = ?", gone)
    store._connection.commit()
    store.close()
    make_backup(data, NOW + timedelta(days=1), 2)
    assert len(pool(data)) == 2
    make_backup(data, NOW + timedelta(days=2), 2)
    assert len(pool(data)) == 1
    assert Path(gone).name not in pool(data)


def test_erased_in_the_backups_too(data: Path) -> None:
    snap(data, b"secret")
    make_backup(data, NOW, 7)
    assert len(pool(data)) == 1
    erase_sent(data, CHAT)
    assert pool(data) == []


def test_links_and_half_written_ones_are_none_of_ours(data: Path) -> None:
    path = folder_beside(data) / snap(data, b"own")
    other = data.parent / "secret.txt"
    other.write_text("not a photo")
    (path.parent / "linked.jpg").symlink_to(other)
    path.with_name("half.new").write_bytes(b"half")
    make_backup(data, NOW, 7)
    assert pool(data) == [path.name]


def test_full_disk_is_said_and_the_copy_of_the_diary_stays(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    snap(data, b"picture")

    def full(*arguments: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("bot.backup_photos._copy", full)
    with pytest.raises(StoreError, match="disk is full"):
        make_backup(data, NOW, 7)
    assert len(backups(data)) == 1
