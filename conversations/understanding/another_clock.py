"""A second clock in one message: "timer 65 min for the mash and another 25 min for the bread" lengthens none."""

from __future__ import annotations

import re

from conversations.understanding.rows import Placed

_ANOTHER_ONE = re.compile(r"\W*(and |n |plus )?(another|plus|also|extra)\b", re.IGNORECASE)
_OF_A_RECIPE = ("recipe.mash", "recipe.boil")


def another_clock(found: list[Placed]) -> list[Placed]:
    """ "Timer 65 min for the mash and another 25 min for the bread": beside a new clock that is a second one, of another name."""
    kept: list[Placed] = []
    begun: set[str] = set()
    for place, intent in found:
        name = str(intent.slots.get("name", "")).lower()
        if intent.name == "timer.start":
            begun.add(name)
        elif intent.name == "timer.extend" and begun and name and name not in begun and _ANOTHER_ONE.match(intent.text):
            intent = intent.model_copy(update={"name": "timer.start"})
        elif intent.name in _OF_A_RECIPE and begun and intent.slots.keys() == {"duration_s"}:
            # "eggs 6 minutes and mash 60 minutes"
            intent = intent.model_copy(update={"name": "timer.start", "slots": {"name": intent.name.removeprefix("recipe."), **intent.slots}})
        kept.append((place, intent))
    return kept
