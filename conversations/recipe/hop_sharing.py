"""Hops that go in together at one time, and one hop that goes in again at another."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from conversations.recipe.entry import Entry
from conversations.recipe.mark import Mark
from conversations.recipe.words import words_of

_TIMES = frozenset({"time", "when", "days"})
_FACTORS = {"same": 1.0, "much": 1.0, "many": 1.0, "double": 2.0, "twice": 2.0}
_OF_WHAT = frozenset({"same", "that", "much", "many", "again", "amount"})
_ANOTHER = frozenset({"another", "further", "more", "again", "second", "other"})
_JOINT = frozenset({"and", "then", "plus", "+", "&"})
_NEUTRAL = _JOINT | frozenset({"at", "for", "the", "a", "also", "when", "with", "it", "in", "on", "as", "goes", "to", "it's", "its", "i", "we", "again"})
_AT = frozenset({"at", "for", "when", "with", "in", "on", "as"})
_DONE = frozenset({"turn", "switch", "cut", "kill", "put", "bring"})
_SHORTEST = 5.0
"""Minutes of the first time from which on another one joined by "and" is no stand behind it."""


def share_times(entries: list[Entry], marks: list[Mark], early: Entry | None) -> None:
    """Give the hops that are joined by "and" the time told behind them, and all hops of a line the only one told before them."""
    for one, other in reversed(list(pairwise(entries))):
        if not one.timed and other.timed and _joined(marks, one, other, _JOINT | {"/", ","} if other.when == "dry" or other.days else _JOINT | {"/"}):
            _copy(other, one)
    if early is None or any(entry.timed for entry in entries if entry is not early):
        return
    for entry in entries:
        if entry is not early and entry.kind == "hop" and entry.mass is not None:
            _copy(early, entry)


def boiled_with(entries: list[Entry], marks: list[Mark]) -> None:
    """ "Boil 90 minutes with 40 g Fuggle": in from the start."""
    for entry in entries:
        if entry.kind != "hop" or entry.timed or entry.mass is None:
            continue
        before = [m for m in marks if m.start < min(m.start for m in (entry.mass, entry.name) if m is not None)]
        boil = next((i for i in range(len(before) - 1, -1, -1) if before[i].kind == "key" and before[i].what == "boil"), None)
        kinds = [m.kind for m in before[boil:] if m.kind != "word"] if boil is not None else []
        if kinds == ["key", "time"] and before[-1].text.casefold() == "with":
            entry.when = "start"


def _copy(timed: Entry, other: Entry) -> None:
    other.minutes, other.when, other.days, other.after = timed.minutes, timed.when, timed.days, timed.after


def _joined(marks: list[Mark], one: Entry, other: Entry, by: frozenset[str] = _JOINT | {"/"}) -> bool:
    """ "15 g Fuggle and 10 g Goldings at 60 minutes": both of them."""
    if one.kind != "hop" or other.kind != "hop" or other.same:
        return False
    parts = [[mark for mark in (entry.name, entry.mass, entry.share) if mark is not None] for entry in (one, other)]
    if any(entry.name is None or entry.mass is None for entry in (one, other)):
        return False
    end, start = max(mark.end for mark in parts[0]), min(mark.start for mark in parts[1])
    between = [m.text.casefold() for m in marks if end <= m.start < start]
    return len(between) <= 1 and all(text in by for text in between)


def together(entries: list[Entry], marks: list[Mark]) -> list[Entry]:
    """The last hop with those that go in with it, which have its time from now on."""
    group = entries[-1:]
    for before in reversed(entries[:-1]):
        if before.timed or not _joined(marks, before, group[0]):
            break
        _copy(group[-1], before)
        group.insert(0, before)
    return group


def _times_lead(marks: list[Mark], place: int) -> bool:
    """Whether each time from ``place`` on has its mass right behind it, and none stands behind the last: "at ten minutes 10 g Saaz at flame-out 8 g Saaz"."""
    waits = False
    for mark in marks[place:]:
        if mark.kind == "mass":
            waits = False
        elif mark.kind in _TIMES or (mark.kind == "number" and mark.what == "time"):
            if waits:
                return False
            waits = True
        elif mark.kind == "key" or (mark.kind == "name" and mark.what == "yeast"):
            break
    return not waits


def _hop_next(marks: list[Mark], place: int) -> bool:
    """Whether what is named next is a hop, at a time that is left of the boil."""
    left = any(m.text.casefold() in ("left", "remaining", "go") for m in marks[place + 1 : place + 3])
    return left and next((m.what for m in marks[place + 1 :] if m.kind == "name"), "") == "hop"


def leads_on(marks: list[Mark], place: int, entry: Entry, early: Entry | None = None) -> bool:
    """Whether the time at ``place`` is that of the mass behind it: "20 g for 10 minutes, and at flame-out 30 g".

    ``early`` is the entry whose own time stood before it.
    """
    following = next((m for m in marks[place + 1 :] if m.kind != "word" or m.text.casefold() in _JOINT), None)
    before = next((m for m in reversed(marks[:place]) if m.kind != "word" or m.text.casefold() in _JOINT), None)
    if following is None or following.kind != "mass" or before is None:
        return False
    if entry is early and entry.kind == "hop" and entry.name is not None and entry.timed and before.kind in ("name", "share", "word"):
        # "at the start 12 g Perle at ten minutes 8 g Saaz": as it began.
        return _times_lead(marks, place)
    if entry.kind == "grain" and before.kind == "time" and marks[place].what in ("start", "first_wort") and _times_lead(marks, place):
        # "boil for an hour at the start 12 g Perle": no malt goes in then.
        return True
    if entry.kind == "grain" and entry.mass is not None and before.kind == "name" and _hop_next(marks, place) and _times_lead(marks, place):
        # "two kilos of pale malt with fifteen minutes left ten grams of Saaz"
        return True
    if before.kind not in ("sep", "word"):
        return False
    # "wheat malt. First wort hop 20 g Perle": no malt has such a time.
    malt = entry.kind == "grain" and entry.mass is not None and before.kind == "sep" and marks[place].what in ("first_wort", "dry", "start")
    return malt or (entry.kind == "hop" and entry.timed)


@dataclass(frozen=True, slots=True)
class Again:
    """Another addition of the hops at hand: so many times what went in, or this mass, or neither where nobody says how much."""

    factor: float | None = None
    mass: Mark | None = None

    def of(self, entry: Entry) -> Entry:
        """The addition of a hop again, without its time."""
        mass = self.mass
        if self.factor is not None and entry.mass is not None:
            mass = replace(entry.mass, value=entry.mass.value * self.factor)
        return Entry(name=entry.name, mass=mass, share=entry.share, same=True)


def _since_the_time(marks: list[Mark], place: int) -> list[Mark] | None:
    """What lies between the time before and that at ``place``, last first; None where none is before."""
    between: list[Mark] = []
    for before in reversed(marks[:place]):
        if before.kind in _TIMES or (before.kind == "number" and before.what == "time"):
            # "a seventy five minute boil": the word belongs to its length.
            return between[:-1] if between and between[-1].kind == "key" else between
        between.append(before)
    return None


def _done(mark: Mark) -> bool:
    return mark.text.split()[0].casefold() in _DONE


def only_next(marks: list[Mark], place: int, entry: Entry) -> bool:
    """Whether what stands at ``place`` is the next step and no time of the hop: "20 g for 15 minutes and then turn the heat off"."""
    between = _since_the_time(marks, place) if entry.minutes is not None and entry.minutes >= _SHORTEST else None
    if between is None or any(m.kind not in ("word", "sep") for m in between):
        return False
    words = {m.text.casefold() for m in between if m.kind == "word"}
    return "then" in words or (_done(marks[place]) and not _AT.intersection(words) and bool(words & _JOINT or between))


def told_again(marks: list[Mark], place: int, entry: Entry) -> Again | None:
    """What goes in again at the time at ``place``: "60 min and the same again at 10", "and another fifteen at the end"; None for the same addition."""
    nameless = entry.name is None and not entry.words
    if not (nameless or entry.kind == "hop") or entry.mass is None or not entry.timed:
        return None
    between = _since_the_time(marks, place)
    if between is None or any(m.kind not in ("word", "sep", "number", "share") for m in between):
        return None
    words = [m.text.casefold() for m in between if m.kind == "word"]
    numbers = [m for m in between if m.kind == "number"]
    if numbers and numbers[0].value < 1 and "as" in words:
        # "half as much again" is half of it to some and half more than it to others.
        return Again()
    if numbers and numbers[0].value < 1:
        return Again(factor=numbers[0].value) if len(numbers) == 1 and _OF_WHAT.intersection(words) else Again()
    if numbers:
        told = len(numbers) == 1 and bool(_ANOTHER.intersection(words))
        return Again(mass=replace(entry.mass, value=numbers[0].value, text=numbers[0].text, what="")) if told else None
    factor = next((_FACTORS[word] for word in reversed(words) if word in _FACTORS), None)
    if factor is not None and _OF_WHAT.intersection(words):
        return Again(factor=factor)
    if words_of("names", "vague").intersection(words) or "again" in words:
        return Again()
    joined = bool(_JOINT.intersection(words)) and all(word in _NEUTRAL for word in words)
    # "and then turn the heat off" is done with the pot, not with the hops.
    joined = joined and (bool(_AT.intersection(words)) or (words == ["and"] and not _done(marks[place])))
    later = entry.minutes is not None and entry.minutes >= _SHORTEST and not entry.when
    other = marks[place].kind == "when" or marks[place].value != entry.minutes
    return Again() if joined and later and other and not any(m.kind == "sep" and m.what != "," for m in between) else None
