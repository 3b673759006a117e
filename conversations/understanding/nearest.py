"""The nearest known ways of saying what was not understood, in the person's own figures and names; only to be offered.

A message is likened to the examples of data/sentences/ and data/cues.toml by its rare words and by the kinds of its
quantities. The example is then said with the message's own quantities and read like any message: what does not come to
that intent with exactly those figures is not offered. Thresholds are in data/nearest.toml.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

from conversations.intents import Context, Intent, Measured
from conversations.understanding.cues import HARMLESS, TOLD, not_yet
from conversations.understanding.likeness import (
    BARE_ONE,
    NEUTRAL,
    WORD,
    Example,
    Likeness,
    Piece,
    counts_as,
    index,
    ingredients,
    likeness,
    plain,
    plain_stems,
    settings,
    some,
    weight,
)
from conversations.understanding.rows import row_of
from conversations.understanding.sentences import sentences
from conversations.understanding.slots import gravity_value
from conversations.understanding.understand import understand
from conversations.understanding.words import Item, word_set

_POLITE = re.compile(
    r"\s*(please |pls |hey |hi |ok |right,? |potside,? )*(can|could|would|will) (you|u|ya)\b", re.IGNORECASE
)
_ASKING = re.compile(
    r"\s*(and |so |but |ok |hm+ |please |oh )*(is|are|was|were|do|does|did|should|shall|must|may|can|could|would|will|what|whats|what's|when|where|which|why|who|how|am)\b",
    re.IGNORECASE,
)
_WONDERING = re.compile(
    r"\s*(and |so |but |ok )*(can|could|should|shall|may|must|is|are|was|do|does|did|has|have|am) (i|we|it|the|my|that)\b",
    re.IGNORECASE,
)
_LONGEST = 120
"""Letters of a message worth likening; what is longer says more than one example could."""
_MOST_READ = 10
"""Wordings that are read again for one message, so that its time stays bounded."""


def _ranked(message: Likeness) -> list[tuple[float, Example]]:
    """Examples by how near they are; those with other kinds of quantities left out."""
    known, page = index(), settings()
    weights = {feature: weight(feature) for feature in message.features}
    whole = sum(weights.values())
    words = frozenset(message.stems)
    telling = words - plain_stems()
    words_whole = sum(weights[each] for each in words) or 1.0
    profile: dict[str, float] = {}
    result: list[tuple[float, Example]] = []
    for example in known.examples:
        pairing = _paired(message.pieces, example.likeness.pieces)
        if pairing is None:
            continue
        shared = message.features & example.likeness.features
        if not telling & example.likeness.features:
            # Small words and a figure in common say nothing.
            continue
        if example.name not in profile:
            profile[example.name] = sum(weights[each] for each in words & known.of_intent[example.name]) / words_whole
        both = whole + sum(weight(each) for each in example.likeness.features)
        near = 2 * sum(weights[each] for each in shared) / both if both else 0.0
        share = page["share_of_example"]
        score = share * near + (1 - share) * profile[example.name]
        score -= page["other_kind"] * sum(
            one.kind != other.kind for one, other in zip(message.pieces, pairing, strict=True)
        )
        result.append((score, example))
    result.sort(key=lambda pair: -pair[0])
    return result


def _paired(mine: tuple[Piece, ...], theirs: tuple[Piece, ...]) -> tuple[Piece, ...] | None:
    """The example's piece for each of the message's, by kind; a bare number may stand for one of any kind."""
    if len(mine) != len(theirs):
        return None
    left = list(theirs)
    found: list[Piece | None] = []
    for piece in mine:
        same = next((each for each in left if each.kind == piece.kind), None)
        found.append(same)
        if same is not None:
            left.remove(same)
    if len(left) > 1 or (left and "num" not in (left[0].kind, mine[found.index(None)].kind)):
        return None
    return tuple(each or left[0] for each in found)


def nearest(text: str, context: Context, most: int = 2) -> list[str]:
    """Up to so many ways of saying what this may mean, the nearest first; empty where nothing is near.

    Each is understood in that context as one intent with exactly the quantities of the message.
    """
    return [said for _, said, _ in likely(text, context, most)]


def likely(text: str, context: Context, most: int = 2) -> list[tuple[float, str, Intent]]:
    """What :func:`nearest` offers, with how near it is and what it means."""
    if len(text) > _LONGEST:
        return []
    message, page = likeness(text, context), settings()
    if not message.stems:
        return []
    sort = _sort_of(text)
    found: list[tuple[float, str, Intent]] = []
    tried: dict[str, int] = {}
    read = 0
    for score, example in _ranked(message):
        if score < page["least"] or read >= _MOST_READ or len(found) >= most:
            break
        if found and score < found[0][0] * page["beside_first"]:
            break
        if any(example.name == intent.name for _, _, intent in found):
            continue
        if not _may_be(example, message, sort) or score < _least_for(example.name, message, sort):
            continue
        if _leaves_a_name(message, example) or _about_else(message, example):
            continue
        if example.name.startswith(tuple(page["only_near"])) and not _all_known(message, example):
            continue
        if example.name.startswith("reading.") and score > page["refused"]:
            # In so many words it would have been read: somebody else's temperature, or one that is hoped for.
            continue
        if tried.get(example.name, 0) >= page["ways_of_each"]:
            continue
        tried[example.name] = tried.get(example.name, 0) + 1
        for said in _said_with(message, example):
            read += 1
            meant = _means(said, message, example, context)
            if meant is not None:
                found.append((score, said, meant))
                break
    return found


def _may_be(example: Example, message: Likeness, sort: Sort) -> bool:
    """Whether a message of that sort can mean the example at all."""
    theirs = _sort_of(example.likeness.text)
    harmless = example.name.startswith(HARMLESS)
    if sort.denies != theirs.denies or (sort.wonders and not theirs.wonders):
        return False
    if harmless and sort.untold and not sort.asks:
        return False
    if not harmless and (sort.asks or sort.others or (sort.untold and example.name.startswith(TOLD))):
        return False
    # A figure that is told is no question.
    return not (message.pieces and theirs.asks and not sort.asks)


@dataclass(frozen=True, slots=True)
class Sort:
    """What a message does, roughly."""

    asks: bool
    wonders: bool
    """Asks whether something is wise or allowed."""
    denies: bool
    untold: bool
    """Tells of what is still to come or is only hoped for."""
    others: bool
    """Is of somebody or something else, or of another time."""


@lru_cache(maxsize=2048)
def _sort_of(text: str) -> Sort:
    words = frozenset(WORD.findall(text.lower().replace("’", "'")))
    return Sort(
        asks=_POLITE.match(text) is None and ("?" in text or _ASKING.match(text) is not None),
        wonders=_WONDERING.match(text) is not None,
        denies=bool(words & (word_set("denials") | some("denials"))),
        untold=not_yet(text) or bool(words & (word_set("hoped_for") | word_set("subordinating") | some("to_come"))),
        others="about to" in text.lower() or bool(words & (word_set("elsewhere") | some("others") | some("to_come"))),
    )


def _all_known(message: Likeness, example: Example) -> bool:
    """Whether both are said in one another's words: "change the timer" does not cancel it."""
    known = index().of_intent[example.name]
    if not {*example.likeness.stems} - plain_stems() <= {*message.stems}:
        return False
    return all(word in known or message.text[start:end].lower() in plain() for word, start, end in message.words)


