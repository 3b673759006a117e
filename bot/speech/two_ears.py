"""Both engines listening to the same note: the embedded one brings wordings, the better one weighs them."""

from __future__ import annotations

from bot.speech.port import Hypothesis, Recogniser, Samples, Situation
from bot.speech.second_opinion import weighed
from bot.speech.whisper_engine import Whisper


class TwoEars:
    """An engine made of two."""

    def __init__(self, first: Recogniser, second: Whisper) -> None:
        self._first, self._second = first, second
        self.name = f"{first.name}+{second.name}"

    def recognise(self, sound: Samples, situation: Situation) -> list[Hypothesis]:
        """The wordings of both, weighed by both; those of the first alone where the sound is too long for the second."""
        first = self._first.recognise(sound, situation)
        if not self._second.can_weigh(sound):
            return first
        own = self._second.recognise(sound, situation)
        return weighed(first, own, lambda texts: self._second.weigh(sound, texts))
