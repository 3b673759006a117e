"""A known wording said with the figures and names of a message, and read: what it means then, if it holds all of them.

What does not come to the wording's intent with exactly the message's quantities means nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

import pint

from conversations.intents import Context, Intent, Measured
from conversations.understanding.bare_figures import gravity_value
from conversations.understanding.cues import HARMLESS
from conversations.understanding.likeness import (
    NEUTRAL,
    WORD,
    Example,
    Likeness,
    Piece,
    index,
    ingredients,
    likeness,
    plain,
    some,
)
from conversations.understanding.rows import row_of
from conversations.understanding.sentences import sentences
from conversations.understanding.understand import understand
from conversations.understanding.words import Item


def paired(mine: tuple[Piece, ...], theirs: tuple[Piece, ...]) -> tuple[Piece, ...] | None:
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


def said_with(message: Likeness, example: Example) -> Iterator[str]:
    """The example with the message's quantities in the place of its own, and with the name that the message has."""
    theirs = example.likeness
    pairing = paired(message.pieces, theirs.pieces) or ()
    changes = [
        (their.start, their.end, message.text[mine.start : mine.end])
        for mine, their in zip(message.pieces, pairing, strict=True)
    ]
    names = names_in(example)
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


def leaves_a_name(message: Likeness, example: Example) -> bool:
    """Whether words that may be a name would be lost, where the intent has other examples with a name."""
    if example.name not in _named() or names_in(example):
        return False
    known = index().in_sentences[example.name]
    return any(word not in known and message.text[a:b].lower() not in plain() for word, a, b in message.words)


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
def names_in(example: Example) -> list[tuple[int, int]]:
    """Where the words of an example stand that are the person's own: names and free text."""
    text = example.likeness.text
    found: list[tuple[int, int]] = []
    for intent in understand(text, NEUTRAL).intents:
        for key, value in intent.slots.items():
            if own_words(intent.name, key) and isinstance(value, str) and value and value.lower() in text.lower():
                at = text.lower().index(value.lower())
                found.append((at, at + len(value)))
    return found


_NAME_SLOTS = ("{name", "{grain", "{hop", "{yeast", "{goods", "{named", "{what", "{rest")
_CALLED = re.compile(r"\b(of|called|named)( an?| the| my)?\s*$", re.IGNORECASE)
_NAMES = frozenset({"name", "text", "old", "new", "a", "b", "which", "zone"})
_MANNERS = frozenset({"direction", "side", "how", "currency"})
"""Slots that other words may stand for as well; every other word that an intent keeps must be the message's."""


def own_words(name: str, key: str) -> bool:
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
        clock = example.name.startswith("timer.") and raw in some("clocks")
        if raw not in goods and not goes_on and not clock and (raw in plain() or word[0] in known):
            continue
        if raw.replace("’", "'").endswith("n't") or raw in some("denials"):
            # "Boiling hasn't started"
            continue
        between = message.text[message.words[k - 1][2] : word[1]] if k else ""
        if last == k - 1 and runs and not between.strip():
            runs[-1].append(word)
        else:
            runs.append([word])
        last = k
    if example.name == "brew.start":
        runs = _of_a_beer(message, runs)
    runs.sort(key=lambda run: (not any(message.text[a:b].lower() in goods for _, a, b in run), -len(run)))
    for run in runs[:2]:
        yield run[0][1], run[-1][2]
        core = [word for word in run if message.text[word[1] : word[2]].lower() in goods]
        if core and len(core) < len(run):
            yield core[0][1], core[-1][2]


def _of_a_beer(message: Likeness, runs: list[list[tuple[str, int, int]]]) -> list[list[tuple[str, int, int]]]:
    """The runs of words that name a beer and not why there is time for one: behind "of" or "called", else by its style."""
    called = [run for run in runs if _CALLED.search(message.text[: run[0][1]])]
    return called or [run for run in runs if any(message.text[a:b].lower() in some("styles") for _, a, b in run)]


def means(said: str, message: Likeness, example: Example, context: Context) -> Intent | None:
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
    for key, value in intent.slots.items():
        kept = own_words(intent.name, key) or not (harmless or key in _MANNERS)
        if kept and isinstance(value, str) and value.lower() not in lower and value.lower() in said.lower():
            return None
    return intent if holds(intent, message.pieces, example.likeness) else None


def _amounts(message: Likeness, context: Context) -> tuple[list[tuple[float, str]], list[str]]:
    """Every quantity of a message, also those that only qualify another, and its times as they were written."""
    _, spans = row_of(message.text, context)
    times = [message.text[each.start : each.end].lower() for each in message.pieces if each.kind == "time"]
    told = (span for span in spans if span.text.lower() != "one")
    return sorted((round(span.value, 9), span.unit) for span in told), sorted(times)


def holds(intent: Intent, pieces: tuple[Piece, ...], wording: Likeness) -> bool:
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
    # A figure that the words themselves stand for ("stronger", "double that") is the wording's as well.
    return not figures or not wording.pieces


def _same_amount(value: Measured, piece: Piece) -> bool:
    """Whether both are the same in another unit, as 985 hPa are 98.5 kPa."""
    try:
        there = Measured(value=piece.value, unit=piece.unit).in_unit(value.unit)
    except (pint.DimensionalityError, pint.UndefinedUnitError, pint.OffsetUnitCalculusError):
        return False
    return abs(there - value.value) < 1e-9 * max(1.0, abs(there))


def _same(value: Measured | float, piece: Piece) -> bool:
    if isinstance(value, Measured):
        if value.unit == "dimensionless":
            item = Item("qty" if piece.unit else "num", "", 0, 0, piece.value, piece.unit)
            gravity = gravity_value(item)
            return gravity is not None and abs(gravity - value.value) < 1e-9
        if piece.unit and value.unit != piece.unit and piece.kind != "duration":
            return _same_amount(value, piece)
        return abs(value.value - piece.value) < 1e-9
    if piece.kind == "gravity" and piece.value > 900 and abs(value - piece.value / 1000) < 1e-9:
        # A correction holds a bare figure: 1052 is 1.052.
        return True
    # A duration of so many minutes may have been said without its unit.
    return abs(value - piece.value) < 1e-9 or (not piece.unit and abs(value - piece.value * 60) < 1e-9)
