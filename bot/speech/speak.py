"""Answering aloud: the spoken form of a reply as a voice note, made on this machine by hibari-tts."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING

from bot.speech.audio import encode
from bot.speech.port import SpeechError
from conversations.session.state import State

if TYPE_CHECKING:
    from hibari import Hibari

LONGEST_TEXT = 600
"""Characters that are read aloud; nobody listens longer at the stove."""
_KEPT_NOTES = 64
_WEB = re.compile(r"https?://\S+")
_ODD = re.compile(r"[*_`#<>|\\{}\[\]~^]")


def wanted(state: State, is_reminder: bool) -> bool:
    """Whether this person wants to hear a reply: never, reminders only, or everything."""
    return state.speech == "all" or (state.speech == "reminders" and is_reminder)


def readable(text: str) -> str:
    """Text that a voice can read: no addresses, no signs, an end to every sentence.

    >>> readable("*67 degrees*. See https://example.org/x")
    '67 degrees. See.'
    """
    text = _ODD.sub(" ", _WEB.sub("", text))
    text = re.sub(r"\s+", " ", text).strip()[:LONGEST_TEXT]
    text = re.sub(r"(?<!\s)\s++([.,;:?!])", r"\1", text)
    return text if not text or text[-1] in ".?!" else f"{text}."


def voice_note(text: str) -> bytes:
    """A voice note (OGG with Opus, mono, 48 kHz) of a spoken form; fixed sentences come from a small cache.

    Raises SpeechError where there is nothing to say or the voice is not installed.
    """
    said = readable(text)
    if not any(letter.isalnum() for letter in said):
        raise SpeechError("There is nothing to say aloud.")
    return _note(said)


@lru_cache(maxsize=_KEPT_NOTES)
def _note(said: str) -> bytes:
    voice = _voice()
    sound = voice(said, seed=0)
    if len(sound) == 0:
        raise SpeechError("There is nothing to say aloud.")
    return encode(sound, voice.sample_rate)


@lru_cache(maxsize=1)
def _voice() -> Hibari:
    try:
        from hibari import Hibari
    except ImportError as fault:
        raise SpeechError("The voice is not installed: pip install hibari-tts.") from fault
    return Hibari()
