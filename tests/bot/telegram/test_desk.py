"""What becomes of each kind of thing that arrives."""

from __future__ import annotations

import io
import random
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image

from bot.made_files import folder_beside
from bot.sent_files import made_keepable
from bot.telegram import menu
from bot.telegram.desk import LOCATION
from bot.telegram.updates import address_of
from conversations.session.events import Due, Heard, Reply
from conversations.session.outcome import Outcome
from conversations.session.state import State
from conversations.understanding.understand import understand
from tests.bot.telegram.kitchen import ADA, Kitchen


async def test_the_same_update_is_handled_once(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    arrived = kitchen.arrived(text="gravity 1.050")
    assert len(await kitchen.take(arrived)) == 1
    assert await kitchen.take(arrived) == []
    assert kitchen.inbox.take([arrived], kitchen.clock.now()) == []
    assert kitchen.gravities() == [1.050]


async def test_effect_and_mark_commit_together(kitchen: Kitchen) -> None:
    """What is cut off anywhere in between is done again from the start, and once."""
    await kitchen.say("brew 8 litres of brown ale")
    arrived = kitchen.arrived(text="gravity 1.050")
    kitchen.inbox.take([arrived], kitchen.clock.now())
    kitchen.store._connection.execute(
        "CREATE TRIGGER cut BEFORE INSERT ON outbox BEGIN SELECT RAISE(ABORT, 'cut off'); END"
    )
    with pytest.raises(Exception, match="cut off"):
        await kitchen.desk.handle(arrived)
    kitchen.store._connection.execute("DROP TRIGGER cut")
    assert kitchen.gravities() == []
    assert kitchen.inbox.waiting(address_of(ADA), 10) == [arrived]
    await kitchen.desk.handle(arrived)
    assert kitchen.gravities() == [1.050]
    assert kitchen.inbox.waiting_chats() == []


async def test_location_is_ignored_politely(kitchen: Kitchen) -> None:
    assert [reply.text for reply in await kitchen.take(kitchen.arrived("location"))] == [LOCATION]
    assert "Nothing was recorded" in (await kitchen.take(kitchen.arrived("other")))[0].text


async def test_photo_is_kept_with_the_batch(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    replies = await kitchen.take(kitchen.arrived("photo", file="../../etc/passwd", text="gravity 1.050"))
    assert "Photo kept with brown ale" in replies[0].text
    assert kitchen.gravities() == [1.050]
    (photo,) = kitchen.state().batches[0].photos
    assert photo.caption == "gravity 1.050"
    kept = folder_beside(kitchen.store.path) / photo.path
    assert kept.read_bytes() == kitchen.picture
    assert kept.resolve().is_relative_to(folder_beside(kitchen.store.path).resolve())
    assert kept.stat().st_mode & 0o077 == 0
    await kitchen.say("undo")
    assert kitchen.state().batches[0].photos == ()


async def test_words_beside_a_photo_that_is_too_big_are_read(kitchen: Kitchen) -> None:
    await kitchen.say("brew 5 litres of Bitter")
    kitchen.refused = Reply(text="That photo is too big (24 MB, 20 MB at most) and was not kept.")
    replies = await kitchen.take(kitchen.arrived("photo", file="x", text="gravity 1.052", size=24_000_000))
    assert replies[0].text.startswith("That photo is too big")
    assert "1.052" in replies[1].text
    assert kitchen.gravities() == [1.052]
    assert kitchen.state().batches[0].photos == ()


async def test_words_beside_another_file_are_read(kitchen: Kitchen) -> None:
    await kitchen.say("brew 5 litres of Bitter")
    replies = await kitchen.take(kitchen.arrived("other", text="note: the video of the boil"))
    assert replies[0].text.startswith("I cannot open that file")
    assert kitchen.state().batches[0].notes == ("the video of the boil",)


def test_a_picture_of_twenty_megabytes_is_kept_smaller() -> None:
    side = 2700
    noise = random.Random(7).randbytes(side * side * 3)
    out = io.BytesIO()
    Image.frombytes("RGB", (side, side), noise).save(out, "PNG", compress_level=0)
    assert len(out.getvalue()) > 20_000_000
    kept = made_keepable(out.getvalue())
    assert kept is not None
    assert len(kept) < 8_000_000
    assert made_keepable(b"RIFF no picture") is None
    assert made_keepable(b"\xff\xd8small") == b"\xff\xd8small"


async def test_photo_without_a_word_and_without_a_batch(kitchen: Kitchen) -> None:
    replies = await kitchen.take(kitchen.arrived("photo", file="x"))
    assert [reply.text for reply in replies] == [
        "Photo kept; no batch is running.\nI cannot read a recipe from a picture: paste or say it as text."
    ]


async def test_voice_note_is_handled_as_its_words(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.take(kitchen.arrived("voice", file="v", seconds=3))
    assert kitchen.gravities() == [1.050]
    kitchen.words = Reply(text="I cannot hear yet")
    assert (await kitchen.take(kitchen.arrived("voice", file="v"))) == [kitchen.words]


async def test_backlog_keeps_its_own_times_and_order(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    sent = kitchen.clock.now() + timedelta(minutes=10)
    kitchen.later(minutes=50)
    await kitchen.say("gravity 1.050", at=sent)
    await kitchen.say("gravity 1.049", at=sent - timedelta(minutes=1))  # the sender's clock went back
    readings = kitchen.state().batches[0].readings
    assert [each.at - sent for each in readings] == [timedelta(0), timedelta(0)]
    await kitchen.say("gravity 1.048", at=datetime(1970, 1, 1, tzinfo=sent.tzinfo))
    assert kitchen.state().batches[0].readings[-1].at == kitchen.clock.now()


def faulty(state: State, message: Heard | Due, now: datetime) -> Outcome:
    if isinstance(message, Heard) and "secret" in message.text:
        raise ValueError(message.text)
    from conversations.session.step import step

    return step(state, message, now)


async def test_fault_in_one_message_is_told_and_stops_nothing(tmp_path: Path) -> None:
    from bot.telegram.digest import Digest

    kitchen = Kitchen(tmp_path / "d.db", faulty)
    assert "not saved" in await kitchen.say("my secret")
    assert "8.0 l of brown ale" in await kitchen.say("brew 8 litres of brown ale")
    digest = Digest(kitchen.store, kitchen.access)
    before = kitchen.last_reply()
    assert digest.look(kitchen.clock.now()) == address_of(ADA)
    (told,) = [reply.text for row, _, reply in kitchen.outbox() if row > before]
    assert told.startswith("1 messages could not be handled: ValueError (1).")
    assert "secret" not in told
    await kitchen.say("my secret")
    assert digest.look(kitchen.clock.now()) is None  # one an hour
    kitchen.later(hours=1)
    assert digest.look(kitchen.clock.now()) == address_of(ADA)


async def test_inbox_forgets_the_words_once_the_diary_has_them(kitchen: Kitchen) -> None:
    await kitchen.say("gravity 1.050")
    assert {row[0] for row in kitchen.store.rows("SELECT payload FROM inbox WHERE form = 'telegram'")} == {""}


async def test_group_that_moved_keeps_its_diary(kitchen: Kitchen) -> None:
    await kitchen.say("brew 5 litres of mild", ADA, -5, title="Sunday")
    await kitchen.take(kitchen.arrived("moved", ADA, -5, moved_to=-1005))
    assert "mild" in await kitchen.say("show the diary", ADA, -1005)


@pytest.mark.parametrize("name", [name for name, _ in menu.MENU])
async def test_every_command_of_the_menu_is_understood(kitchen: Kitchen, name: str) -> None:
    assert len(await kitchen.take(kitchen.arrived(text=f"/{name}"))) == 1
    words = menu.as_words(f"/{name}@potbot")
    if not words.startswith(name) or name in ("help", "undo"):
        assert understand(words, _context(kitchen)).intents


def _context(kitchen: Kitchen):  # type: ignore[no-untyped-def]
    from conversations.session.step import context_of

    return context_of(kitchen.state(), kitchen.clock.now())
