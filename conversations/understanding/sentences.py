"""Sentence templates of data/sentences/*.toml, folded into one tree and matched against a row of items.

``[x]`` may be left out, ``(x|y)`` is one of several, ``{slot}`` or ``{slot:key}`` is a quantity, a name or text.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

from conversations.understanding.times import TIME_WORDS
from conversations.understanding.words import Item, learn, vocabulary, word_set

_PIECE = re.compile(r"\{[a-z_]+(?::[a-z_]+)?\}|[\[\]()|]|[^\s\[\](){}|]+")
_MOST_FORMS = 4000
_PER_MATCH = 0.7  # one long match beats two short ones over the same words
_KEYS = {"sg": "gravity"}

Filled = tuple[int, Any, float]
"""Where a slot ends, what it holds, and what each of its items counts."""
SlotReader = Callable[[str, int], Iterator[Filled]]


@dataclass(slots=True)
class Node:
    """A place in the tree of templates."""

    words: dict[str, Node] = field(default_factory=dict)
    slots: dict[str, Node] = field(default_factory=dict)
    ends: list[int] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Sentence:
    """One entry of the file: an intent with fixed slots; a loose one tolerates words that it does not know."""

    name: str
    fixed: dict[str, Any]
    loose: bool
    bonus: float
    sentences: tuple[str, ...]
    examples: tuple[str, ...]


@dataclass(slots=True)
class Match:
    """A template found in the message."""

    sentence: Sentence
    start: int
    end: int
    slots: dict[str, Any]
    score: float


def forms(template: str) -> list[tuple[str, ...]]:
    """Every plain form of one template.

    >>> forms("[set] timer (on|off)")
    [('timer', 'on'), ('timer', 'off'), ('set', 'timer', 'on'), ('set', 'timer', 'off')]
    """
    pieces = _PIECE.findall(template)
    place = 0

    def alternatives(closing: str) -> list[tuple[str, ...]]:
        nonlocal place
        result: list[tuple[str, ...]] = []
        current: list[tuple[str, ...]] = [()]
        while place < len(pieces):
            piece = pieces[place]
            place += 1
            if piece == closing:
                return result + current
            if piece == "|":
                result, current = result + current, [()]
                continue
            if piece in "([":
                inner = alternatives(")" if piece == "(" else "]")
                inner = [(), *inner] if piece == "[" else inner
            elif piece in ")]":
                raise ValueError(f"unbalanced sentence: {template}")
            else:
                inner = [(piece,)]
            current = [a + b for a in current for b in inner]
            if len(current) > _MOST_FORMS:
                raise ValueError(f"too many forms: {template}")
        if closing:
            raise ValueError(f"unbalanced sentence: {template}")
        return result + current

    return alternatives("")


@cache
def sentences() -> tuple[Sentence, ...]:
    """The entries of data/sentences/*.toml, by file name and then in their order."""
    folder = files("conversations.understanding").joinpath("data", "sentences")
    pages = sorted((page for page in folder.iterdir() if page.name.endswith(".toml")), key=lambda page: page.name)
    return tuple(
        Sentence(
            name=entry["name"],
            fixed=entry.get("fixed", {}),
            loose=entry.get("loose", False),
            bonus=entry.get("bonus", 0.0),
            sentences=tuple(entry["sentences"]),
            examples=tuple(entry.get("examples", ())),
        )
        for page in pages
        for entry in tomllib.loads(page.read_text(encoding="utf-8"))["intent"]
    )


@cache
def tree() -> Node:
    """All templates as one tree; built once, and it teaches the spelling its words."""
    root = Node()
    fillers = word_set("fillers")
    known: set[str] = set(TIME_WORDS) | fillers | word_set("stop_words")
    for name in ("grain", "hops", "yeasts", "about"):
        known |= word_set(name)
    known |= {word for unit in vocabulary()["units"] for word in unit.split()}
    for number, sentence in enumerate(sentences()):
        for template in sentence.sentences:
            for form in forms(template):
                plain = [piece for piece in form if piece not in fillers]
                node = root
                for piece in plain:
                    if piece.startswith("{"):
                        node = node.slots.setdefault(piece[1:-1], Node())
                    else:
                        known.add(piece)
                        node = node.words.setdefault(piece, Node())
                if plain and number not in node.ends:
                    node.ends.append(number)
    learn(frozenset(known))
    return root


def matches(items: list[Item], read_slot: SlotReader) -> list[Match]:
    """All templates found anywhere in the row; later ones may overlap earlier ones."""
    found: list[Match] = []
    entries = sentences()

    def walk(node: Node, start: int, i: int, slots: dict[str, Any], score: float) -> None:
        for number in node.ends:
            entry = entries[number]
            found.append(Match(entry, start, i, {**entry.fixed, **slots}, score + entry.bonus))
        if i >= len(items) or len(found) > 600:
            return
        if items[i].kind == "word":
            following = node.words.get(items[i].word)
            if following is not None:
                walk(following, start, i + 1, slots, score + 1.0)
        for slot, following in node.slots.items():
            kind, _, key = slot.partition(":")
            for end, value, worth in read_slot(kind, i):
                more = value if isinstance(value, dict) and not key else {key or _KEYS.get(kind, kind): value}
                walk(following, start, end, {**slots, **more}, score + worth * (end - i))

    root = tree()
    for start in range(len(items)):
        if items[start].kind != "sep":
            walk(root, start, start, {}, -_PER_MATCH)
    return found


def best_cover(items: list[Item], found: list[Match]) -> list[Match]:
    """The matches that together cover the row best, none overlapping."""
    starting: dict[int, list[Match]] = {}
    for match in found:
        starting.setdefault(match.start, []).append(match)
    best: list[tuple[float, Match | None]] = [(0.0, None)] * (len(items) + 1)
    for i in range(len(items) - 1, -1, -1):
        best[i] = (best[i + 1][0], None)
        for match in starting.get(i, ()):
            total = match.score + best[match.end][0]
            if total > best[i][0]:
                best[i] = (total, match)
    chosen: list[Match] = []
    i = 0
    while i < len(items):
        match_here = best[i][1]
        if match_here is None:
            i += 1
        else:
            chosen.append(match_here)
            i = match_here.end
    return chosen
