"""What a second engine makes of the wordings of the first: how likely it holds each, with the sound before it.

An engine that knows nothing of brewing writes "Fugles are in" and "Seven time worth for fifteen minutes": understood by
nobody. Asked how likely "fuggles are in" and "set a timer for fifteen minutes" are for the same sound, it tells them from
all that the first engine holds possible.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from functools import cache

from bot.speech.dictionary import hearing
from bot.speech.port import Hypothesis
from bot.speech.what_is_said import aloud

MOST_WEIGHED = 12
"""Wordings that the second engine is asked about."""
MOST_SELDOM = 5
"""Wordings beside these that hold what is seldom said."""
_UNHEARD = 1e-3
"""Share of a wording that the first engine did not bring."""
_SELDOM = 3e-3
"""The same, of one that was heard among all that can be said: nobody expected it, but it is a row of our words."""
_PLAINLY_OWN = -2.0
"""From which logarithm on the second engine's own words need no shape of ours: its own scale, about that of a right
sentence of ten pieces of words of which each has four fifths (../../docs/speech.md)."""
_SOUND, _LENGTH = 0.4, 0.7
"""What the second engine's logarithm of a wording counts, and each word (a likelihood alone favours short sentences)."""
_BEHIND, _STEEP = -18.0, 0.5
"""From where on a wording is doubted for itself, and how fast: by how far it is behind what the second engine wrote itself.
Right wordings of the development voices: -6 for one of a hundred at 10 dB; talk about other things: -20 in the middle."""


def weighed(
    first: Sequence[Hypothesis],
    own: Sequence[str],
    seldom: Sequence[str],
    likely: Callable[[Sequence[str]], Sequence[float]],
) -> list[Hypothesis]:
    """The wordings of both engines with shares by both, the likeliest first; ``likely`` tells logarithms of probabilities.

    ``own`` is what the second engine wrote, as it is said; ``seldom`` what else the sound may be. Shares add up to 1, less
    where the engines doubt that anything of the kind was said: each has half a voice in that.
    """
    known = {each.text: each for each in first}
    wordings = list(first[:MOST_WEIGHED])
    wordings += [known.get(text, Hypothesis(text, 0.0, like=False)) for text in (*own, *seldom) if text]
    wordings = list(dict.fromkeys(wordings))
    there = min(1.0, sum(each.confidence for each in first))
    if not wordings or not there:
        return []
    sounds = likely([each.text for each in wordings])
    unheard = dict.fromkeys(seldom, _SELDOM) | dict.fromkeys(own, _UNHEARD)
    worth = [
        math.log(each.confidence + unheard.get(each.text, _UNHEARD) * there)
        + _SOUND * sound
        + _LENGTH * len(each.text.split())
        for each, sound in zip(wordings, sounds, strict=True)
    ]
    top, heard = max(worth), max(sounds)
    shares = [math.exp(each - top) for each in worth]
    whole = sum(shares) / math.sqrt(there)
    found = [
        Hypothesis(
            each.text,
            share / whole * math.exp(min(0.0, _STEEP * (sound - heard - _BEHIND))),
            each.like or (each.text in own and sound > _PLAINLY_OWN),
        )
        for each, share, sound in zip(wordings, shares, sounds, strict=True)
    ]
    return sorted(found, key=lambda each: -each.confidence)


@cache
def _spellings() -> tuple[dict[str, str], dict[str, str]]:
    """British spellings by the second engine's, and the reverse."""
    ours: dict[str, str] = hearing()["spelt_by_others"]
    return {theirs: british for british, theirs in ours.items()}, ours


def as_said(text: str) -> str:
    """What the second engine wrote as it is said, in our spelling and without its signs.

    >>> as_said("6.5 liters.")
    'six point five litres'
    """
    words = (aloud(text) or re.sub(r"[^a-z' ]+", " ", text.lower())).split()
    return " ".join(_spellings()[0].get(word, word) for word in words)


def as_written(text: str) -> str:
    """A wording in the spelling of the second engine, which holds any other for unlikely.

    >>> as_written("six point five litres")
    'six point five liters'
    """
    return " ".join(_spellings()[1].get(word, word) for word in text.split())
