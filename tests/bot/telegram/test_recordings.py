"""The sound of voice notes: dropped once its words are there, kept with the batch where the person asked for it."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from telegram import Bot

from bot.backup import backups, make_backup, restore
from bot.made_files import folder_beside
from bot.telegram import media
from bot.telegram.media import Media
from conversations.session.events import Heard, Reply
from conversations.session.fold import EMPTY, fold
from tests.bot.telegram.kitchen import NOW, Kitchen

SOUND = b"OggS" + b"0" * 500


class Service:
    """The messenger's way to a file."""

    async def get_file(self, file: str) -> Any:
        async def download() -> bytearray:
            return bytearray(SOUND)

        return SimpleNamespace(file_size=len(SOUND), download_as_bytearray=download)


@pytest.mark.parametrize(
    ("heard", "keep_in", "kept"),
    [
        (Heard(text="gravity 1.050"), "telegram:11", 1),
        (Heard(text="", perhaps=("1.050", "1.015")), "telegram:11", 1),
        (Heard(text="", complaint="I could not make that out."), "telegram:11", 0),
        (Heard(text="gravity 1.050"), "", 0),
    ],
)
async def test_only_what_was_heard_and_is_wanted_stays(
    kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, heard: Heard, keep_in: str, kept: int
) -> None:
    monkeypatch.setattr(media, "hear", lambda *_: heard)
    fetched = Media(cast(Bot, Service()), tmp_path / "diary.db")
    arrived = kitchen.arrived("voice", file="v", seconds=3)
    found = await fetched.words(arrived, EMPTY, NOW, keep_in)
    assert isinstance(found, Heard)
    sounds = list(tmp_path.rglob("*.files/**/*.ogg"))
    assert len(sounds) == kept
    assert [path.read_bytes() for path in sounds] == [SOUND] * kept
    assert bool(found.recording) == bool(kept)


@pytest.mark.parametrize("over", [{"seconds": 61}, {"seconds": 5, "size": 2_000_001}])
async def test_longer_than_a_minute_or_two_megabytes_is_not_fetched(
    kitchen: Kitchen, tmp_path: Path, over: dict[str, int]
) -> None:
    fetched = Media(cast(Bot, None), tmp_path / "diary.db")
    found = await fetched.words(kitchen.arrived("voice", file="v", **over), EMPTY, NOW, "")
    assert isinstance(found, Reply)
    assert "one minute at most" in found.text


async def test_nothing_is_kept_unasked(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.take(kitchen.arrived("voice", file="v"))
    assert "dropped" in await kitchen.say("do you keep my voice notes?")
    assert "gone" in await kitchen.say("keep that recording")
    assert kitchen.state().batches[0].recordings == ()
    assert not list(folder_beside(kitchen.store.path).rglob("*.ogg"))


async def test_kept_with_the_batch_until_told_otherwise(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say("keep my voice notes")
    await kitchen.take(kitchen.arrived("voice", file="v"))
    (kept,) = kitchen.state().batches[0].recordings
    assert kept.text == "gravity 1.050"
    assert (folder_beside(kitchen.store.path) / kept.path).read_bytes() == kitchen.sound
    # The reading goes with the undo, the sound stays: it is there.
    await kitchen.say("undo")
    assert kitchen.gravities() == []
    assert kitchen.state().batches[0].recordings == (kept,)
    assert fold(EMPTY, [event for _, _, event in kitchen.store.events("telegram:11")]).batches == kitchen.state().batches
    assert "1 voice note kept" in await kitchen.say("diary")
    await kitchen.say("stop keeping voice notes")
    await kitchen.take(kitchen.arrived("voice", file="v"))
    assert kitchen.state().batches[0].recordings == (kept,)


async def test_a_kept_voice_note_comes_back_with_the_backup(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say("keep my voice notes")
    await kitchen.take(kitchen.arrived("voice", file="v"))
    (kept,) = kitchen.state().batches[0].recordings
    make_backup(kitchen.store.path, NOW, 7)
    (folder_beside(kitchen.store.path) / kept.path).unlink()
    kitchen.store.close()
    (copy,) = backups(kitchen.store.path)
    restore(kitchen.store.path, copy, NOW)
    assert (folder_beside(kitchen.store.path) / kept.path).read_bytes() == kitchen.sound
