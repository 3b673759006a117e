"""Clauses that their words tell better than the sentences do: where the entries of cues.py take over from matched sentences."""

from __future__ import annotations

import re

from conversations.intents import Context, Intent
from conversations.understanding.asking import asks_for_certain
from conversations.understanding.cues import HARMLESS, TOLD, cue_of
from conversations.understanding.fitting import too_warm
from conversations.understanding.no_beer import of_another_time
from conversations.understanding.rows import places_of
from conversations.understanding.sentences import Match
from conversations.understanding.slots import Slots
from conversations.understanding.words import Item, word_set

ASKED = re.compile(r"\b(is|are|was) (that|this|it|these|they) (right|ok|okay|alright|all right|fine|correct|good)\b", re.IGNORECASE)
"""Asks, and agrees to nothing: "hops are floating on top is that right"."""


def by_words(
    items: list[Item], clause: list[int], chosen: list[Match], covered: list[bool], slots: Slots, context: Context
) -> tuple[list[Match], list[tuple[int, Intent]]]:
    """Clauses that their words tell better than the sentences do; what they take over is marked as covered."""
    stops = word_set("stop_words")
    asks = asks_for_certain(slots.text)
    cued: list[tuple[int, Intent]] = []
    for number in sorted(set(clause)):
        places = places_of(clause, number)
        within = [match for match in chosen if match.start <= places[-1] and match.end > places[0]]
        # Where the sentences read every word that carries something, the words need not be weighed again.
        whole = all(covered[i] or items[i].kind == "sep" or items[i].word in stops for i in places)
        if whole and (len(within) < 2 or any(match.slots for match in within)):
            continue
        if whole and any(each.sentence.name.startswith(TOLD) for each in within) and any(each.sentence.name.startswith(HARMLESS) for each in within):
            # "hops in what's next": one thing told and one asked.
            continue
        if any((each.sentence.loose and whole) or each.start < places[0] or each.end - 1 > places[-1] for each in within):
            continue
        told = cue_of(items, places, context.stage or "none", slots.read, slots.text, asks and not number)
        if told is None or too_warm(*told) or (told[0] == "yes" and ASKED.search(slots.text)):
            continue
        if of_another_time(told[0], slots.text):
            continue
        chosen = [match for match in chosen if match not in within]
        for i in places:
            covered[i] = True
        said = [i for i in places if items[i].kind != "sep"]
        cued.append((said[0], Intent(name=told[0], slots=told[1], text=slots.words(said[0], said[-1] + 1))))
    return chosen, cued
