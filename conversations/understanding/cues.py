"""What a clause says by the words and quantities in it, in any order: for things said in a hundred ways.

Each entry of data/cues.toml has groups of words and, where it needs any, slots; a clause means it where every group is
met, every slot is filled, no number is left and every other word carries nothing. Sentences with a fixed shape are in
data/sentences/ and are asked first.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from conversations.understanding.asking import asking_words, asks_politely
from conversations.understanding.words import Item, is_adverb, word_set

Filled = tuple[int, Any, float]
SlotReader = Callable[[str, int], Iterator[Filled]]
HARMLESS = ("ask.", "timer.status", "diary.", "batch.list", "look.", "kit.show", "reminder.list", "stock.show", "stock.shopping",
            "stock.can_brew", "stock.enough", "stock.how_much", "stock.good", "stock.paid", "cost.", "learned.show", "learned.why", "learned.strength", "learned.value", "learned.forget", "timeline.", "picture.", "export.", "recipe.shelf", "kit.names")
"""What records nothing: it may be answered though a word or two was not read."""
_FIGURES = frozenset({"num", "qty", "dur", "clock"})
TOLD = ("done.", "reading.", "bottle.", "hops.", "look.", "batch.close", "recipe.dry_hop", "kit.squeeze", "kit.has_bag", "stock.bought", "stock.used", "stock.left", "stock.gone", "stock.share_used", "stock.packed", "stock.price", "stock.opened", "yes", "no", "undo", "weeks.")
"""What is told and kept: it must not be asked, and only few words may stand beside it."""

SAID_WHOLE = ("recipe.batch_times", "recipe.part_times", "recipe.swap_part", "recipe.drop_hops", "recipe.colour", "recipe.way", "recipe.not_late")
"""What must be all that its clause says: "half the hops are in the freezer" changes no recipe."""

AS_WRITTEN = ("done.off_boil", "done.back_on_boil", "done.boiled_over", "done.put_in", "done.hops_late", "done.water_in", "done.lid_on", "done.chiller_in",
              "done.sanitised", "done.weighed", "done.heated", "done.ph", "done.turned_down", "hops.skip", "hops.move", "look.foam", "edit.", "kit.forget",
              "priming.given", "done.spilled", "done.yeast_thrown", "done.fermenter_moved", "weeks.")
"""What is told of the pot while nobody looks at the screen, and what takes back or puts right: taken in words that a sentence
has, and never guessed to be meant."""
_WRITTEN = ("recipe.", "kit.")
"""What changes the recipe or the kit: a question whether to does not."""
_ONCE_DONE = ("done.", "hops.", "bottle.found", "batch.close")


def named(kind: str, key: str, value: Any) -> dict[str, Any]:
    """What a filled slot adds to the intent: under its own key, or under the one that the sentence gives."""
    if isinstance(value, dict):
        return value if not key else {key: next(iter(value.values()))}
    return {key or ("gravity" if kind == "sg" else kind): value}


@dataclass(frozen=True, slots=True, eq=False)
class Cue:
    """One entry: the intent, its groups of words, its slots, further words that may stand beside them, and examples."""

    name: str
    groups: tuple[frozenset[str], ...]
    slots: tuple[str, ...]
    fixed: dict[str, Any]
    stages: frozenset[str]
    beside: frozenset[str]
    examples: tuple[str, ...]
    told: bool
    """Whether it leaves a trace in the diary, so that a question must not be taken for it."""
    written: bool
    """Whether it changes the recipe or the kit."""
    once: bool
    """Whether it tells of something that is done once."""


@cache
def cues() -> tuple[Cue, ...]:
    """The entries of data/cues.toml, those that ask for the most first."""
    page = files("conversations.understanding").joinpath("data", "cues.toml")
    rows = tomllib.loads(page.read_text(encoding="utf-8"))["cue"]
    found = [
        Cue(
            name=row["name"],
            groups=tuple(frozenset(group.split("|")) for group in row.get("words", ())),
            slots=tuple(row.get("slots", ())),
            fixed=row.get("fixed", {}),
            stages=frozenset(row.get("stages", ())),
            beside=frozenset(row.get("beside", "").split()),
            examples=tuple(row["examples"]),
            told=row["name"].startswith(TOLD),
            written=row["name"].startswith(_WRITTEN) and not row["name"].startswith(HARMLESS),
            once=row["name"].startswith(_ONCE_DONE),
        )
        for row in rows
    ]
    return tuple(sorted(found, key=lambda cue: -len(cue.groups) - len(cue.slots)))


@cache
def cue_words() -> frozenset[str]:
    """Every word of the entries, for the spelling."""
    return frozenset(word for cue in cues() for group in (*cue.groups, cue.beside) for word in group)


@cache
def _company(told: bool) -> frozenset[str]:
    """Words that carry nothing beside an entry that is told, and beside one that asks or commands."""
    found = word_set("light") | word_set("stop_words") | word_set("about") | word_set("fillers") | word_set("beside_readings")
    return found if told else found | word_set("common")


@cache
def _own(cue: Cue) -> frozenset[str]:
    return cue.beside.union(*cue.groups)


@cache
def _allowed(cue: Cue) -> frozenset[str]:
    if cue.once:
        return _own(cue).union(*(word_set(kind) for kind in ("light", "stop_words", "about", "fillers", "beside_done")))
    if cue.told and cue.written:
        return _own(cue).union(*(word_set(kind) for kind in ("light", "stop_words", "about", "fillers")))
    return _own(cue) | _company(cue.told) | (asking_words() if cue.name.startswith(HARMLESS) else frozenset())


def _fill(cue: Cue, items: list[Item], places: list[int], read: SlotReader) -> tuple[dict[str, Any], set[int]] | None:
    """What the slots of an entry hold and the places that they take; a slot with "?" may stay empty."""
    held: dict[str, Any] = dict(cue.fixed)
    taken: set[int] = set()
    for slot in cue.slots:
        kind, _, key = slot.rstrip("?").partition(":")
        found: tuple[int, Filled] | None = None
        behind = max(taken, default=-1)
        for i in sorted(places, key=lambda i: (i < behind, i)):
            if i in taken or (kind == "named_timer" and any(items[i].word in group for group in cue.groups)):
                continue
            ways = [way for way in read(kind, i) if not taken.intersection(range(i, way[0])) and way[0] - 1 <= places[-1]]
            if ways:
                found = i, max(ways, key=lambda way: way[2] * (way[0] - i))
                break
        if found is None:
            if slot.endswith("?"):
                continue
            return None
        start, (end, value, _) = found
        held |= named(kind, key, value)
        taken.update(range(start, end))
    return held, taken


def subordinate(clause: list[Item]) -> bool:
    """Whether a clause only says when or whether: "before I drop the grain in" tells of nothing that is done."""
    first = next((item.word for item in clause if item.kind == "word" and item.word not in ("and", "but", "then")), "")
    return first in word_set("subordinating")


@cache
def _phrases() -> re.Pattern[str]:
    return re.compile(r"\b(" + "|".join(sorted(word_set("not_yet"))) + r")(?!\w)", re.IGNORECASE)


def not_yet(text: str) -> bool:
    """Whether a clause as it was written tells of something that is still to come ("about to put the hops in")."""
    return _phrases().search(text) is not None


_NO_WORD = frozenset({""})


@cache
def _by_word() -> dict[str, frozenset[int]]:
    """A word to the places of the entries that have it in the group with the fewest words; no word to those that ask for none."""
    found: dict[str, set[int]] = {}
    for place, cue in enumerate(cues()):
        for word in min(cue.groups, key=len, default=_NO_WORD):
            found.setdefault(word, set()).add(place)
    return {word: frozenset(places) for word, places in found.items()}


def _that_may(words: set[str]) -> list[Cue]:
    """The entries that words may be of, in their order: most have none of what an entry asks for."""
    by_word, every = _by_word(), cues()
    return [every[place] for place in sorted(set().union(*(by_word[word] for word in (*words, "") if word in by_word)))]


def cue_of(
    items: list[Item], places: list[int], stage: str, read: SlotReader, text: str, begins_asking: bool
) -> tuple[str, dict[str, Any]] | None:
    """The intent of the clause at those places and its slots, or None; a clause may begin like a question."""
    clause = [items[i] for i in places]
    words = {item.word for item in clause if item.kind == "word"}
    figures = {i for i in places if items[i].kind in _FIGURES and items[i].said not in ("one", "a", "an")}
    asked = any(item.question for item in clause) or bool(words & asking_words()) or subordinate(clause)
    whether = (begins_asking or any(item.question for item in clause)) and not asks_politely(text, or_together=True)
    asked = asked or begins_asking
    to_come = not_yet(text[clause[0].start : clause[-1].end])
    best: tuple[tuple[int, int, bool], str, dict[str, Any]] | None = None
    for cue in _that_may(words):
        if best is not None and -best[0][0] > len(cue.groups) + len(cue.slots):
            break
        if any(group.isdisjoint(words) for group in cue.groups):
            continue
        if cue.once and "or" in words:
            # "boil down or up": which of the two is not told.
            continue
        if (figures and not cue.slots) or (cue.told and asked) or (cue.written and whether) or (to_come and cue.once) or (cue.stages and stage not in cue.stages):
            continue
        filled = _fill(cue, items, places, read)
        if filled is None or figures - filled[1]:
            continue
        others = {
            items[i].word
            for i in places
            if items[i].kind == "word" and i not in filled[1] and not is_adverb(items[i].word)
        }
        if others <= _allowed(cue) and all(group & others for group in cue.groups):
            # The most that it asks for first, then the fewest words that only keep it company.
            rank = (-len(cue.groups) - len(cue.slots), len(others - _own(cue)), not cue.stages)
            if best is None or rank < best[0]:
                best = rank, cue.name, filled[0]
    return None if best is None else best[1:]
