"""What is erased is gone from the file, byte for byte; what is exported is whole."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from pathlib import Path

from bot.backup import folder_of, make_backup
from bot.made_files import folder_beside
from bot.telegram.copy_of_data import copy_of_data
from bot.telegram.household import ERASE
from conversations.session.events import Heard
from tests.bot.telegram.kitchen import ADA, BEN, GROUP, Kitchen
from tests.bot.telegram.test_access import token_in

SECRET = "Zwetschgenquittung"


def bytes_of(data: Path) -> bytes:
    """Everything in the data file, its log, its backups and the folder of files."""
    parts = [*data.parent.glob(f"{data.name}*"), *folder_of(data).rglob("*"), *folder_beside(data).rglob("*")]
    return b"".join(part.read_bytes() for part in parts if part.is_file())


async def brew(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    for number in range(60):  # enough for a snapshot
        await kitchen.say(f"note: {SECRET} {number}")
    await kitchen.say("gravity 1.050")
    kitchen.picture = b"\xff\xd8" + SECRET.encode()
    await kitchen.take(kitchen.arrived("photo", file="f", text=SECRET))
    await kitchen.say("keep my voice notes")
    kitchen.sound, kitchen.words = b"OggS" + SECRET.encode(), Heard(text=f"note: {SECRET}")
    await kitchen.take(kitchen.arrived("voice", file="v"))
    await kitchen.say(f"remind me in 5 hours to {SECRET}")


async def test_erasing_asks_first_and_then_leaves_no_byte(kitchen: Kitchen) -> None:
    await brew(kitchen)
    make_backup(kitchen.store.path, kitchen.clock.now(), 7)
    assert bytes_of(kitchen.store.path).count(SECRET.encode()) > 100
    assert "cannot be undone" in await kitchen.say(ERASE)  # the words alone only ask
    assert "cannot be undone" in await kitchen.say("erase my data")
    row, number = kitchen.row_with("yes, erase everything")
    assert "are erased" in await kitchen.press(row, number)
    assert bytes_of(kitchen.store.path).count(SECRET.encode()) == 0
    assert kitchen.state().batches == ()
    assert kitchen.store.next_due("telegram:11") is None
    assert "8.0 l" in await kitchen.say("brew 8 litres of brown ale")
    assert kitchen.store.rows("PRAGMA integrity_check") == [("ok",)]


async def test_kept_after_all(kitchen: Kitchen) -> None:
    await brew(kitchen)
    await kitchen.say("/erase")
    assert await kitchen.press(*kitchen.row_with("keep it")) == "Nothing is erased."
    assert kitchen.gravities() == [1.050]


async def test_erasing_leaves_others_their_own_and_forgets_who(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say(f"/start {token_in(await kitchen.say('/invite'))}", BEN)
    await kitchen.say("gravity 1.091", BEN)
    await kitchen.say(f"/start {token_in(await kitchen.say('/share'))}", BEN)
    await kitchen.say("gravity 1.050", BEN)
    await kitchen.say("gravity 1.051")
    assert "1.050, Ben" in await kitchen.say("show the diary")
    assert "Ben" in await kitchen.say("/people")
    await kitchen.say("/mine", BEN)
    await kitchen.say("/erase", BEN)
    await kitchen.press(*kitchen.row_with("yes, erase everything"), BEN)
    assert kitchen.gravities(ADA) == [1.050, 1.051]
    assert kitchen.state(ADA).batches[0].readings[0].who == ""
    assert b"Ben" not in bytes_of(kitchen.store.path)
    assert kitchen.places.shared_with(BEN) == []
    assert "1.060" in await kitchen.say("gravity 1.060", BEN)


async def test_group_diary_is_nobodys_to_erase(kitchen: Kitchen) -> None:
    assert "private chat" in await kitchen.say("/erase", ADA, GROUP)


async def test_copy_of_my_data_is_whole(kitchen: Kitchen) -> None:
    await brew(kitchen)
    (reply,) = await kitchen.take(kitchen.arrived(text="/export"))
    assert [attachment.kind for attachment in reply.attachments] == ["my_data"]
    events = [event for _, _, event in kitchen.store.events("telegram:11")]
    file = copy_of_data(kitchen.store.path, "telegram:11", events)
    with zipfile.ZipFile(io.BytesIO(file.data)) as archive:
        assert archive.testzip() is None
        assert sum(len(entry["events"]) for entry in json.loads(archive.read("diary.json"))["entries"]) == len(events)
        rows = list(csv.DictReader(io.StringIO(archive.read("readings.csv").decode("utf-8-sig"))))
        assert [(row["what"], float(row["as sent"])) for row in rows] == [("gravity", 1.05)]
        (photo,) = [name for name in archive.namelist() if name.startswith("photos/")]
        assert archive.read(photo) == kitchen.picture
        (sound,) = [name for name in archive.namelist() if name.startswith("voice notes/")]
        assert archive.read(sound) == kitchen.sound
