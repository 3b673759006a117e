"""Replies read aloud: what each person wished, behind the text, and never in the way of it."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from telegram.error import BadRequest, NetworkError

from bot.telegram import sender as way_out
from bot.telegram.group_commit import GroupCommit
from bot.telegram.limits import Limits
from bot.telegram.sender import Sender
from bot.telegram.updates import address_of
from tests.bot.telegram.kitchen import ADA, BEN, Kitchen
from tests.bot.telegram.test_access import token_in


class Phone:
    """Takes what the service would be sent; ``refuses`` is raised at each voice note."""

    def __init__(self) -> None:
        self.got: list[tuple[int, str, Any]] = []
        self.refuses: Exception | None = None
        self.voices_tried = 0

    async def send_message(self, chat: int, text: str, **options: Any) -> Any:
        self.got.append((chat, "text", text))
        return SimpleNamespace(message_id=len(self.got))

    async def send_voice(self, chat: int, data: bytes, **options: Any) -> Any:
        self.voices_tried += 1
        if self.refuses is not None:
            raise self.refuses
        self.got.append((chat, "voice", data))
        return SimpleNamespace(message_id=len(self.got))


class Speaking:
    """A kitchen with its way out, whose voice says in bytes what it would read."""

    def __init__(self, kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
        self.kitchen, self.phone = kitchen, Phone()
        self.read: list[str] = []
        monkeypatch.setattr("bot.speech.speak.voice_note", self._voice)
        self.fault: Exception | None = None
        self.make()

    def make(self) -> None:
        kitchen: Any = self.kitchen
        phone: Any = self.phone
        self.sender = Sender(
            phone, kitchen.store, kitchen.places, kitchen.buttons, Limits(0, 0, 0), GroupCommit(kitchen.store),
            kitchen.clock,
        )  # fmt: skip

    def _voice(self, text: str) -> bytes:
        if self.fault is not None:
            raise self.fault
        self.read.append(text)
        return text.encode()

    async def out(self) -> list[tuple[int, str, Any]]:
        """Send everything; returns what arrived since the last time."""
        before = len(self.phone.got)
        self.sender.wake_all()
        while self.sender.lanes:
            await asyncio.sleep(0.01)
        assert self.kitchen.store.unsent_chats() == []
        return self.phone.got[before:]

    async def due(self) -> list[tuple[int, str, Any]]:
        await self.kitchen.say("remind me in 5 minutes to stir")
        await self.out()
        self.kitchen.later(minutes=5)
        self.kitchen.schedule.tick()
        return await self.out()


@pytest.fixture
def speaking(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Speaking]:
    kitchen = Kitchen(tmp_path / "diary.db")
    yield Speaking(kitchen, monkeypatch)
    kitchen.store.close()


async def test_nothing_is_read_unless_asked_for(speaking: Speaking) -> None:
    await speaking.kitchen.say("gravity 1.050")
    assert [kind for _, kind, _ in await speaking.out()] == ["text"]
    assert [kind for _, kind, _ in await speaking.due()] == ["text"]
    assert speaking.read == []


async def test_reminders_only(speaking: Speaking) -> None:
    assert "voice notes" in await speaking.kitchen.say("speak reminders")
    await speaking.kitchen.say("note: bubbles")
    assert [kind for _, kind, _ in await speaking.out()] == ["text", "text"]
    assert await speaking.due() == [(ADA, "text", "Reminder: stir."), (ADA, "voice", b"Reminder: stir.")]


async def test_everything_in_its_spoken_form(speaking: Speaking) -> None:
    await speaking.kitchen.say("brew 8 litres of brown ale")
    await speaking.kitchen.say("speak everything")
    await speaking.out()
    await speaking.kitchen.say("gravity 1.050")
    (_, _, text), (_, kind, said) = await speaking.out()
    assert "1.050" in text
    assert kind == "voice"
    assert b"1.050" not in said
    assert said.startswith(b"10 50 noted")
    await speaking.kitchen.say("stop talking")
    assert [kind for _, kind, _ in await speaking.out()] == ["text"]


@pytest.mark.parametrize("fault", [RuntimeError("no voice"), ImportError("hibari"), MemoryError()])
async def test_fault_of_the_voice_stops_no_text(speaking: Speaking, fault: Exception) -> None:
    await speaking.kitchen.say("speak reminders")
    speaking.fault = fault
    assert await speaking.due() == [(ADA, "text", "Reminder: stir.")]


async def test_fault_before_the_voice_stops_no_text(speaking: Speaking, monkeypatch: pytest.MonkeyPatch) -> None:
    await speaking.kitchen.say("speak reminders")

    def broken(*arguments: object) -> bool:
        raise OSError("no sound library")

    monkeypatch.setattr("bot.speech.speak.wanted", broken)
    assert [kind for _, kind, _ in await speaking.due()] == ["text"]


@pytest.mark.parametrize(
    "refusal",
    [
        BadRequest("VOICE_MESSAGES_FORBIDDEN"),
        # Where the same words about a text would mean that the chat takes nothing at all.
        BadRequest("Not enough rights to send voice notes to the chat"),
    ],
)
async def test_phone_that_takes_no_voice_notes_is_written_to(speaking: Speaking, refusal: Exception) -> None:
    await speaking.kitchen.say("speak reminders")
    speaking.phone.refuses = refusal
    assert [kind for _, kind, _ in await speaking.due()] == ["text"]
    assert speaking.phone.voices_tried == 1
    assert not speaking.kitchen.store.rows("SELECT 1 FROM outbox WHERE fault <> ''")
    assert [kind for _, kind, _ in await speaking.due()] == ["text"]


async def test_voice_that_never_arrives_is_given_up(speaking: Speaking, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(way_out, "LONGEST_WAIT_S", 0.01)
    await speaking.kitchen.say("speak reminders")
    speaking.phone.refuses = NetworkError("cut")
    assert [kind for _, kind, _ in await speaking.due()] == ["text"]
    assert speaking.phone.voices_tried == way_out.TRIES_ALOUD + 1


async def test_start_between_text_and_voice_repeats_no_text(speaking: Speaking) -> None:
    await speaking.kitchen.say("speak reminders")
    await speaking.kitchen.say("remind me in 5 minutes to stir")
    await speaking.out()
    speaking.kitchen.later(minutes=5)
    speaking.kitchen.schedule.tick()
    started = asyncio.Event()

    async def never(text: str) -> None:
        started.set()
        await asyncio.sleep(3600)

    speaking.sender._aloud.note = never  # type: ignore[method-assign,assignment]
    speaking.sender.wake_all()
    await started.wait()
    await speaking.sender.close(0)
    speaking.make()
    assert await speaking.out() == [(ADA, "voice", b"Reminder: stir.")]


async def test_guests_wish_is_their_own(speaking: Speaking) -> None:
    kitchen = speaking.kitchen
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say(f"/start {token_in(await kitchen.say('/invite'))}", BEN)
    await kitchen.say(f"/start {token_in(await kitchen.say('/share'))}", BEN)
    assert "voice notes" in await kitchen.say("speak reminders", BEN)
    assert (kitchen.state(ADA).speech, kitchen.state(BEN).speech) == ("off", "reminders")
    await speaking.out()
    arrived = await speaking.due()
    assert {(chat, kind) for chat, kind, _ in arrived} == {(ADA, "text"), (BEN, "text"), (BEN, "voice")}
    assert "only write" in await kitchen.say("be quiet", BEN)
    assert (kitchen.state(BEN).speech, kitchen.state(ADA).nudges) == ("off", True)
    await kitchen.say("quiet from 21:00 to 08:00", BEN)
    assert kitchen.state(ADA).quiet_from == "22:00"
    assert kitchen.places.find(address_of(BEN)).diary == address_of(ADA)  # type: ignore[union-attr]


async def test_what_waited_is_read_as_late(speaking: Speaking) -> None:
    await speaking.kitchen.say("speak everything")
    await speaking.out()
    await speaking.kitchen.say("note: one")
    speaking.kitchen.later(minutes=10)
    assert speaking.read == ["In the messenger, everything comes as a voice note too."]
    await speaking.out()
    assert speaking.read[-1].startswith("Meant for 09:30.")
    for word in ("two", "three"):
        await speaking.kitchen.say(f"note: {word}")
    speaking.kitchen.later(minutes=10)
    kinds = [kind for _, kind, _ in await speaking.out()]
    assert kinds == ["text", "voice"]
    assert speaking.read[-1].startswith("I could not reach you: 2 messages waited.")
    assert "three" in speaking.read[-1]
    assert "two" not in speaking.read[-1]
