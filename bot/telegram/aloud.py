"""Replies read aloud: a voice note behind the text, for whoever asked for it. What fails here costs only the voice."""

from __future__ import annotations

import asyncio
import logging
from concurrent.futures import ThreadPoolExecutor

from bot.attachments import File
from bot.store import Store, Unsent
from conversations.session.state import State
from conversations.session.wording import spoken

LONGEST_WAIT_S = 20.0
"""A voice that takes longer than this, as when many chats are due at once on a small computer, is left out."""
VOICE = "audio/ogg"
_log = logging.getLogger(__name__)


class Aloud:
    """Makes voice notes in one thread of its own, so that neither the messages nor the pictures wait for it."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._thread = ThreadPoolExecutor(1, "voice")

    def wish(self, unsent: Unsent, address: str) -> str:
        """What of a reply this chat wants to hear, which is often nothing.

        The wish is that of the chat's own diary, also while it works in another one.
        """
        try:
            state = self._store.state(address)
            if state.speech == "off" or not unsent.reply.text or not self._wanted(state, unsent.id):
                return ""
            return unsent.reply.spoken or spoken(unsent.reply.text, state.gravity_said)
        # This comes before the text is sent, which must be.
        except Exception:
            _log.exception("aloud")
            return ""

    def _wanted(self, state: State, row: int) -> bool:
        from bot.speech.speak import wanted

        reminder = self._store.rows(
            "SELECT 1 FROM inbox WHERE id = (SELECT message FROM outbox WHERE id = ?) AND source_id LIKE 'due:%'", row
        )
        return wanted(state, bool(reminder))

    async def note(self, text: str) -> File | None:
        """The voice note; None where there is none to be had, whatever the reason."""
        loop = asyncio.get_running_loop()
        try:
            data = await asyncio.wait_for(loop.run_in_executor(self._thread, _note, text), LONGEST_WAIT_S)
        # The text is there already. A voice that is not installed, that trips or that is slow must stop nothing.
        except Exception as fault:
            _log.warning("a reply was not read aloud", extra={"after": type(fault).__name__})
            return None
        return File("reply.ogg", VOICE, data)

    def close(self) -> None:
        """Wait for nothing that is still being made."""
        self._thread.shutdown(wait=False, cancel_futures=True)


def _note(text: str) -> bytes:
    from bot.speech.speak import voice_note

    return voice_note(text)
