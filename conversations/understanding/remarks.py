"""A smell told beside what was just done is a remark, and asks for no fault: "yeast is in, smells like bread"."""

from __future__ import annotations

import re

from conversations.intents import Intent

_ASKS = re.compile(r"\?|\b(why|normal|right|ok|okay|wrong|should|worry|worried|bad|off|odd|strange|weird|funny)\b", re.IGNORECASE)
_DONE = ("done.", "hops.")
_OF_THE_BEER = frozenset({"ferment", "bottle", "condition", None})
"""In the weeks a smell may be a fault, whatever was done beside it."""


def without_remarks(intents: tuple[Intent, ...], text: str, stage: str | None) -> tuple[Intent, ...]:
    """What a message says without a smell that it only remarks on."""
    if stage in _OF_THE_BEER or not any(each.name.startswith(_DONE) for each in intents) or _ASKS.search(text):
        return intents
    return tuple(each for each in intents if each.name != "ask.fault")
