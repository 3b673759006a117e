"""Something done, and with no stop between whether something is wise: "bag out is it ok to squeeze" tells nothing of squeezing."""

from __future__ import annotations

import re
from collections.abc import Callable

from conversations.intents import Understanding

_WHETHER = re.compile(r"(?<![,;.!?])\s(?:(?:and|so|but) )?(?=(?:is it (?:ok|okay|all ?right|fine|safe|bad)|(?:should|can|may|shall|do|must) (?:i|we)|does it matter|will it (?:hurt|matter)) )", re.IGNORECASE)
_ASKS_BEFORE = re.compile(r"\b(what|when|where|why|how|which|who|if|whether|or|ask|tell|know|wonder)\b", re.IGNORECASE)


def told_and_asked(text: str, read: Callable[[str], Understanding]) -> Understanding | None:
    """What is done, read by itself, and the question behind it, which is left to be answered where it was not read."""
    cut = _WHETHER.search(text)
    if cut is None or cut.start() == 0 or _ASKS_BEFORE.search(text[: cut.start()]):
        return None
    told, rest = read(text[: cut.start()]), text[cut.end() :].strip()
    if told.unread or not told.intents or not all(each.name.startswith("done.") for each in told.intents):
        return None
    asked = tuple(each for each in read(rest).intents if each.name.startswith("ask."))
    return Understanding(text=text, intents=(*told.intents, *asked), unread=() if asked else (rest,))
