"""Intents of one message that tell of one thing: hops and how long they boil, a bottle that is flat and has no fizz."""

from __future__ import annotations

import re

from conversations.intents import Intent
from conversations.understanding.rows import Placed

_OF_THE_HOPS = re.compile(r"\b(boil|boiled|cook|simmer) (it|them|that|those|these)\b|\bin (the )?boil\b", re.IGNORECASE)
_ANOTHER = re.compile(r"\b(bottle|one|ones|another|other|second|third|fourth|next|rest)\b", re.IGNORECASE)
_READY = re.compile(r"\b(ready|time)\b[^.,;]*\?", re.IGNORECASE)
_WE_ARE = re.compile(r"\b(i|i['’]?m|we|we['’]?re) (am |are )?ready\b", re.IGNORECASE)


def of_one_thing(found: list[Placed], stage: str | None, clause: list[int], text: str) -> list[Placed]:
    """The intents of a message, with those joined or left out that belong to another one."""
    found = _mashed_so_long(_boiled_so_long(found)) if stage in (None, "plan", "prepare") else found
    return _asked_whether_ready(_one_bottle(_over_first(_sugar_for_it(found), clause)), stage, text)


def _boiled_so_long(found: list[Placed]) -> list[Placed]:
    """ "14 g bramling cross, boil it 60 minutes": the hop's time and not the recipe's, where nothing else is told."""
    *hops, (_, boil) = found or [(0, Intent(name="nothing"))]
    alone = bool(hops) and all(each.name == "recipe.hop" for _, each in hops) and boil.name == "recipe.boil"
    if not alone or "duration_s" not in boil.slots or "duration_s" in hops[-1][1].slots or not _OF_THE_HOPS.search(boil.text):
        return found
    place, hop = hops[-1]
    timed = hop.model_copy(update={"slots": {**hop.slots, "duration_s": boil.slots["duration_s"]}, "text": f"{hop.text}, {boil.text}"})
    return [*hops[:-1], (place, timed)]


def _mashed_so_long(found: list[Placed]) -> list[Placed]:
    """ "65.5 degrees for the mash, 75 minutes"."""
    kept: list[Placed] = []
    for place, intent in found:
        before = kept[-1][1] if kept else None
        if before is not None and intent.name == "unclear.duration" and before.name == "recipe.mash" and "duration_s" not in before.slots:
            timed = before.model_copy(update={"slots": {**before.slots, "duration_s": intent.slots["duration_s"]}, "text": f"{before.text}, {intent.text}"})
            kept[-1] = kept[-1][0], timed
        else:
            kept.append((place, intent))
    return kept


def _over_first(found: list[Placed], clause: list[int]) -> list[Placed]:
    """ "Ten litres transferred": it is over, and then so much of it is there; told the other way round it would be of the pot."""
    kept: list[Placed] = []
    for place, intent in found:
        if intent.name == "done.transferred" and kept and kept[-1][1].name == "reading.volume" and clause[kept[-1][0]] == clause[place]:
            before = kept.pop()
            kept += [(before[0], intent), (place, before[1])]
        else:
            kept.append((place, intent))
    return kept


def _sugar_for_it(found: list[Placed]) -> list[Placed]:
    """ "7 litres to bottle, how much sugar": the litres are the question's."""
    names = [each.name for _, each in found]
    if names not in (["reading.volume", "ask.priming"], ["reading.volume", "bottle.begin", "ask.priming"]) or "volume" in found[-1][1].slots or "at" in found[0][1].slots:
        return found
    (place, told), asked = found[0], found[-1][1]
    return [(place, asked.model_copy(update={"slots": {**asked.slots, "volume": told.slots["volume"]}, "text": f"{told.text}, {asked.text}"}))]


def _one_bottle(found: list[Placed]) -> list[Placed]:
    """ "First bottle flat. no fizz": one bottle, unless another one is named."""
    kept: list[Placed] = []
    for place, intent in found:
        said = any(each.name == intent.name == "bottle.found" and each.slots == intent.slots for _, each in kept)
        if not said or _ANOTHER.search(intent.text):
            kept.append((place, intent))
    return kept


def _asked_whether_ready(found: list[Placed], stage: str | None, text: str) -> list[Placed]:
    """ "Ready to bottle?" asks whether the beer is."""
    if stage != "ferment" or not _READY.search(text) or _WE_ARE.search(text):
        return found
    return [(place, each.model_copy(update={"name": "ask.finished", "slots": {}}) if each.name == "bottle.begin" else each) for place, each in found]
