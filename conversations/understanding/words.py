"""Messages as rows of items: words brought to a common spelling, numbers, quantities and breaks.

Every item keeps its place in the original text, so that what was read can be shown as it was written.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from itertools import pairwise
from typing import Any

from rapidfuzz import process
from rapidfuzz.distance import OSA

LONGEST_TEXT = 2000
"""Characters of a message that are read; nobody at the pot writes more, and time stays bounded."""
MOST_PIECES = 300
"""Words, figures and signs of a message that are read: a page of prose has fewer, and each costs time."""

_TOKEN = re.compile(
    r"(?P<clock>(?<![\d:.,])\d{1,2}:\d{2}(?::\d{2})?(?!:?\d))"
    r"|(?P<formula>(?:co2|h2o|caco3|so4|hco3|2mor+ow?|2moz|2day|2nite|b4|l8r)\b|[ap]\.m\.?(?![a-z])|w/(?=\s))"
    r"|(?P<number>\d{1,40}(?:[.,]\d{1,40}){0,6}|\.\d{1,40}|[¼½¾⅓⅔⅛])"
    r"|(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*)"
    r"|(?P<other>[^\s])",
    re.IGNORECASE,
)
_LEAST_HOUR = 4
"""Less with an "h" is rather how long: hops go in "at 1h"."""
_SYMBOLS = {"@": "at", "°": "deg", "º": "deg", "˚": "deg", "%": "percent", "&": "and", "+": "and", "/": "/"}
_SHORT = frozenset({"fl", "oz", "lb", "min", "approx"})
"""Short forms whose full stop ends no sentence."""
_DRAWN_OUT = re.compile(r"([a-z])\1{2,}")
_INSIDE_WORDS = re.compile(r"['’](s|re|m|ve)$|(?<!\bit)(?<!he)(?<!that)(?<!they)(?<!there)['’](ll|d)$")
"""Endings that say nothing of their own: but "it'll be 14" and "it'd be 14" are not so yet."""


@dataclass(slots=True)
class Item:
    """One piece of a message: kind is word, num, clock, qty, dur or sep."""

    kind: str
    word: str
    start: int
    end: int
    value: float = 0.0
    unit: str = ""
    raw: str = ""
    parts: tuple[float, ...] = ()
    fraction: bool = False
    question: bool = False
    whole_days: bool = False
    spoken_one: bool = False
    said: str = ""


@cache
def page(name: str) -> dict[str, Any]:
    """One page of data/, by its name without ".toml"."""
    path = files("conversations.understanding").joinpath("data", f"{name}.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


@cache
def listed(on: str, name: str) -> frozenset[str]:
    """One list of a page as a set."""
    return frozenset(page(on)[name])


def vocabulary() -> dict[str, Any]:
    """The word lists of data/vocabulary.toml."""
    return page("vocabulary")


@cache
def word_set(name: str) -> frozenset[str]:
    """One list of data/vocabulary.toml as a set."""
    return listed("vocabulary", name)


@cache
def real_words() -> frozenset[str]:
    """Words that are right as they are, though they look like a slip of one of ours: data/real_words.txt."""
    page = files("conversations.understanding").joinpath("data", "real_words.txt")
    return frozenset(line for line in page.read_text(encoding="utf-8").split("\n") if line and line[0] != "#")


_known: dict[str, tuple[str, ...]] = {}


def learn(words: frozenset[str]) -> None:
    """Tell the spelling what words the sentences know; a near miss of a long one is taken for it."""
    by_letter: dict[str, list[str]] = {}
    for word in sorted(words):
        if len(word) >= 4:
            by_letter.setdefault(word[0], []).append(word)
    _known.clear()
    _known.update({letter: tuple(found) for letter, found in by_letter.items()})
    spell.cache_clear()
    _spelt.cache_clear()


@lru_cache(maxsize=8192)
def spell(word: str) -> str:
    """The word as the sentences spell it: confusions of hearing first, then one or two slips of typing."""
    for kind in ("confusions", "variants"):
        if word in vocabulary()[kind]:
            return str(vocabulary()[kind][word])
    if len(word) > 3 and word.endswith("in") and f"{word}g" in (known := _known.get(word[0], ())) and word not in known:
        # "stirrin"
        return f"{word}g"
    if word.endswith("s") and word[:-1] in word_set("hops") and word not in word_set("hops") | real_words():
        # "citras 12%"
        return word[:-1]
    if _DRAWN_OUT.search(word) and word not in real_words():
        # "innnn", "grainnn", "coool"
        twice = _DRAWN_OUT.sub(r"\1\1", word)
        return spell(twice if twice in real_words() or twice in _known.get(word[0], ()) else _DRAWN_OUT.sub(r"\1", word))
    if len(word) < 4 or len(word) > 24 or word in real_words():
        return word
    choices = _known.get(word[0], ())
    if word in choices:
        return word
    slips = 1 if len(word) < 9 else 2
    near = process.extract(word, choices, scorer=OSA.distance, score_cutoff=slips, limit=None)
    if not near or any(choice + "s" == word for choice, _, _ in near):
        # An ending more or less is another word of the same stem, not a slip: leave it to the sentences.
        return word
    # "botled" rather lost a letter than changed one.
    return str(min(near, key=lambda found: (found[1], not word.startswith(found[0]), -len(found[0])))[0])


def is_adverb(word: str) -> bool:
    """Whether a word only says how ("happily"); "nearly" and the like say more than that."""
    return len(word) > 5 and word.endswith("ly") and word not in word_set("no_adverbs")


def plain(raw: str) -> str:
    """A word in small letters without an ending that was drawn in: "I'd" is "i", "let's" is "let"."""
    word = unicodedata.normalize("NFKC", raw).lower().replace("’", "'")
    return _INSIDE_WORDS.sub("", word) or word


@lru_cache(maxsize=8192)
def _spelt(raw: str) -> tuple[str, ...]:
    """A word as it was written as the words that the sentences know."""
    return tuple(spell(plain(raw)).split())


def count_pieces(text: str) -> int:
    """How many words, figures and signs a message has, of its first ``LONGEST_TEXT`` characters.

    >>> count_pieces("gravity 1.050 at 20 C.")
    6
    """
    return sum(1 for _ in _TOKEN.finditer(text[:LONGEST_TEXT]))


@cache
def _apart() -> tuple[Mapping[str, str], frozenset[str]]:
    """Words heard as several, with what they are together; and the first word of each."""
    heard = vocabulary()["misheard"] | vocabulary()["long_names"]
    return heard, frozenset(words.split()[0] for words in heard)


def _put_together(items: list[Item], text: str) -> list[Item]:
    """Words that a recogniser made of one longer one, as that one: "high drometer" is the hydrometer; long names as one word."""
    heard, first = _apart()
    kept: list[Item] = []
    i = 0
    while i < len(items):
        for n in (3, 2) if items[i].raw.lower() in first else ():
            run = items[i : i + n]
            word = heard.get(_INSIDE_WORDS.sub("", " ".join(item.raw.lower() for item in run))) if len(run) == n else None
            if word is not None:
                for nth, piece in enumerate(pieces := word.split()):
                    # "pail malt" is two words, each in its place.
                    begin, end = run[nth if nth else 0], run[-1] if nth == len(pieces) - 1 else run[nth]
                    kept.append(Item("word", piece, begin.start, end.end, raw=text[run[0].start : run[-1].end]))
                i += n
                break
        else:
            kept.append(items[i])
            i += 1
    return kept


def _hours_with_an_h(items: list[Item]) -> list[Item]:
    """A time of day as "10h00" and "18h" write it, where it stands in the place of one; "in 1h30" is how long."""
    kept: list[Item] = []
    i = 0
    while i < len(items):
        if items[i].kind != "digits":
            kept.append(items[i])
            i += 1
            continue
        hour, sign, minute = (items[i : i + 3] + [Item("", "", 0, 0)] * 2)[:3]
        i += 1
        place = kept[-1].word if kept else ""
        written = hour.raw.isdigit() and len(hour.raw) < 3 and sign.word == "h" and sign.start == hour.end
        if not written or place not in word_set("before_a_clock") or not _LEAST_HOUR <= int(hour.raw) < 24:
            kept.append(hour)
            continue
        with_minutes = minute.kind == "digits" and minute.start == sign.end and len(minute.raw) == 2 and minute.raw < "60"
        last = minute if with_minutes else sign
        kept.append(Item("clock", "", hour.start, last.end, raw=f"{int(hour.raw):02}:{minute.raw if with_minutes else '00'}"))
        i += 2 if with_minutes else 1
    return kept


def split(text: str) -> list[Item]:
    """Cut a message into words, digits and breaks; number words are still words here."""
    items: list[Item] = []
    for match in _TOKEN.finditer(text[:LONGEST_TEXT]):
        kind, raw, start, end = match.lastgroup, match.group(), match.start(), match.end()
        if kind in ("clock", "number"):
            items.append(Item("clock" if kind == "clock" else "digits", "", start, end, raw=raw))
        elif kind in ("word", "formula"):
            for piece in _spelt(raw):
                items.append(Item("word", piece, start, end, raw=raw))
        elif raw == "." and items and items[-1].end == start and items[-1].word in _SHORT and text[end : end + 1] == " ":
            continue
        elif raw in ",;.!?\n…":
            items.append(Item("sep", raw, start, end, raw=raw, question=raw == "?"))
        elif raw in "-–—−":
            items.append(Item("dash", raw, start, end, raw=raw))
        elif raw == "+" and text[end : end + 1].isdigit() and not text[start - 1 : start].isdigit():
            items.append(Item("word", "plus", start, end, raw=raw))
        elif raw in _SYMBOLS:
            items.append(Item("word", _SYMBOLS[raw], start, end, raw=raw))
        elif raw in "\"”″'’′":
            items.append(Item("quote", raw, start, end, raw=raw))
        elif unicodedata.category(raw) == "Sc":
            items.append(Item("word", raw, start, end, raw=raw))
    items = _put_together(_hours_with_an_h(items), text)
    heard: dict[str, list[str]] = vocabulary()["confusions_unless"]
    for k, item in enumerate(items):
        if item.word in heard and (k + 1 == len(items) or items[k + 1].word not in heard[item.word][1:]):
            item.word = heard[item.word][0]
    before: dict[str, list[str]] = vocabulary()["variants_before"]
    for item, behind in pairwise(items):
        figure = behind.kind == "digits" and "0" in before.get(item.word, ())
        if item.word in before and (figure or behind.raw.lower() in before[item.word][1:]):
            item.word = before[item.word][0]
    return items
