"""Both engines listening to the same note: each brings wordings and weighs those of the other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bot.speech.port import Hypothesis, Samples, Situation
from bot.speech.second_opinion import as_said, as_written, weighed

if TYPE_CHECKING:
    from bot.speech.pocketsphinx_engine import Pocketsphinx
    from bot.speech.whisper_engine import Whisper


class TwoEars:
    """An engine made of two."""

    errs = 0.5

    def __init__(self, first: Pocketsphinx, second: Whisper) -> None:
        self._first, self._second = first, second
        self.name = f"{first.name}+{second.name}"

    def recognise(self, sound: Samples, situation: Situation) -> list[Hypothesis]:
        """The wordings of both, weighed by both; those of the first alone where the sound is too long for the second."""
        if not self._second.can_weigh(sound):
            return self._first.recognise(sound, situation)
        own = [as_said(each.text) for each in self._second.recognise(sound, situation)]
        first = self._first.recognise(sound, situation, own)
        return weighed(first, own, lambda texts: self._second.weigh(sound, [as_written(text) for text in texts]))