def _least_for(name: str, message: Likeness, sort: Sort) -> float:
    page = settings()
    if name.startswith(tuple(page["never"])):
        return math.inf
    if name.startswith(tuple(page["only_near"])) or sort.denies:
        return float(page["least_only_near"])
    if name.startswith(HARMLESS):
        return float(page["least_harmless"])
    bare = message.pieces and all(each.kind == "num" for each in message.pieces)
    return float(page["least_bare" if bare else "least"])


def _said_with(message: Likeness, example: Example) -> Iterator[str]:
    """The example with the message's quantities in the place of its own, and with the name that the message has."""
    theirs = example.likeness
    pairing = _paired(message.pieces, theirs.pieces) or ()
    changes = [
        (their.start, their.end, message.text[mine.start : mine.end])
        for mine, their in zip(message.pieces, pairing, strict=True)
    ]
    names = _names_in(example)
    kinds = {each.kind for each in message.pieces}
    if len(names) > 1 or (len(kinds) < len(message.pieces) and not example.name.startswith(HARMLESS)):
        # Which of two names or volumes is which cannot be told.
        return
    if any(start < names[0][1] and end > names[0][0] for start, end, _ in changes if names):
        return
    if not names:
        yield _put(theirs.text, changes)
        return
    for start, end in _name_in_message(message, example):
        yield _put(theirs.text, [*changes, (*names[0], message.text[start:end])])


def _leaves_a_name(message: Likeness, example: Example) -> bool:
    """Whether words that may be a name would be lost, where the intent has other examples with a name."""
    if example.name not in _named() or _names_in(example):
        return False
    known = index().in_sentences[example.name]
    return any(word not in known and message.text[a:b].lower() not in plain() for word, a, b in message.words)


def _about_else(message: Likeness, example: Example) -> bool:
    """Whether the message speaks of something that the example does not; what to be reminded of may be anything."""
    return not example.name.startswith("reminder.") and bool((_things() & {*message.stems}) - {*example.likeness.stems})


@cache
def _things() -> frozenset[str]:
    """What a message is about: an example about something else is not meant."""
    return frozenset(map(counts_as, settings()["things"]))


@cache
def _named() -> frozenset[str]:
    """Intents that may have a name."""
    return frozenset(
        entry.name
        for entry in sentences()
        if any(slot in template for template in entry.sentences for slot in _NAME_SLOTS)
    )


def _put(text: str, changes: list[tuple[int, int, str]]) -> str:
    for start, end, new in sorted(changes, reverse=True):
        text = text[:start] + new + text[end:]
    return text


