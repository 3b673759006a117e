"""Signs of life, tidying, and one wait for the disk for several chats."""

from __future__ import annotations

import asyncio
import socket
from datetime import timedelta
from pathlib import Path

import pytest

from bot.store_errors import StoreError
from bot.telegram import health
from bot.telegram.digest import Digest
from bot.telegram.group_commit import GroupCommit
from bot.telegram.housekeeping import SENT_KEPT, Housekeeping
from tests.bot.telegram.kitchen import EVE, Kitchen


def test_supervisor_is_told_over_its_socket(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Source: sd_notify(3): datagrams of assignments to the socket named in NOTIFY_SOCKET."""
    monkeypatch.delenv("NOTIFY_SOCKET", raising=False)
    assert health.notify("READY=1") is False
    path = tmp_path / "notify"
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as listening:
        listening.bind(str(path))
        monkeypatch.setenv("NOTIFY_SOCKET", str(path))
        assert health.notify("READY=1", "STATUS=serving") is True
        assert listening.recv(1000) == b"READY=1\nSTATUS=serving"


def test_health_file(kitchen: Kitchen) -> None:
    health.write(kitchen.store.path, kitchen.clock.now(), {"waiting": 3})
    found = health.read(kitchen.store.path)
    assert found is not None
    assert found["waiting"] == 3
    assert 5 < found["resident_mb"] < 5000
    health.file_of(kitchen.store.path).write_text("{broken")
    assert health.read(kitchen.store.path) is None


async def test_tidying_drops_what_is_old_and_no_diary(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say("hello", EVE)
    kitchen.store.mark_sent([row for row, _, _ in kitchen.outbox()])
    house = Housekeeping(
        kitchen.store, kitchen.clock, Digest(kitchen.store, kitchen.access), 0, lambda *to: None, dict
    )
    before = len(kitchen.store.events("telegram:11"))
    house.tidy(kitchen.clock.now() + SENT_KEPT - timedelta(days=1))
    assert len(kitchen.outbox()) == 2
    house.tidy(kitchen.clock.now() + SENT_KEPT + timedelta(days=1))
    assert kitchen.outbox() == []
    assert len(kitchen.store.events("telegram:11")) == before
    assert kitchen.store.rows("SELECT COUNT(*) FROM inbox WHERE chat = 'telegram:99'") == [(0,)]
    assert kitchen.store.rows("PRAGMA foreign_key_check") == []


async def test_several_writers_share_one_commit_and_wait_for_it(kitchen: Kitchen) -> None:
    group, commits = GroupCommit(kitchen.store), 0

    def traced(statement: str) -> None:
        nonlocal commits
        commits += statement == "COMMIT"

    kitchen.store._connection.set_trace_callback(traced)

    async def write(name: str) -> bool:
        group.begin()
        with kitchen.store.transaction() as connection:
            connection.execute("INSERT INTO facts (name, value) VALUES (?, '')", (name,))
        await group.done()
        return not kitchen.store._connection.in_transaction

    assert all(await asyncio.gather(*(write(f"n{number}") for number in range(10))))
    assert commits == 1


async def test_part_that_fails_takes_nobody_with_it(kitchen: Kitchen) -> None:
    group = GroupCommit(kitchen.store)
    group.begin()
    with kitchen.store.transaction() as connection:
        connection.execute("INSERT INTO facts (name, value) VALUES ('good', '')")
    group.begin()

    def both() -> None:
        with kitchen.store.transaction() as connection:
            connection.execute("INSERT INTO facts (name, value) VALUES ('bad', '')")
            connection.execute("INSERT INTO facts (name, value) VALUES ('good', '')")

    with pytest.raises(StoreError):
        both()
    await group.done()
    assert kitchen.store.rows("SELECT name FROM facts WHERE name IN ('good', 'bad')") == [("good",)]


async def test_commit_that_fails_is_heard_by_everybody_in_it(kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    group = GroupCommit(kitchen.store)

    def full() -> None:
        kitchen.store._connection.execute("ROLLBACK")
        raise StoreError("The disk is full.")

    monkeypatch.setattr(kitchen.store, "end", full)
    group.begin()
    waiting = [asyncio.create_task(group.done()) for _ in range(3)]
    found = await asyncio.gather(*waiting, return_exceptions=True)
    assert [type(each) for each in found] == [StoreError] * 3
    monkeypatch.undo()
    group.begin()
    group.flush()
