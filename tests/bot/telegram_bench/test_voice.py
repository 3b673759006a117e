"""Voice both ways through the real program: notes that are heard, notes that are asked about, reminders read aloud."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from bot.speech.audio import decode, encode
from bot.speech.hear import Hearing, hear_voice
from bot.speech.port import RATE
from bot.speech.speak import voice_note
from conversations.session.events import Heard
from conversations.session.fold import EMPTY
from conversations.session.step import step
from tests.bot.telegram_bench.bench import ADA, STRANGER, Bench
from tests.bot.telegram_bench.proxy import Call
from tests.bot.telegram_bench.served import Served

pytestmark = pytest.mark.slow


@pytest.fixture
def served(bench: Bench, tmp_path: Path) -> Iterator[Served]:
    server = Served(bench, tmp_path / "diary.db", status_message="false")
    try:
        server.pair()
        bench.say(ADA, "brew 8 litres of brown ale")
        bench.hears(ADA.id, "8.0 l of brown ale")
        yield server
    finally:
        server.stop()


def noisy(text: str, decibels: float) -> bytes:
    """The text spoken in a noisy kitchen, always the same noise."""
    sound = decode(voice_note(text))
    loud = float(np.sqrt(np.mean(sound**2))) * 10 ** (-decibels / 20)
    return encode(sound + np.random.default_rng(1).normal(0, loud, sound.size).astype(np.float32), RATE)


DAY = ("grain is in", "bag out")
"""A volume is one of the pot from here on, and no size of the batch."""


def unclear() -> tuple[bytes, Hearing]:
    """A note about which there are two opinions, and what is heard in it."""
    now = datetime.now(UTC)
    state = EMPTY
    for text in ("brew 8 litres of brown ale", *DAY):
        state = step(state, Heard(text=text), now).state
    for decibels in (14, 12, 10, 8, 6):
        note = noisy("sixteen litres", decibels)
        heard = hear_voice(note, state, now)
        if heard.decision == "ask" and len(heard.choices) == 2 and "sixteen litres" in heard.choices:
            return note, heard
    raise AssertionError("no noise makes this unclear: find another sentence")


def send(bench: Bench, note: bytes) -> None:
    bench.voice(ADA, bench.upload(note), len(note))


def volumes(data: Path) -> list[float]:
    with sqlite3.connect(data) as file:
        rows = [json.loads(row[0])["reading"] for row in file.execute("SELECT data FROM events WHERE kind = 'reading'")]
    return [round(each["value"]["value"], 3) for each in rows if each["kind"] == "volume"]


def test_clear_note_is_taken_and_said_back(bench: Bench, served: Served, tmp_path: Path) -> None:
    send(bench, voice_note("gravity ten fifty"))
    told = bench.hears(ADA.id, "1.050")
    assert "undo" in told.buttons
    bench.press_label(ADA, told, "undo")
    bench.hears(ADA.id, "Taken back: gravity 1.050")
    assert not list(tmp_path.rglob("*.og*")), "sound was kept"


def test_unclear_note_is_asked_about_with_buttons(bench: Bench, served: Served, tmp_path: Path) -> None:
    note, heard = unclear()
    for text, said in zip(DAY, ("Mash", "Drain"), strict=True):
        bench.say(ADA, text)
        bench.hears(ADA.id, said)
    send(bench, note)
    told = bench.hears(ADA.id, "Nothing is recorded yet")
    assert len(told.buttons) == len(heard.choices) == 2
    assert volumes(tmp_path / "diary.db") == []
    before = len(bench.sent(ADA.id))
    bench.press_label(ADA, told, list(told.buttons)[heard.choices.index("sixteen litres")])
    bench.hears(ADA.id, "16.0 l", after=before)
    bench.quiet()
    assert volumes(tmp_path / "diary.db") == [16.0]
    # Pressed again, nothing comes of it.
    bench.press_label(ADA, told, next(iter(told.buttons)))
    bench.quiet()
    assert volumes(tmp_path / "diary.db") == [16.0]


def test_note_of_a_stranger_is_never_fetched(bench: Bench, served: Served) -> None:
    note = voice_note("gravity ten fifty")
    bench.voice(STRANGER, bench.upload(note), len(note))
    bench.hears(STRANGER.id, "private")
    assert not any(call.method == "getFile" for call in bench.proxy.calls)


def test_messages_behind_a_voice_note_wait_for_it(bench: Bench, served: Served) -> None:
    before = len(bench.sent(ADA.id))
    send(bench, voice_note("gravity ten fifty"))
    bench.say(ADA, "note: after it")
    bench.hears(ADA.id, "Noted: after it", after=before)
    assert ["1.050" in call.text for call in bench.sent(ADA.id)[before:]] == [True, False]


def voices(bench: Bench) -> list[Call]:
    return [call for call in bench.sent(ADA.id) if call.method == "sendVoice"]


def test_reminder_is_read_aloud_behind_its_text(bench: Bench, served: Served) -> None:
    bench.say(ADA, "speak reminders")
    bench.hears(ADA.id, "voice notes")
    bench.say(ADA, "remind me in 1 second to stir")
    bench.hears(ADA.id, "Reminder: stir")
    assert bench.proxy.wait(lambda calls: any(call.method == "sendVoice" and call.done for call in calls), 30)
    (voice,) = voices(bench)
    methods = [(call.method, call.text) for call in bench.sent(ADA.id)]
    assert methods[-2:] == [("sendMessage", "Reminder: stir."), ("sendVoice", "")]
    assert voice.files == ("voice",)
    # A voice that cannot be sent holds up no text, and is not a text that was refused.
    bench.fault("refused", "sendVoice", times=9, status=400, description="Bad Request: VOICE_MESSAGES_FORBIDDEN")
    bench.say(ADA, "remind me in 1 second to drain")
    bench.hears(ADA.id, "Reminder: drain")
    bench.say(ADA, "note: still here")
    bench.hears(ADA.id, "Noted: still here")
    assert len(voices(bench)) == 1