@cache
def _names_in(example: Example) -> list[tuple[int, int]]:
    """Where the words of an example stand that are the person's own: names and free text."""
    text = example.likeness.text
    found: list[tuple[int, int]] = []
    for intent in understand(text, NEUTRAL).intents:
        for key, value in intent.slots.items():
            if _own_words(intent.name, key) and isinstance(value, str) and value and value.lower() in text.lower():
                at = text.lower().index(value.lower())
                found.append((at, at + len(value)))
    return found


_NAME_SLOTS = ("{name", "{grain", "{hop", "{yeast", "{goods", "{named", "{what", "{rest")
_NAMES = frozenset({"name", "text", "old", "new", "a", "b", "which", "zone"})
_MANNERS = frozenset({"direction", "side", "how", "currency"})
"""Slots that other words may stand for as well; every other word that an intent keeps must be the message's."""


def _own_words(name: str, key: str) -> bool:
    """Whether a slot holds words that only the person can know."""
    return key in _NAMES or (key == "what" and name.startswith("reminder."))


def _name_in_message(message: Likeness, example: Example) -> Iterator[tuple[int, int]]:
    """Runs of words that the example does not share and that may be the name: ingredients first, then the longest."""
    known = index().in_sentences[example.name]
    goods = ingredients()
    runs: list[list[tuple[str, int, int]]] = []
    last = -2
    for k, word in enumerate(message.words):
        raw = message.text[word[1] : word[2]].lower()
        # "crystal malt": the common word belongs to the name that stands beside it.
        goes_on = last == k - 1 and raw in some("nameless")
        if raw not in goods and not goes_on and (raw in plain() or word[0] in known):
            continue
        between = message.text[message.words[k - 1][2] : word[1]] if k else ""
        if last == k - 1 and runs and not between.strip():
            runs[-1].append(word)
        else:
            runs.append([word])
        last = k
    runs.sort(key=lambda run: (not any(message.text[a:b].lower() in goods for _, a, b in run), -len(run)))
    for run in runs[:2]:
        yield run[0][1], run[-1][2]
        core = [word for word in run if message.text[word[1] : word[2]].lower() in goods]
        if core and len(core) < len(run):
            yield core[0][1], core[-1][2]


def _means(said: str, message: Likeness, example: Example, context: Context) -> Intent | None:
    """What that wording means, if it is the example's intent with the message's quantities and names, and no others."""
    read = understand(said, context)
    if len(read.intents) != 1 or read.unread or read.intents[0].name != example.name:
        return None
    intent = read.intents[0]
    if _amounts(message, context) != _amounts(likeness(said, context), context):
        return None
    lower = message.text.lower()
    goods = {word for word in WORD.findall(lower) if word in ingredients()}
    if not goods <= set(WORD.findall(said.lower())):
        return None
    harmless = example.name.startswith(HARMLESS)
    if BARE_ONE in message.stems and not harmless:
        return None
    for key, value in intent.slots.items():
        kept = _own_words(intent.name, key) or not (harmless or key in _MANNERS)
        if kept and isinstance(value, str) and value.lower() not in lower and value.lower() in said.lower():
            return None
    return intent if _holds(intent, message.pieces, example) else None


def _amounts(message: Likeness, context: Context) -> tuple[list[tuple[float, str]], list[str]]:
    """Every quantity of a message, also those that only qualify another, and its times as they were written."""
    _, spans = row_of(message.text, context)
    times = [message.text[each.start : each.end].lower() for each in message.pieces if each.kind == "time"]
    told = (span for span in spans if span.text.lower() != "one")
    return sorted((round(span.value, 9), span.unit) for span in told), sorted(times)


def _holds(intent: Intent, pieces: tuple[Piece, ...], example: Example) -> bool:
    """Whether the slots hold every quantity of the message, and no figure that it does not have."""
    slots = intent.slots.values()
    figures = [each for each in slots if isinstance(each, Measured | float | int) and not isinstance(each, bool)]
    for piece in pieces:
        if piece.kind == "time":
            continue
        holder = next((each for each in figures if _same(each, piece)), None)
        if holder is None:
            return False
        figures.remove(holder)
    # A figure that the words themselves stand for ("stronger", "double that") is the example's as well.
    return not figures or not example.likeness.pieces


def _same(value: Measured | float, piece: Piece) -> bool:
    if isinstance(value, Measured):
        if value.unit == "dimensionless":
            item = Item("qty" if piece.unit else "num", "", 0, 0, piece.value, piece.unit)
            gravity = gravity_value(item)
            return gravity is not None and abs(gravity - value.value) < 1e-9
        return abs(value.value - piece.value) < 1e-9 and (
            not piece.unit or value.unit == piece.unit or piece.kind == "duration"
        )
    # A duration of so many minutes may have been said without its unit.
    return abs(value - piece.value) < 1e-9 or (not piece.unit and abs(value - piece.value * 60) < 1e-9)
