"""Finding a batch by what the person calls it; batches of one name are told apart by their date."""

from __future__ import annotations

import re
from datetime import datetime
from zoneinfo import ZoneInfo

from conversations.session.fold import batch_of
from conversations.session.state import Batch, State

_LAST = frozenset(["last", "last batch", "last one", "last brew", "last beer", "previous", "previous batch", "one before"])
ANY_BEER = frozenset(["ale", "beer", "brew", "batch", "one", "new", "old", "the", "my", "of"])
"""Words that alone tell no batch from another: the summer ale is not the brown ale."""
_THIS = frozenset(["this", "this one", "this batch", "current", "current batch", "batch", "beer", "it", "that", "that one", "this beer", "this brew", "now"])


def day_words(at: datetime, state: State) -> str:
    """A day with its year: "14 March 2026"."""
    here = at.astimezone(ZoneInfo(state.zone))
    return f"{here.day} {here:%B} {here.year}"


def label(batch: Batch, state: State) -> str:
    """The batch's name, with the date (and hour, on one day) where another one has the same."""
    same = [each for each in state.batches if each.name.lower() == batch.name.lower() and each.id != batch.id]
    if not same:
        return batch.name
    day = day_words(batch.started, state)
    if any(day_words(each.started, state) == day for each in same):
        day += f" {batch.started.astimezone(ZoneInfo(state.zone)):%H:%M}"
    return f"{batch.name} ({day})"


def before(state: State, batch: Batch | None) -> Batch | None:
    """The batch that was begun before this one; the newest where there is none."""
    older = [each for each in state.batches if batch is None or each.started < batch.started]
    return max(older, key=lambda each: each.started, default=None)


_NUMBER = re.compile(r"(?<!\d)(\d++)$")


def find(state: State, words: str) -> list[Batch]:
    """The batches that are meant, newest first: by name, by a word of it, or "last" and "this"."""
    said = words.lower().strip(" .?!'\"").removeprefix("the ").removeprefix("my ").removesuffix("'s").removesuffix("’s")
    current = batch_of(state, state.current)
    if said in _LAST:
        found = before(state, current)
        return [found] if found is not None else []
    if not said or said in _THIS:
        return [current] if current is not None else []
    newest = sorted(state.batches, key=lambda each: each.started, reverse=True)
    exact = [each for each in newest if each.name.lower() == said]
    partly = [each for each in newest if said in each.name.lower()]
    telling = set(said.split()) - ANY_BEER
    by_word = [each for each in newest if telling & set(each.name.lower().split())]
    if (number := _NUMBER.search(said)) is not None:
        # "Porter 7" is not "porter 2".
        by_word = [each for each in by_word if (named := _NUMBER.search(each.name)) is not None and int(named[1]) == int(number[1])]
        partly = [each for each in partly if each in by_word]
    return exact or partly or by_word
