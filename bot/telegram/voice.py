"""Where the speech part plugs in: a voice note in, the words of it out."""

from __future__ import annotations

from conversations.session.state import State


def hear(voice: bytes, state: State) -> str | None:
    """What a voice note (Opus in Ogg) says; None while nothing can hear. Runs in a thread and may take seconds."""
    return None
