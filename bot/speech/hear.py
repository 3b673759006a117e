"""A voice note in, what to do about it out: the one way in for messenger, terminal and command line.

The sound is decoded in memory and dropped as soon as the words are there; nothing of it is written anywhere.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache
from threading import Lock
from typing import NamedTuple

from bot.speech.audio import decode
from bot.speech.port import Hypothesis, Recogniser, Situation, SpeechError
from bot.speech.second_opinion import spread
from bot.speech.voice_activity import speech_in
from conversations.hearing import Alternative, Decision, Ear, Verdict, settle
from conversations.session.events import Heard
from conversations.session.state import State
from conversations.session.step import context_of

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
    engines: tuple[str, ...] = ()

    def message(self, who: str = "me") -> Heard:
        """The message to the session that this note stands for."""
        return Heard(text=self.text, who=who, spoken=True, perhaps=self.choices, complaint=self.complaint)


@lru_cache(maxsize=1)
def _embedded() -> Recogniser:
    from bot.speech.pocketsphinx_engine import Pocketsphinx

    return Pocketsphinx()


@lru_cache(maxsize=2)
def _whisper(model: str) -> Recogniser:
    from bot.speech.whisper_engine import Whisper

    return Whisper(model)


def engines(name: str = "auto", model: str = "") -> tuple[list[Recogniser], str]:
    """The engines to listen with, and a sentence where one that was wanted is not to be had.

    ``auto`` is both where a whisper model is named, else the one that comes with Potside.
    """
    model = model or os.environ.get(WHISPER_MODEL, "")
    if name == "pocketsphinx" or (name == "auto" and not model):
        return [_embedded()], ""
    try:
        whisper = _whisper(model or "base.en")
    except SpeechError as fault:
        return [_embedded()], f"{fault} The built-in ear listens instead."
    return ([whisper] if name == "whisper" else [_embedded(), whisper]), ""


def situation_of(state: State, now: datetime) -> Situation:
    """What the engines may know of a chat."""
    context = context_of(state, now)
    return Situation(context.stage, context.units, context.names)


def ears_of(heard: Sequence[tuple[Recogniser, Sequence[Hypothesis]]]) -> list[Ear]:
    """What engines heard, the first with all its wordings; the words of others count for those that sound like them."""
    wordings: list[Hypothesis] = []
    result: list[Ear] = []
    for ear, found in heard:
        if wordings and len(found) == 1:
            found = spread(found[0], wordings)
        wordings += found
        result.append(Ear([Alternative(*each) for each in found], ear.misses))
    return result


def hear_voice(data: bytes, state: State, now: datetime, ears: Sequence[Recogniser] | None = None) -> Hearing:
    """Hear one voice note (any common format) in the situation of a chat; takes up to a few seconds, never raises.

    Engines hear one note at a time: a second thread waits.
    """
    try:
        sound = decode(data)
        chosen = list(ears) if ears is not None else engines()[0]
        if (speech := speech_in(sound)) is None:
            return Hearing("reject", "", 0.0)
        with _one_at_a_time:
            heard = [(ear, ear.recognise(speech, situation_of(state, now))) for ear in chosen]
        takes = ears_of(heard)
    except SpeechError as fault:
        return Hearing("reject", "", 0.0, complaint=str(fault))
    # Whatever an engine trips over, the evening goes on and the person hears that this note was lost.
    except Exception:
        _log.exception("hearing")
        return Hearing("reject", "", 0.0)
    verdict: Verdict = settle(takes, state, now)
    ranked = sorted((each for _, found in heard for each in found), key=lambda one: -one.confidence)
    return Hearing(
        verdict.decision,
        verdict.text,
        verdict.confidence,
        verdict.choices,
        tuple(ranked),
        engines=tuple(ear.name for ear, _ in heard),
    )
