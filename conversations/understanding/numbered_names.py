"""Names of beers that end in a number, "open IPA number 3", "diary of porter 2": the number belongs to the name.

It is written as a word while the message is read, and put back into what was read.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.words import LONGEST_TEXT

_DIGITS = ("nought", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_OPENS = r"\W*(?:please )?(?:open|switch to|go to|show(?: me)?|diary of|diary for|recipe of|recipe for|notes of|notes on|brew \d+(?:[.,]\d+)? ?(?:l|litres?|liters?|gallons?) of|tasting notes of)(?: the| my)?"
_NAMED = re.compile(rf"(?P<lead>{_OPENS}) (?P<name>(?:[a-z][a-z'-]+ ){{1,3}}?)(?P<number>(?:(?:number|no\.?|nr\.?|#) ?)?\d{{1,2}})\W*", re.IGNORECASE)
_NO_BEER = re.compile(r"\b(?:batch|brew|beer|timer|reminder|bottle|fermenter|page|day|week|stage|step|note|photo|picture|number|of|at|to|in|for|from|last|next|first|litres?|kit|pot)\b", re.IGNORECASE)
_KINDS = ("brew.start", "batch.switch", "ask.diary", "diary.", "picture.", "export.batch")


def numbered_name(text: str, context: Context, understand: Callable[[str, Context], Understanding]) -> Understanding | None:
    """What a message says of a beer whose name ends in a number; None where none is named so.

    >>> from datetime import UTC, datetime
    >>> from conversations.understanding.understand import understand
    >>> told = numbered_name("open IPA number 3", Context(now=datetime(2026, 3, 14, 10, tzinfo=UTC)), understand)
    >>> [each.slots for each in told.intents]
    [{'name': 'IPA number 3'}]
    """
    said = text[:LONGEST_TEXT]
    found = _NAMED.fullmatch(said)
    if found is None or _NO_BEER.search(found["name"]):
        return None
    word = "number" + "".join(_DIGITS[int(digit)] for digit in re.sub(r"\D", "", found["number"]))
    told = understand(f"{found['lead']} {found['name']}{word}", context)
    if told.unread or len(told.intents) != 1 or not told.intents[0].name.startswith(_KINDS):
        return None
    (intent,) = told.intents
    slots = {key: value.replace(word, found["number"]) if isinstance(value, str) else value for key, value in intent.slots.items()}
    if slots == intent.slots:
        return None
    return Understanding(text=said, intents=(Intent(name=intent.name, slots=slots, text=said),))
