"""Push to talk: what comes out of a microphone is heard like a voice note. The sound library is played by a stand-in."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from bot.clock import SystemClock
from bot.speech.audio import decode
from bot.store import Store
from bot.terminal import Terminal


class Broken(Exception):
    pass


def library(sound: np.ndarray, works: bool = True) -> ModuleType:
    """A sound library whose microphone hears this, in pieces of 64 ms as drivers give them."""

    class InputStream:
        def __init__(self, *, samplerate: int, channels: int, dtype: str, callback: Callable[..., None]) -> None:
            assert (samplerate, channels, dtype) == (16_000, 1, "float32")
            self._callback = callback

        def start(self) -> None:
            if not works:
                raise Broken
            for at in range(0, len(sound), 1024):
                piece = sound[at : at + 1024, None]
                self._callback(piece, len(piece), None, None)

        def stop(self) -> None:
            pass

        def close(self) -> None:
            pass

    module: Any = ModuleType("sounddevice")
    module.InputStream, module.PortAudioError = InputStream, Broken
    return module


@pytest.fixture
def chat(tmp_path: Path) -> tuple[Terminal, io.StringIO]:
    out = io.StringIO()
    return Terminal(Store.open(tmp_path / "diary.db"), SystemClock(), out), out


def test_what_is_said_into_the_microphone_is_answered(
    chat: tuple[Terminal, io.StringIO], note: Callable[[str], bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", library(decode(note("how many pints in eight litres"))))
    terminal, out = chat
    terminal.say("/talk")
    assert "Enter ends it" in out.getvalue()
    assert terminal.talking
    terminal.say("")
    assert not terminal.talking
    assert "14.08" in out.getvalue() or "14.1" in out.getvalue()


def test_a_line_typed_instead_is_taken_and_the_sound_dropped(
    chat: tuple[Terminal, io.StringIO], note: Callable[[str], bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", library(decode(note("help"))))
    terminal, out = chat
    terminal.say("/talk")
    terminal.say("convert 5 gallons to litres")
    assert "22.7" in out.getvalue()
    assert "Heard" not in out.getvalue()


@pytest.mark.parametrize(
    ("module", "line"),
    [
        (None, "No microphone to be had"),
        (library(np.zeros(0, np.float32), works=False), "could not be opened"),
        (library(np.zeros(0, np.float32)), "gave no sound"),
    ],
)
def test_without_a_microphone_the_chat_goes_on(
    chat: tuple[Terminal, io.StringIO], module: ModuleType | None, line: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", module)
    terminal, out = chat
    terminal.say("/talk")
    if terminal.talking:
        terminal.say("")
    assert line in out.getvalue()
    terminal.say("convert 5 gallons to litres")
    assert "22.7" in out.getvalue()
