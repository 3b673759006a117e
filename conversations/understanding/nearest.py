"""The nearest known ways of saying what was not understood, in the person's own figures and names; only to be offered.

A message is likened to the examples of data/sentences/ and data/cues.toml by its rare words and by the kinds of its
quantities. The example is then said with the message's own quantities and read like any message: what does not come to
that intent with exactly those figures is not offered. Thresholds are in data/nearest.toml.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache, lru_cache

from conversations.intents import Context, Intent
from conversations.understanding import asking, likely_intent
from conversations.understanding.cues import HARMLESS, TOLD, not_yet
from conversations.understanding.likeness import (
    BARE_ONE,
    WORD,
    Example,
    Likeness,
    counts_as,
    index,
    likeness,
    plain,
    plain_stems,
    settings,
    some,
    weight,
)
from conversations.understanding.said_anew import leaves_a_name, means, paired, said_with
from conversations.understanding.words import vocabulary, word_set

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
        pairing = paired(message.pieces, example.likeness.pieces)
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
    if not message.stems or _talk(message, context):
        return []
    sort = sort_of(text)
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
        if leaves_a_name(message, example) or _about_else(message, example):
            continue
        if example.name.startswith(tuple(page["only_near"])) and not _all_known(message, example):
            continue
        if example.name.startswith("reading.") and score > page["refused"]:
            # In so many words it would have been read: somebody else's temperature, or one that is hoped for.
            continue
        if tried.get(example.name, 0) >= page["ways_of_each"]:
            continue
        if BARE_ONE in message.stems and not example.name.startswith(HARMLESS):
            continue
        tried[example.name] = tried.get(example.name, 0) + 1
        for said in said_with(message, example):
            read += 1
            meant = means(said, message, example, context)
            if meant is not None:
                found.append((score, said, meant))
                break
    return found


def _talk(message: Likeness, context: Context) -> bool:
    """Whether the model of likely meanings is sure that it means nothing."""
    first = likely_intent.likely(message, context)[0]
    return first.name == likely_intent.NOTHING and first.probability >= settings()["sure_talk"]


def _may_be(example: Example, message: Likeness, sort: Sort) -> bool:
    """Whether a message of that sort can mean the example at all."""
    theirs = sort_of(example.likeness.text)
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
def sort_of(text: str) -> Sort:
    """What a message does, by its words."""
    words = frozenset(WORD.findall(text.lower().replace("’", "'")))
    return Sort(
        asks=asking.asks(text),
        wonders=asking.wonders(text),
        # "isnae" denies as "isn't" does.
        denies=bool((words | {vocabulary()["variants"].get(word, word) for word in words}) & (word_set("denials") | some("denials"))),
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


def _about_else(message: Likeness, example: Example) -> bool:
    """Whether the message speaks of something that the example does not; what to be reminded of may be anything."""
    return not example.name.startswith("reminder.") and bool((_things() & {*message.stems}) - {*example.likeness.stems})


@cache
def _things() -> frozenset[str]:
    """What a message is about: an example about something else is not meant."""
    return frozenset(map(counts_as, settings()["things"]))
