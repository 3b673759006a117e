"""A second look at a note by the phone net: which words it brings itself, and how well any wording goes with it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from bot.speech.dictionary import sayable
from bot.speech.language_model import Trigrams
from bot.speech.phone_net import phone_net
from bot.speech.phone_scores import scores
from bot.speech.word_search import WordSearch
from conversations.hearing import TEENS, twins_of

_UNSEEN = 1e-3
"""Share that a wording is given which the other ear did not bring."""
_SOUND, _WORDS, _OTHER, _LIKE, _LENGTH = 0.28, 0.30, 0.74, 0.91, 1.32
"""What counts how much: the sound by the net, the language model, the other ear, a known shape, each word (a language
model alone favours short sentences). Fitted to the right wording of 502 development notes of two voices that the net
had not heard (docs/speech.md)."""

_STRANGE, _STEEP = -0.8, 3.0
"""From where on a wording is doubted for itself, and how fast: by how far its sounds are behind the likeliest sounds of
all, for each of its phones. Right wordings of those two voices: 0.05 in the middle, -0.9 for one of fifty at 10 dB; talk
about other things, heard as the nearest that is said here: -0.7 in the middle, down to -2.8."""

_TWINS_OF, _TWIN, _OTHER_OF_TWINS = 3, 1.0, _OTHER / 2
"""Of how many wordings thirteen is tried for thirty and the like, and what the sound and the other ear count between the two:
the other ear hardly hears a number that is seldom said ("nineteen minutes" is ninety to it)."""


class PhoneEar:
    """The net with the words of one situation."""

    def __init__(self, words: Path, pairs: Path) -> None:
        """Read what :func:`write_words` wrote."""
        numbers = {phone: number for number, phone in enumerate(phone_net().phones, start=1)}
        rows = [line.split() for line in words.read_text(encoding="utf-8").splitlines()]
        self._phones = {row[0]: [numbers[phone] for phone in row[1:]] for row in rows}
        self._search = WordSearch(list(self._phones), list(self._phones.values()), np.load(pairs, mmap_mode="r"))

    def wordings(self, heard: NDArray[np.float32], most: int) -> list[str]:
        """So many ways of hearing it at most, the likeliest first."""
        return self._search(heard, most)

    def shares(
        self,
        heard: NDArray[np.float32],
        others: dict[str, float],
        like: Callable[[str], bool],
        words: Callable[[str], float],
        most: int,
        *,
        twins: bool,
    ) -> dict[str, float]:
        """How likely each wording is, its own and those of the other ear with their shares; 1 in all, less where none
        of them sounds like what was said. With ``twins`` thirteen is tried for thirty and the like."""
        found = dict.fromkeys([*self.wordings(heard, most), *others])
        known = sayable(filter(None, found), self._phones)
        if not known:
            return {}

        def other(text: str) -> float:
            return math.log(others.get(text, 0.0) + _UNSEEN)

        def expected(text: str) -> float:
            return _WORDS * words(text) + _OTHER * other(text) + _LIKE * like(text) + _LENGTH * len(text.split())

        sounds = dict(zip(known, scores(heard, [self._row(text) for text in known]), strict=True))
        worth = {text: _SOUND * sound + expected(text) for text, sound in sounds.items()}
        if twins:
            likeliest = sorted(worth, key=lambda text: -worth[text])[:_TWINS_OF]
            tried = sayable(dict.fromkeys(twin for text in likeliest for twin in twins_of(text) if twin not in sounds), self._phones)
            sounds |= zip(tried, scores(heard, [self._row(text) for text in tried]), strict=True)
            worth |= {text: _SOUND * sounds[text] + expected(text) for text in tried}
            worth |= _apart(worth, sounds, lambda text: _WORDS * words(text) + _OTHER_OF_TWINS * other(text))
        top = max(worth.values())
        shares = {text: math.exp(each - top) for text, each in worth.items()}
        whole, anything = sum(shares.values()), float(heard.max(axis=1).sum())
        return {
            text: share / whole * math.exp(min(0.0, _STEEP * ((sounds[text] - anything) / len(self._row(text)) - _STRANGE)))
            for text, share in shares.items()
        }

    def _row(self, text: str) -> list[int]:
        return [phone for word in text.split() for phone in self._phones[word]]


def _apart(worth: Mapping[str, float], sounds: Mapping[str, float], beside: Callable[[str], float]) -> dict[str, float]:
    """What wordings are worth that differ in thirteen and thirty or their like alone: as much as the best of them, less by what
    tells them apart, their sounds and what counts ``beside`` these."""
    alike: dict[str, list[str]] = {}
    for text in worth:
        alike.setdefault(" ".join(TEENS.get(word, word) for word in text.split()), []).append(text)
    found: dict[str, float] = {}
    for together in alike.values():
        best, loudest = max(together, key=lambda text: worth[text]), max(sounds[text] for text in together)
        if len(together) > 1:
            found |= {text: worth[best] + _TWIN * (sounds[text] - loudest) + beside(text) - beside(best) for text in together}
    return found


def write_words(found: dict[str, list[str]], trigrams: Trigrams, words: Path, pairs: Path) -> None:
    """Each word with its first way of sounding, a line each; and the logarithms of all pairs in that order.

    The net was trained with one way for each word and hears the others as it.
    """
    order = trigrams.words
    words.write_text("\n".join(f"{word} {found[word][0]}" for word in order) + "\n", encoding="utf-8")
    with pairs.open("wb") as out:
        np.save(out, trigrams.pairs(order))


def trigram(prob: Callable[[Sequence[str]], float]) -> Callable[[str], float]:
    """Logarithm of a sentence by a model that is asked for a word and the two before it, the newest first."""

    def of(text: str) -> float:
        row = ["<s>", *text.split(), "</s>"]
        return sum(prob(row[max(0, place - 2) : place + 1][::-1]) for place in range(1, len(row)))

    return of
