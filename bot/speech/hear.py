"""A voice note in, what to do about it out: the one way in for messenger, terminal and command line.

The sound is decoded in memory and dropped as soon as the words are there. Who wants it kept with the batch has the caller keep it (bot/sent_files.py).
"""

from __future__ import annotations

import logging
import os
from datetime import datetime
from functools import lru_cache
from threading import Lock
from typing import TYPE_CHECKING, NamedTuple

from bot.speech.audio import decode
from bot.speech.port import Hypothesis, Recogniser, Situation, SpeechError
from bot.speech.two_ears import TwoEars
from bot.speech.voice_activity import speech_in
from conversations.hearing import Alternative, Decision, settle
from conversations.session.events import Heard
from conversations.session.state import State
from conversations.session.step import context_of

if TYPE_CHECKING:
    from bot.speech.pocketsphinx_engine import Pocketsphinx
    from bot.speech.whisper_engine import Whisper

WHISPER_MODEL = "POTSIDE_WHISPER_MODEL"
"""Environment variable with the name or the folder of a whisper model; with it, both engines listen."""

_one_at_a_time = Lock()
_log = logging.getLogger(__name__)


class Hearing(NamedTuple):
    """What came of a note. Give ``message`` to the engine of the chat: it is echoed, asked about or declined there."""

    decision: Decision
    text: str
    confidence: float
    choices: tuple[str, ...] = ()
    hypotheses: tuple[Hypothesis, ...] = ()
    complaint: str = ""
    """Why the sound could not be used at all, as a sentence for the person."""

    def message(self, who: str = "me") -> Heard:
        """The message to the session that this note stands for."""
        return Heard(text=self.text, who=who, spoken=True, perhaps=self.choices, complaint=self.complaint)


@lru_cache(maxsize=2)
def _embedded(*, alone: bool) -> Pocketsphinx:
    from bot.speech.pocketsphinx_engine import Pocketsphinx

    return Pocketsphinx(alone=alone)


@lru_cache(maxsize=2)
def _whisper(model: str) -> Whisper:
    from bot.speech.whisper_engine import Whisper

    return Whisper(model)


def chosen_ear(name: str = "auto", model: str = "") -> tuple[Recogniser, str]:
    """The engine to listen with, and a sentence where one that was wanted is not to be had.

    ``auto`` is both where a whisper model is named, else the one that comes with Potside.
    """
    model = model or os.environ.get(WHISPER_MODEL, "")
    if name == "pocketsphinx" or (name == "auto" and not model):
        return _embedded(alone=True), ""
    try:
        whisper = _whisper(model or "base.en")
    except SpeechError as fault:
        return _embedded(alone=True), f"{fault} The built-in ear listens instead."
    return (whisper if name == "whisper" else TwoEars(_embedded(alone=False), whisper)), ""


def situation_of(state: State, now: datetime) -> Situation:
    """What the engines may know of a chat."""
    context = context_of(state, now)
    return Situation(context.stage, context.units, context.names)


def hear_voice(data: bytes, state: State, now: datetime, ear: Recogniser | None = None) -> Hearing:
    """Hear one voice note (any common format) in the situation of a chat; takes up to a few seconds, never raises.

    An engine hears one note at a time: a second thread waits.
    """
    try:
        sound = decode(data)
        chosen = ear or chosen_ear()[0]
        if (speech := speech_in(sound)) is None:
            return Hearing("reject", "", 0.0)
        with _one_at_a_time:
            heard = chosen.recognise(speech, situation_of(state, now))
    except SpeechError as fault:
        return Hearing("reject", "", 0.0, complaint=str(fault))
    # Whatever an engine trips over, the evening goes on and the person hears that this note was lost.
    except Exception:
        _log.exception("hearing")
        return Hearing("reject", "", 0.0)
    verdict = settle([Alternative(*each) for each in heard], state, now, chosen.trust(speech))
    return Hearing(
        verdict.decision,
        verdict.text,
        verdict.confidence,
        verdict.choices,
        tuple(heard),
    )
