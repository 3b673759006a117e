"""What of a message is compared with what is known to be understood: stems of words, neighbours, kinds of quantities.

The known ways are the examples of data/sentences/ and data/cues.toml; data/nearest.toml says what counts how much.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache, lru_cache
from itertools import pairwise
from typing import Any

from conversations.intents import Context
from conversations.understanding.asking import asking_words
from conversations.understanding.bare_figures import gravity_shape
from conversations.understanding.cues import Cue, cues
from conversations.understanding.money import currency_at, money_at
from conversations.understanding.past import past_at
from conversations.understanding.quantities import KINDS
from conversations.understanding.rows import row_of
from conversations.understanding.sentences import Sentence, sentences, tree
from conversations.understanding.times import when_at
from conversations.understanding.words import Item, listed, page, word_set

BARE_ONE = "one"
"""As a word: it may be a figure after all, so nothing that records is offered for it."""
NEUTRAL = Context(now=datetime(2026, 1, 15, 12, tzinfo=UTC))
"""The situation in which examples are read."""
WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?")
_SLOT = re.compile(r"\{[^}]*\}")
_ENDINGS = ("ing", "ed", "es", "s", "e")


@dataclass(frozen=True, slots=True)
class Piece:
    """A quantity or time in a message: its kind and where its words are."""

    kind: str
    start: int
    end: int
    value: float = 0.0
    unit: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Likeness:
    """What of a message is compared: stems of its words, pairs of neighbours, and its quantities."""

    text: str
    stems: tuple[str, ...]
    features: frozenset[str]
    pieces: tuple[Piece, ...]
    words: tuple[tuple[str, int, int], ...]
    """Stems with their places in the text."""


@dataclass(frozen=True, slots=True, eq=False)
class Example:
    """One way of saying an intent that is known to be understood."""

    name: str
    likeness: Likeness


@dataclass(frozen=True, slots=True, eq=False)
class Index:
    """All examples, the stems that belong to each intent, and how much a stem tells."""

    examples: tuple[Example, ...]
    of_intent: dict[str, frozenset[str]]
    in_sentences: dict[str, frozenset[str]]
    """The same without the words of the examples, which hold names."""
    worth: dict[str, float]
    strange: float
    """What a word counts that no intent knows."""


def settings() -> dict[str, Any]:
    """The page data/nearest.toml."""
    return page("nearest")


@cache
def some(name: str) -> frozenset[str]:
    """One list of that page as a set."""
    return listed("nearest", name)


@cache
def _alike() -> dict[str, str]:
    """Stems that count as another one; the first that says it wins."""
    found: dict[str, str] = {}
    for line in settings()["alike"]:
        words = [stem(word) for word in line.split()]
        for word in words:
            found.setdefault(word, words[0])
    return found


def counts_as(word: str) -> str:
    """What a word is compared as: one of its like, or the sort of ingredient that it names."""
    if word in ingredients():
        return next(f"<{kind}>" for kind in ("grain", "hops", "yeasts") if word in word_set(kind))
    found = stem(word)
    return _alike().get(found, found)


@lru_cache(maxsize=8192)
def stem(word: str) -> str:
    """A word without its ending.

    >>> stem("boiling"), stem("boils"), stem("scaled"), stem("scale")
    ('boil', 'boil', 'scal', 'scal')
    """
    for ending in _ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= 3 and not word.endswith("ss"):
            word = word[: -len(ending)]
            break
    return word[:-1] if len(word) > 4 and word[-1] == word[-2] else word


@cache
def ingredients() -> frozenset[str]:
    """Words that name a malt, a hop or a yeast and are not the common word for it."""
    return (word_set("grain") | word_set("hops") | word_set("yeasts")) - some("nameless")


@cache
def plain() -> frozenset[str]:
    """Words that say nothing of what a message is about."""
    return frozenset().union(*(word_set(kind) for kind in ("common", "stop_words", "light", "fillers"))) | asking_words()


def likeness(text: str, context: Context) -> Likeness:
    """A message as it is compared."""
    items, _ = row_of(text, context)
    pieces: list[Piece] = []
    words: list[tuple[str, int, int]] = []
    i = 0
    while i < len(items):
        item = items[i]
        end = _time_at(items, i, context)
        if end is not None:
            pieces.append(Piece("time", item.start, items[end - 1].end))
            i = end
            continue
        if (paid := _paid_at(items, i)) is not None:
            end, value, currency = paid
            pieces.append(Piece("money", item.start, items[end - 1].end, value, currency))
            i = end
            continue
        if item.kind == "num" and item.said == "one":
            # "my best one" has no figure.
            words.append((BARE_ONE, item.start, item.end))
        elif item.kind in ("num", "qty", "dur", "clock"):
            pieces.append(Piece(_kind(item), item.start, item.end, item.value, item.unit))
        elif item.kind == "word":
            words.append((counts_as(item.word), item.start, item.end))
        i += 1
    marked = sorted([(start, word) for word, start, _ in words] + [(each.start, "{}") for each in pieces])
    row = ["^", *(word for _, word in marked)]
    stems = tuple(word for word, _, _ in words)
    pairs = {f"{one} {other}" for one, other in pairwise(row)}
    return Likeness(text, stems, frozenset(stems) | pairs, tuple(pieces), tuple(words))


def _paid_at(items: list[Item], i: int) -> tuple[int, float, str] | None:
    """A sum that names its currency: where it ends, how much, and the code."""
    paid = money_at(items, i) if items[i].kind in ("num", "word") else None
    return paid if paid is not None and paid[2] and any(map(currency_at, items[i : paid[0]])) else None


def _kind(item: Item) -> str:
    if item.kind == "dur":
        return "duration"
    if item.kind == "clock":
        return "time"
    if item.kind == "num":
        return "num" if gravity_shape(item) is None else "gravity"
    return KINDS.get(item.unit, item.unit)


def _time_at(items: list[Item], i: int, context: Context) -> int | None:
    """Where a day or an hour ends that is said from item i; a length of time or a bare figure is none."""
    if items[i].kind in ("qty", "dur", "num", "sep") or (i and items[i - 1].word == "good"):
        # "Good evening"
        return None
    found = when_at(items, i, context.now, context.zone) or past_at(items, i, context.now.date())
    if found is None or any(each.kind in ("qty", "dur") for each in items[i : found[0]]):
        return None
    told = any(each.kind == "clock" or each.word in some("times") for each in items[i : found[0]])
    return found[0] if told else None


def _words_of(entry: Sentence | Cue) -> set[str]:
    """The words of an entry itself, without those of its examples."""
    if isinstance(entry, Cue):
        return set().union(*entry.groups)
    return {word for template in entry.sentences for word in WORD.findall(_SLOT.sub(" ", template))}


@cache
def index() -> Index:
    """Made when the first message is not understood; takes some tenths of a second."""
    # The spelling has to know the words of the sentences.
    tree()
    examples: list[Example] = []
    seen: set[tuple[str, str]] = set()
    known: dict[str, set[str]] = {}
    fixed: dict[str, set[str]] = {}
    entries: list[Sentence | Cue] = [*sentences(), *cues()]
    for entry in entries:
        told = fixed.setdefault(entry.name, set())
        told.update(map(counts_as, _words_of(entry)))
        known.setdefault(entry.name, set()).update(told)
        for text in entry.examples:
            if (entry.name, text) not in seen:
                seen.add((entry.name, text))
                found = likeness(text, NEUTRAL)
                known[entry.name].update(found.stems)
                examples.append(Example(entry.name, found))
    spread: dict[str, int] = {}
    for stems in known.values():
        for each in stems:
            spread[each] = spread.get(each, 0) + 1
    worth = {each: math.log((len(known) + 1) / (count + 0.5)) for each, count in spread.items()}
    every, in_sentences = ({name: frozenset(stems) for name, stems in each.items()} for each in (known, fixed))
    return Index(tuple(examples), every, in_sentences, worth, settings()["strange"])


@lru_cache(maxsize=8192)
def weight(feature: str) -> float:
    """How much it tells that two messages share this: rare words more than common ones, small words least."""
    known = index()
    if " " in feature:
        return float(settings()["pair"])
    return float(settings()["plain"]) if feature in plain_stems() else known.worth.get(feature, known.strange)


@cache
def plain_stems() -> frozenset[str]:
    """The same as they are compared."""
    return frozenset(map(stem, plain())) - frozenset(_alike().values())
