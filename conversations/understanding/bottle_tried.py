"""A bottle that was tried, with how it was: "tried the first small one, hardly any fizz".

What it was like is told in few words behind; what asks, or tells more, is read as it was.
"""

from __future__ import annotations

import re

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.words import LONGEST_TEXT

_STOP = r"[\s,.;:!–—-]+"
_BOTTLE = r"(?:(?:an?|one|another|the|my|our|first|second|third|next|last|test|small|little|big|large|\d{3} ?ml|half[- ]litre|bottle|bottles|ones?|of the|of them|beer|of these|it))"
_LEAD = re.compile(
    rf"\W*(?:(?:ok|so|well|just|i|we|i've|we've|have) )*(?:(?:(?:tried|opened|cracked|had|drank|tasted|popped|poured|sampled)(?: open)?(?: {_BOTTLE})+|(?:the |my )?(?:first|second|next|test|last)(?: {_BOTTLE})*)(?: (?:open|today|tonight|last night|just now|now|yesterday|early))*)"
    rf"(?:{_STOP}|\s)(?P<rest>.+)",
    re.IGNORECASE | re.DOTALL,
)
_BEFORE = r"(?:(?:and|but|it|it's|its|there|there's|theres|was|is|has|had|with|got|a|an|bit|pretty|rather|quite|still|really|very|way|far|much|just|so|all|i|the) ){0,6}"
_FIZZ = r"(?:fizz|fizzy|fizziness|bubbles|bubbly|gas|carbonation|carbonated|hiss|life)"
_BEHIND = r"(?: (?:at all|in it|to it|yet|so far|really|tbh|as anything|as a pancake|everywhere|all over(?: the \w+)?|over(?: the \w+)?|though|there|on it|in the glass)){0,4}"
_HOW: dict[str, str] = {
    "flat": rf"(?:(?:hardly|barely|scarcely|next to no|almost no|no|not any|not much|little|very little|zero)(?: any| a)? {_FIZZ}|not {_FIZZ}|dead flat|completely flat|flat|dead)",
    "gushed": r"(?:gushed?|gushing|gushes|foamed(?: over)?|sprayed|exploded|erupted|fountained|overflowed|went (?:off|up) like a (?:volcano|fountain|rocket)|a volcano|volcano)",
    "lively": rf"(?:too (?:fizzy|lively|gassy|bubbly)|too much {_FIZZ}|over[- ]?carbonated|very (?:fizzy|lively)|overly fizzy)",
    "fine": rf"(?:(?:perfect|lovely|great|good|nice|right|proper|plenty of|just right|spot on) {_FIZZ}|{_FIZZ} (?:is |was )?(?:perfect|great|good|spot on|just right|fine)|nicely (?:fizzy|carbonated)|perfectly (?:fizzy|carbonated))",
}
_HOWS = [(how, re.compile(rf"{_BEFORE}{words}{_BEHIND}\W{{0,4}}", re.IGNORECASE)) for how, words in _HOW.items()]


_CHIPPED = re.compile(r"\b(chip(s|ped)?|scratch(es|ed)?|hairline)\b", re.IGNORECASE)
_CONTRARY = re.compile(r"\b(?:too|hardly|barely|scarcely|not|no|never|over[- ]?carbonated|flat)\b|n['’]t\b|\b(?:isnt|wasnt|arent)\b", re.IGNORECASE)


def not_as_found(how: object, text: str) -> bool:
    """Whether a bottle is not what a likely meaning makes of it: one that is chipped, or a fine one of which the contrary is said.

    >>> not_as_found("fine", "way too fizzy"), not_as_found("fine", "nicely fizzy")
    (True, False)
    """
    return _CHIPPED.search(text) is not None or (how == "fine" and _CONTRARY.search(text) is not None)


def bottle_tried(text: str, context: Context) -> Understanding | None:
    """What a bottle was like that was tried; None where a message tells no such thing.

    >>> from datetime import UTC, datetime
    >>> context = Context(now=datetime(2026, 3, 14, 10, tzinfo=UTC), stage="condition")
    >>> bottle_tried("tried the first small one, hardly any fizz", context).intents[0].slots
    {'how': 'flat'}
    >>> bottle_tried("tried the first one, lots of chocolate", context)
    """
    said = text[:LONGEST_TEXT]
    if context.stage != "condition" or "?" in said:
        return None
    found = _LEAD.fullmatch(said)
    if found is None:
        return None
    how = next((name for name, words in _HOWS if words.fullmatch(found["rest"])), None)
    if how is None:
        return None
    return Understanding(text=said, intents=(Intent(name="bottle.found", slots={"how": how}, text=said.strip()),))
