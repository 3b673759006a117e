"""What a second engine's words say about the wordings of the first, by how alike they sound.

An engine that knows nothing of brewing writes "Fugles are in" and "Cooling is them": understood by nobody, and yet
strong evidence among the wordings that the first engine holds possible.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

from bot.speech.dictionary import from_letters, hearing
from bot.speech.port import Hypothesis
from bot.speech.what_is_said import aloud

_STEEP = 1.2
"""How fast the evidence falls with each sound that differs; measured on the development voices."""
_ELSE = 0.05
"""Weight of all that neither of them brought."""
_KINDS = (
    "AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW",
    "P B",
    "T D",
    "K G",
    "F V TH DH",
    "S Z SH ZH CH JH",
    "M N NG",
    "L R W Y HH",
)
_KIND = {phone: number for number, row in enumerate(_KINDS) for phone in row.split()}
_OTHER, _ALIKE, _GONE = 1.0, 0.5, 0.8
"""What it costs to replace a sound by one of another kind or of the same kind, and to leave one out."""


def spread(own: Hypothesis, wordings: Sequence[Hypothesis]) -> list[Hypothesis]:
    """The engine's own words and the wordings of the other one, sharing its confidence by their likeness."""
    mine = phones(own.text)
    worth = {each.text: math.exp(-_STEEP * distance(mine, phones(each.text))) for each in wordings}
    like = {each.text: each.like for each in wordings}
    worth[own.text], like[own.text] = 1.0, own.like
    total = sum(worth.values()) + _ELSE
    return [
        Hypothesis(text, own.confidence * share / total, float(text == own.text), like[text])
        for text, share in worth.items()
    ]


def distance(one: Sequence[str], other: Sequence[str]) -> float:
    """The least cost of making one row of sounds of another.

    >>> distance("F IH F T IY".split(), "F IH F T IY N".split())
    0.8
    """
    row = [_GONE * place for place in range(len(other) + 1)]
    for number, here in enumerate(one, start=1):
        new = [_GONE * number]
        for place, there in enumerate(other, start=1):
            changed = 0.0 if here == there else _ALIKE if _KIND.get(here) == _KIND.get(there) else _OTHER
            new.append(min(row[place - 1] + changed, row[place] + _GONE, new[-1] + _GONE))
        row = new
    return row[-1]


@lru_cache(maxsize=512)
def phones(text: str) -> tuple[str, ...]:
    """The sounds of a text, figures read aloud."""
    words = (aloud(text) or re.sub(r"[^a-z' ]+", " ", text.lower())).split()
    return tuple(phone for word in words for phone in _sounds_of(word))


@lru_cache(maxsize=4096)
def _sounds_of(word: str) -> tuple[str, ...]:
    return tuple((_dictionary().get(word) or from_letters(word)).split())


@lru_cache(maxsize=1)
def _dictionary() -> dict[str, str]:
    """The first way of saying each word of the engine's own dictionary, our own words put over it."""
    import pocketsphinx

    found: dict[str, str] = {}
    path = Path(pocketsphinx.get_model_path()) / "en-us" / "cmudict-en-us.dict"
    with path.open(encoding="utf-8") as lines:
        for line in lines:
            word, _, said = line.strip().partition(" ")
            if "(" not in word:
                found[word] = said
    return found | {word: ways[0] for word, ways in hearing()["sounds"].items()}
