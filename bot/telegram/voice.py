"""Where the speech part plugs in: a voice note in, a message to the session out."""

from __future__ import annotations

from datetime import datetime
from importlib import import_module

from conversations.session.events import Heard
from conversations.session.state import State


def hear(voice: bytes, state: State, now: datetime, who: str) -> Heard | None:
    """What a voice note (Opus in Ogg) says; None while nothing here can hear. Runs in a thread, may take seconds."""
    try:
        ear = import_module("bot.speech.hear")
    except ImportError:
        return None
    heard = ear.hear_voice(voice, state, now).message(who)
    return Heard.model_validate(heard)
