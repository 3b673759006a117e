"""Hops that went in and, in the same message, which and how much they were."""

from __future__ import annotations

import re

from conversations.intents import Intent
from conversations.understanding.numbers import ONES, TENS
from conversations.understanding.rows import Placed

_NUMBER_WORDS = frozenset((*ONES, *TENS))
_THE_HOPS = frozenset({"", "hop", "hops", "last hops", "first hops", "next hops", "last ones", "late hops"})
_BOILING = ("boil", "steep")


def begins_with_figure(intent: Intent) -> bool:
    """Whether nothing was said before the figure, in digits or in words."""
    return re.match(r"\d", intent.text) is not None or re.split(r"[\s-]", intent.text.lower())[0] in _NUMBER_WORDS


def in_and_which(found: list[Placed], stage: str | None) -> list[Placed]:
    """ "The last hops are in, ten grams of target": which they were, and no addition that is still to come."""
    if stage not in _BOILING or sorted(each.name for _, each in found) != ["done.hops", "recipe.hop"]:
        return found
    told, which = (next(pair for pair in found if pair[1].name == name) for name in ("done.hops", "recipe.hop"))
    called, name = str(told[1].slots.get("name", "")).lower(), str(which[1].slots.get("name", "")).lower()
    same = called in _THE_HOPS or called.removesuffix("s") == name.removesuffix("s")
    if not same or {"mass", "share"} & told[1].slots.keys() or "duration_s" in which[1].slots or not begins_with_figure(which[1]):
        return found
    slots = {**told[1].slots, "mass": which[1].slots["mass"], "name": which[1].slots["name"]}
    return [(told[0], told[1].model_copy(update={"slots": slots, "text": f"{told[1].text}, {which[1].text}"}))]


def late_but_in(found: list[Placed]) -> list[Placed]:
    """ "Forgot the 10 minute hops, only just chucked them in": the forgotten ones are in now."""
    forgotten = next((each for _, each in found if each.name == "unclear.forgot"), None)
    if forgotten is None or all(each.name != "done.hops" for _, each in found):
        return found
    told = {key: forgotten.slots[key] for key in ("name", "duration_s") if key in forgotten.slots}
    return [(place, each.model_copy(update={"slots": {**told, **each.slots}}) if each.name == "done.hops" else each) for place, each in found if each is not forgotten]


def of_hops(before: Intent, intent: Intent) -> Intent | None:
    """Hops that went in and so much of them, where it was not told."""
    bare = intent.name == "reading.mass" and begins_with_figure(intent)
    if not bare or before.name != "done.hops" or {"mass", "share"} & before.slots.keys():
        return None
    return before.model_copy(update={"slots": {**before.slots, "mass": intent.slots["mass"]}})
