"""Sentence templates of data/sentences/*.toml, joined into one graph and matched against a row of items.

``[x]`` may be left out, ``(x|y)`` is one of several, ``{slot}`` or ``{slot:key}`` is a quantity, a name or text.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache, cached_property
from importlib.resources import files
from itertools import count
from typing import Any

from conversations.understanding.cues import cue_words, named
from conversations.understanding.times import TIME_WORDS
from conversations.understanding.words import Item, learn, plain, vocabulary, word_set
from conversations.understanding.written import Written

_PIECE = re.compile(r"\{[a-z_]+(?::[a-z_]+)?\}|[\[\]()|]|[^\s\[\](){}|]+")
_PER_MATCH = 0.7  # one long match beats two short ones over the same words
_PER_SKIPPED = 0.2  # less than a word that the sentence has, more than leaving it out
_MOST_SKIPPED = 3
_MOST_MATCHES = 600

Filled = tuple[int, Any, float]
"""Where a slot ends, what it holds, and what each of its items counts."""
SlotReader = Callable[[str, int], Iterator[Filled]]
PlaceReader = Callable[[Written, int], Iterator[Filled]]
Ways = list[tuple[str, str, "Node"]]
WORDY = frozenset(
    {
        "name", "grain", "hop", "yeast", "goods", "priced", "rest", "what", "when", "money", "paid", "named_timer", "past", "period", "date", "harvest",
        "wall", "currency", "earlier", "every", "until", "until_day", "named_durations", "unitword", "zone", "system", "one",
    }
)  # fmt: skip
"""Kinds of slot that may begin with a word; every other one begins with a figure, so most places need no look at it."""


@dataclass(slots=True, eq=False)
class Place:
    """A place in one template; from here a word or a {slot} leads on to others, of this template or of those beside it."""

    number: int
    """Counted as the templates are read, so that places have an order."""
    ways: dict[str, list[Place]] = field(default_factory=dict)
    ends: list[tuple[int, int]] = field(default_factory=list)

    def leads(self, piece: str, to: Place) -> None:
        """Let a word or a {slot} lead to another place."""
        reached = self.ways.setdefault(piece, [])
        if to not in reached:
            reached.append(to)


class Node:
    """Where all templates that begin with the same pieces stand; a word or a slot leads on to one other node.

    So a message is followed once, not once for each template. The ways on are put together when a message first comes here:
    of all that could be said little is.
    """

    def __init__(self, places: tuple[Place, ...], made: dict[tuple[int, ...], Node]) -> None:
        self._places, self._made = places, made
        self.ends = sorted({end for place in places for end in place.ends})
        """The templates that may end here, in the order of the files, each with the entry that it stands in."""

    @cached_property
    def words(self) -> dict[str, Node]:
        """The words that may follow."""
        return self._ways(are_slots=False)

    @cached_property
    def slots(self) -> Ways:
        """The slots that may follow, each by its kind and its key."""
        found = ((piece.strip("{}").partition(":"), node) for piece, node in self._ways(are_slots=True).items())
        return [(kind, key, node) for (kind, _, key), node in found]

    @cached_property
    def wordy(self) -> Ways:
        """Those of the slots that may begin with a word."""
        return [slot for slot in self.slots if slot[0] in WORDY]

    def _ways(self, are_slots: bool) -> dict[str, Node]:
        reached: dict[str, dict[int, Place]] = {}
        for place in self._places:
            for piece, following in place.ways.items():
                if (piece[0] == "{") is are_slots:
                    reached.setdefault(piece, {}).update((each.number, each) for each in following)
        return {piece: self._joining(together) for piece, together in reached.items()}

    def _joining(self, places: dict[int, Place]) -> Node:
        """The one node of these places."""
        key = tuple(sorted(places))
        if key not in self._made:
            self._made[key] = Node(tuple(places[number] for number in key), self._made)
        return self._made[key]


@dataclass(frozen=True, slots=True)
class Sentence:
    """One entry of the file: an intent with fixed slots; a loose one tolerates words that it does not know.

    ``stages`` names the only stages in which it is said ("none" without a batch); empty for any.
    """

    name: str
    fixed: dict[str, Any]
    loose: bool
    stages: frozenset[str]
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
    order: int
    """The place of the template in the files."""


Parsed = list[Any]
"""A sequence of words, slots and groups; a group is (whether it may be left out, its alternatives)."""


@cache
def parse(template: str) -> Parsed:
    """A template as nested lists; ValueError where brackets do not match.

    >>> parse("[set] timer (on|off)")
    [(True, [['set']]), 'timer', (False, [['on'], ['off']])]
    """
    pieces = _PIECE.findall(template)
    place = 0

    def alternatives(closing: str) -> list[Parsed]:
        nonlocal place
        found: list[Parsed] = [[]]
        while place < len(pieces):
            piece = pieces[place]
            place += 1
            if piece == closing:
                return found
            if piece == "|":
                found.append([])
            elif piece in "([":
                found[-1].append((piece == "[", alternatives(")" if piece == "(" else "]")))
            elif piece in ")]":
                raise ValueError(f"unbalanced sentence: {template}")
            else:
                found[-1].append(piece)
        if closing:
            raise ValueError(f"unbalanced sentence: {template}")
        return found

    found = alternatives("")
    return found[0] if len(found) == 1 else [(False, found)]


def forms(template: str, most: int = 4000) -> list[tuple[str, ...]]:
    """Plain forms of one template; of more than ``most`` an even choice.

    >>> forms("[set] timer (on|off)")
    [('timer', 'on'), ('timer', 'off'), ('set', 'timer', 'on'), ('set', 'timer', 'off')]
    """

    def expand(parsed: Parsed) -> list[tuple[str, ...]]:
        current: list[tuple[str, ...]] = [()]
        for piece in parsed:
            if isinstance(piece, str):
                inner: list[tuple[str, ...]] = [(piece,)]
            else:
                inner = [()] if piece[0] else []
                for alternative in piece[1]:
                    inner += expand(alternative)
            current = [a + b for a in current for b in inner]
            if len(current) > most:
                current = [current[k * len(current) // most] for k in range(most)]
        return current

    return expand(parse(template))


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
            stages=frozenset(entry.get("stages", ())),
            bonus=entry.get("bonus", 0.0),
            sentences=tuple(entry["sentences"]),
            examples=tuple(entry.get("examples", ())),
        )
        for page in pages
        for entry in tomllib.loads(page.read_text(encoding="utf-8"))["intent"]
    )


@cache
def tree() -> Node:
    """All templates as one graph; built once, and it teaches the spelling its words."""
    numbers = count()
    root = Place(next(numbers))
    fillers = word_set("fillers")
    confusions: dict[str, str] = vocabulary()["confusions"] | vocabulary()["variants"]
    known: set[str] = set(TIME_WORDS) | fillers | word_set("stop_words")
    for name in ("grain", "hops", "yeasts", "about"):
        known |= word_set(name)
    known |= {word for kind in ("money", "money_hundredths") for word in vocabulary()[kind]}
    known |= {word for unit in vocabulary()["units"] for word in unit.split()}

    @cache
    def words_of(piece: str) -> list[str]:
        if piece[0] == "{":
            return [piece]
        words = [word for word in confusions.get(plain(piece), plain(piece)).split() if word not in fillers]
        known.update(words)
        return words

    def grow(parsed: Parsed, entered: list[Place], exit_: Place | None = None) -> list[Place]:
        """Lead from the entered places through the pieces; returns where one may be after them."""
        for place, piece in enumerate(parsed):
            if isinstance(piece, str):
                words = words_of(piece)
                for nth, word in enumerate(words, start=1):
                    # The last word of each alternative leads to one place, so that what follows is there once.
                    is_last = place == len(parsed) - 1 and nth == len(words)
                    to = exit_ if exit_ is not None and is_last else Place(next(numbers))
                    for node in entered:
                        node.leads(word, to)
                    entered = [to]
            else:
                optional, alternatives = piece
                shared = Place(next(numbers))
                reached = list(entered) if optional else []
                for alternative in alternatives:
                    reached += grow(alternative, entered, shared)
                entered = list({id(node): node for node in reached}.values())
        return entered

    written = ((number, template) for number, sentence in enumerate(sentences()) for template in sentence.sentences)
    for order, (number, template) in enumerate(written):
        for place in grow(parse(template), [root]):
            if place is not root:
                place.ends.append((order, number))
    learn(frozenset(known | cue_words()))
    return Node((root,), {})


def matches(items: list[Item], read_slot: SlotReader, most_skipped: int = _MOST_SKIPPED) -> list[Match]:
    """All templates found anywhere in the row; later ones may overlap earlier ones.

    Light words that a template does not have may lie inside it ("yeast has gone in"), so many of them at most.
    """
    found: list[Match] = []
    entries = sentences()
    light = word_set("light")
    held: dict[tuple[str, int], list[Filled]] = {}
    open_places: dict[tuple[int, int], bool] = {}
    last_places: dict[int, int] = {}
    barren: dict[tuple[int, int], int] = {}

    def read(kind: str, i: int) -> list[Filled]:
        found_here = held.get((kind, i))
        if found_here is None:
            found_here = held[kind, i] = list(read_slot(kind, i))
        return found_here

    def leads_on(node: Node, i: int) -> bool:
        """Whether anything can follow at a place: most places where free text may end lead nowhere."""
        key = id(node), i
        if key not in open_places:
            word = items[i].word if i < len(items) else ""
            open_places[key] = bool(node.ends) or (
                i < len(items)
                and (
                    word in node.words
                    or (word in light and bool(node.words or node.slots))
                    or (items[i].raw == "," and bool(node.words))
                    or any(read(kind, i) for kind, _, _ in (node.wordy if items[i].kind == "word" else node.slots))
                )
            )
        return open_places[key]

    def last_open(node: Node) -> int:
        """The last place from which a node leads on: free text before it has up to forty ends to try."""
        if id(node) not in last_places:
            places = (i for i in range(len(items), -1, -1) if leads_on(node, i))
            last_places[id(node)] = next(places, -1)
        return last_places[id(node)]

    def walk(node: Node, start: int, i: int, slots: dict[str, Any], score: float, skipped: int) -> None:
        for order, number in node.ends:
            entry = entries[number]
            found.append(Match(entry, start, i, {**entry.fixed, **slots}, score + entry.bonus, order))
        if i < len(items) and (node.words or node.slots):
            step(node, start, i, slots, score, skipped)

    def step(node: Node, start: int, i: int, slots: dict[str, Any], score: float, skipped: int) -> None:
        if i >= len(items) or len(found) > _MOST_MATCHES or skipped >= barren.get((id(node), i), 9):
            return
        before = len(found)
        if items[i].kind == "word":
            following = node.words.get(items[i].word)
            if following is not None:
                walk(following, start, i + 1, slots, score + 1.0, skipped)
            if i > start and skipped < most_skipped and items[i].word in light and (node.words or node.slots):
                step(node, start, i + 1, slots, score + _PER_SKIPPED, skipped + 1)
        elif items[i].raw == "," and i > start and node.words and skipped < most_skipped:
            # "every two days until friday, remind me to": a comma inside a sentence goes on with one of its words.
            following = node.words.get(items[i + 1].word) if i + 1 < len(items) else None
            # "21, gravity 1.044": what follows has a figure of its own.
            if following is not None and not (items[i - 1].kind == "num" and i + 2 < len(items) and items[i + 2].kind == "num"):
                walk(following, start, i + 2, slots, score + 1.0, skipped + 1)
        for kind, key, reached in node.wordy if items[i].kind == "word" else node.slots:
            if kind == "what" and last_open(reached) <= i:
                continue
            for end, value, worth in read(kind, i):
                if leads_on(reached, end):
                    walk(reached, start, end, {**slots, **named(kind, key, value)}, score + worth * (end - i), skipped)
        if len(found) == before:
            # Reached again, from another start or with as many words skipped, it comes to nothing again.
            barren[id(node), i] = skipped

    root = tree()
    for start in range(len(items)):
        if items[start].kind != "sep":
            step(root, start, start, {}, -_PER_MATCH, 0)
    # Of two that say as much the one that is written first is meant.
    return sorted(found, key=lambda match: match.order)


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
