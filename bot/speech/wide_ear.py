"""What the net hears among all that can be said, however seldom: wordings for a second engine to choose from.

Expecting everything makes an ear worse at what is often said (docs/speech.md), so the first engine does not; but where
another engine weighs each wording by the sound, "use dollars" may stand beside "use gallons".
"""

from __future__ import annotations

from pathlib import Path

from bot.speech.dictionary import sayable, sounds
from bot.speech.kept_models import kept, situation_key
from bot.speech.language_model import Trigrams
from bot.speech.phone_ear import PhoneEar, write_words
from bot.speech.phone_net import phone_net
from bot.speech.port import Samples, Situation
from bot.speech.what_is_said import every_word


class WideEar:
    """The net with every word of the language data; it holds the model of one situation, as the first engine does."""

    def __init__(self, cache: Path, engine_dictionary: Path) -> None:
        """Keep models in ``cache``; ``engine_dictionary`` tells how words sound."""
        self._cache, self._dictionary = cache, engine_dictionary
        self._loaded: tuple[str, PhoneEar] | None = None

    def wordings(self, sound: Samples, situation: Situation, most: int) -> list[str]:
        """So many ways of hearing the sound at most, the likeliest first."""
        key = situation_key(situation)
        if self._loaded is None or self._loaded[0] != key:
            paths = (self._cache / f"{key}.wide.words", self._cache / f"{key}.wide.pairs")
            self._loaded = key, PhoneEar(*kept(paths, lambda drafts: self._make(situation, drafts)))
        return self._loaded[1].wordings(phone_net()(sound), most)

    def _make(self, situation: Situation, drafts: list[Path]) -> None:
        said, seldom = every_word(situation)
        found = sounds({word for lines in (said, seldom) for line in lines for word in line.split()}, self._dictionary)
        write_words(found, Trigrams(sayable(said, found), sayable(seldom, found)), *drafts)
