"""Bottles that were drunk or given away, told one by one, and how many are left: "drank two of the small ones", "how many have I got left"."""

from __future__ import annotations

import re

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.bottles_in_plain import NUMBER, number_said
from conversations.understanding.words import LONGEST_TEXT

_COUNT = rf"(?P<count>{NUMBER}|a couple|a few|an?|another(?: {NUMBER})?|the first|my first)"
_SIZE = r"(?P<size>small|little|big|large|\d{3} ?(?:ml)?|half[- ]litre)(?:s|'s)?"
_WHO = r"(?:(?:ok|so|well|just|and|then|we|i|i've|we've|ive|have|now|already) )*"
_WHEN = r"(?: (?:last night|tonight|today|yesterday|this (?:morning|evening|afternoon)|on \w+day|already|now|since|so far|with (?:dinner|lunch|food|friends|mates)|at the weekend|after work))*"
_GONE = re.compile(
    rf"\W*{_WHO}(?:(?P<drank>drank|drunk|finished|emptied|polished off|sank|necked|downed)|(?P<had>had)|(?P<gave>gave(?: away)?|given|sold|took)) {_COUNT}"
    rf"(?: more)?(?: of)?(?: the| my)?(?: {_SIZE})?(?P<thing>(?: (?:bottles?|ones?|beers?|of (?:them|these|it|those)|them))*)(?P<to> away| to (?:my |the |a |our )?\w+(?: \w+)?| for (?:my |the |a )?\w+)?{_WHEN}\W*",
    re.IGNORECASE,
)
_LEFT = re.compile(
    r"\W*(?:so |and |ok |well )*how many(?: (?:full|of the|of them|bottles?|beers?|ones?|small|big))* (?:have i got|have we got|do i have|do we have|do i still have|have i|are|are there|is|did i|of them are)?(?: (?:still|now))*(?: ?(?:left|remaining|in stock|over|to go|to drink))(?: (?:of (?:it|them|this|this beer|this batch|the \w+)|now|to drink|then))*\W*",
    re.IGNORECASE,
)
_GOT = re.compile(r"\W*how many (?:bottles|beers)(?: of (?:it|this|beer))? (?:have i|have we|do i|do we|are)(?: (?:got|have|there))*(?: now| in all| altogether)?\W*", re.IGNORECASE)
_OPENED = re.compile(
    rf"\W*{_WHO}(?:opened|cracked|popped|uncapped)(?: open)? (?:an?|one|another|the (?:first|second|next|last))(?: of)?(?: the| my)?(?: {_SIZE})?(?: (?:bottles?|ones?|one of them|of them))*(?: open)?{_WHEN}\W*",
    re.IGNORECASE,
)
_FEW = {"a couple": 2, "a": 1, "an": 1, "another": 1, "the first": 1, "my first": 1}


def _number(said: str) -> int | None:
    lowered = said.lower()
    if lowered.startswith("another "):
        return number_said(lowered.removeprefix("another "))
    if lowered == "a few":
        return None
    return _FEW.get(lowered) or number_said(lowered)


def bottles_gone(text: str, context: Context) -> Understanding | None:
    """The bottles that a message tells to be gone, or that it asks after; None where it does neither.

    >>> from datetime import UTC, datetime
    >>> context = Context(now=datetime(2026, 3, 14, 10, tzinfo=UTC), stage="condition")
    >>> bottles_gone("drank two of the small ones", context).intents[0].slots
    {'count': 2, 'size': 'small'}
    >>> bottles_gone("drank two coffees", context), bottles_gone("had a beer in the pub", context)
    (None, None)
    """
    said = text[:LONGEST_TEXT]
    if context.stage == "bottle" and _GOT.fullmatch(said):
        return Understanding(text=said, intents=(Intent(name="ask.bottles_counted", text=said),))
    if context.stage != "condition":
        return None
    if _LEFT.fullmatch(said) or _GOT.fullmatch(said):
        return Understanding(text=said, intents=(Intent(name="ask.bottles_left", text=said),))
    if "?" not in said and _OPENED.fullmatch(said):
        return Understanding(text=said, intents=(Intent(name="bottle.opened", text=said),))
    found = None if "?" in said else _GONE.fullmatch(said)
    if found is None or (number := _number(found["count"])) is None:
        return None
    named, sized = found["thing"].strip(), found["size"]
    drunk = found["drank"] and found["count"].lower() not in ("a", "an")
    if not (named or sized or drunk) or (found["had"] and not (sized or "of" in named or "bottle" in named or found["count"].lower() in ("the first", "my first"))):
        # "Had a beer" may be anybody's.
        return None
    if found["gave"] and not ((sized or "of " in named or "them" in named or "beer" in named) and (found["to"] or found["gave"].lower() in ("gave away", "sold"))):
        # "Gave six bottles to my brother" may be empty ones.
        return None
    slots: dict[str, object] = {"count": number}
    if sized:
        slots["size"] = sized.lower()
    return Understanding(text=said, intents=(Intent.model_validate({"name": "bottle.gone", "slots": slots, "text": said}),))
