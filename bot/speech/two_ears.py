"""Both engines listening to the same note: each brings wordings and weighs those of the other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bot.speech.port import Hypothesis, Samples, Situation
from bot.speech.second_opinion import MOST_SELDOM, as_said, as_written, weighed
from bot.speech.voice_activity import rise
from conversations.hearing import ONE_EAR, TWO_EARS, TWO_EARS_IN_NOISE, Trust

if TYPE_CHECKING:
    from bot.speech.pocketsphinx_engine import Pocketsphinx
    from bot.speech.whisper_engine import Whisper

_LOUD_DB = 25.5
"""How far speech stands out of its noise where that is loud: 24 to 36 dB at 20 dB, 16 to 27 at 10 dB (development voices)."""


class TwoEars:
    """An engine made of two."""

    def __init__(self, first: Pocketsphinx, second: Whisper) -> None:
        self._first, self._second, self._wide = first, second, first.wide()
        self.name = f"{first.name}+{second.name}"

    def trust(self, sound: Samples) -> Trust:
        """That of two ears, less beside a loud pot; that of one where the sound is too long for the second."""
        if not self._second.can_weigh(sound):
            return ONE_EAR
        return TWO_EARS if rise(sound) > _LOUD_DB else TWO_EARS_IN_NOISE

    def recognise(self, sound: Samples, situation: Situation) -> list[Hypothesis]:
        """The wordings of both, weighed by both; those of the first alone where the sound is too long for the second."""
        if not self._second.can_weigh(sound):
            return self._first.recognise(sound, situation)
        own = [as_said(each.text) for each in self._second.recognise(sound, situation)]
        first = self._first.recognise(sound, situation, own)
        seldom = self._wide.wordings(sound, situation, MOST_SELDOM)
        return weighed(
            first, own, seldom, lambda texts: self._second.weigh(sound, [as_written(text) for text in texts])
        )
