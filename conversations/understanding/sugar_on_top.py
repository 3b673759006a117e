"""More sugar into bottles that are filled, asked about or told: "can I add more sugar to the bottles", "opened them and put some in".

It is asked at every stage, since an older batch may stand in its bottles; what is asked before capping ("do I put the sugar in
each bottle or in the bucket") and how much sugar a size of bottle takes are other questions.
"""

from __future__ import annotations

import re

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.asking import asks, has_question_word
from conversations.understanding.words import LONGEST_TEXT

_SUGAR = r"(?:sugar|dextrose|glucose|honey|syrup|priming solution|(?:carbonation|priming|fizz) (?:drops?|tablets?))"
_MORE = re.compile(
    rf"\b(?:more|extra|another|additional|second)\b(?: [\w.]+){{0,5}}? {_SUGAR}\b|\b{_SUGAR}\b(?: [\w.]+){{0,3}} (?:again|a second time|twice|on top)\b|\b(?:double|top up|topping up|increase|up)\b[^,;.]*\b{_SUGAR}\b",
    re.IGNORECASE,
)
_SWEET = re.compile(rf"\b{_SUGAR}\b", re.IGNORECASE)
_BOTTLES = re.compile(r"\b(?:bottles?|caps?|ones)\b", re.IGNORECASE)
_CLOSED = re.compile(
    r"\b(?:capped|corked|sealed|closed|conditioning)\b|\b(?:open|opened|opening|reopen|reopened|uncap|uncapped|unscrew|uncapping|re-?cap)\b(?! question)|\b(?:after|since) (?:i |we |i've )?(?:bottled|bottling|capping|it was bottled)\b|\b(?:already|are|is) (?:in (?:the )?)?bottle[sd]\b",
    re.IGNORECASE,
)
_SURELY = re.compile(r"\b(?:capped|re-?cap|(?:after|since) (?:i |we |i've )?(?:bottled|bottling|capping|it was bottled))\b", re.IGNORECASE)
_FLAT = re.compile(r"\b(?:flat|no fizz|not fizzy|hardly (?:any )?fizz\w*|more fizz|fizzier)\b", re.IGNORECASE)
_BEFORE = re.compile(r"\b(?:before|as i|when i|while i|empty|bucket|batch priming|next time|next batch|next brew)\b", re.IGNORECASE)
_PUT = re.compile(r"\b(?:add(?:ed|ing)?|put(?:ting)?|gave|give|spoon(?:ed)?|drop(?:ped)?|pour(?:ed)?|stick|stuck|tip(?:ped)?|chuck(?:ed)?|threw|throw|double[ds]?|top(?:ped|ping)? up|increase|go|prime[ds]?|use)\b", re.IGNORECASE)
_NEEDED = re.compile(r"\b(?:need|want|help|hurt|ok|okay|safe|fine|too late|what if|take|enough|dangerous|bad)\b", re.IGNORECASE)
_LEAVE = re.compile(r"\b(?:can|could|should|shall|may|must|might|would|ok to|okay to|safe to|better to|worth|too late to|possible to|dare) ?(?:i|we|it|me)?\b", re.IGNORECASE)
_OF_A_SIZE = re.compile(r"\b(?:big|bigger|large|larger|small|smaller|half[- ]lit(?:re|er)|lit(?:re|er)|\d{3} ?(?:ml)?)\b", re.IGNORECASE)
_AMOUNT = re.compile(r"\b(?:why|which|how (?:much|many))\b", re.IGNORECASE)
_MASH_TUN = re.compile(r"\b(?:boil|mash|pot|kettle|wort|fermenter|fermentor|bucket|tea|coffee|stronger|kit|recipe|stock|shop|buy|bought)\b", re.IGNORECASE)
_DID = re.compile(
    r"\W*(?:(?:ok|so|well|oh|right|and|then|just|now|today) )*(?:i|we|i've|we've|ive|weve|have)? ?(?:(?:have|just|then|now|already|stupidly|went and) )*"
    r"(?:(?:opened|uncapped|reopened)\b[^?]*\band (?:then |also |i |we )*)?(?:(?:re)?(?:put|added|gave|spooned|dropped|poured|stuck|tipped|chucked|threw))\b",
    re.IGNORECASE,
)
_NOT_DONE = re.compile(r"n['’]t\b|\b(?:didnt|havent|hasnt|dont|not|never|no|if|wish|want|meant|should|would|could|might|will|going to|gonna|almost|nearly|mate|friend|brother|dad|neighbour|they|he|she|his|her|their|your|forgot)\b", re.IGNORECASE)
_ORDER = re.compile(r"\W*(?:please |just |now |let's |lets )*(?:add|put|give|spoon|top up|double)\b(?! me\b| a note)", re.IGNORECASE)
_MASS = re.compile(r"\b(\d{1,3}(?:[.,]\d{1,2})?) ?(?:g|grams?|gr)\b(?! (?:each|per|a bottle|in each|to each))", re.IGNORECASE)
_BARE = re.compile(rf"\W*(?:so |and |what about |maybe |just )*(?:some |a bit |a little )?(?:more|extra) {_SUGAR}(?: then| in)?\W*", re.IGNORECASE)
_STAGES_OF_BEER = ("bottle", "condition")


def _of_filled_bottles(text: str, stage: str | None) -> bool:
    """Whether a message is of sugar on top of what the bottles hold."""
    if _SWEET.search(text) is None or _BEFORE.search(text) or _MASH_TUN.search(text):
        return False
    more, bottles, closed = _MORE.search(text), _BOTTLES.search(text), _CLOSED.search(text)
    if _SURELY.search(text) or (closed is not None and (bottles is not None or stage in _STAGES_OF_BEER or more is not None)):
        return True
    if bottles is not None and _FLAT.search(text):
        return True
    if more is not None and (bottles is not None or stage in _STAGES_OF_BEER):
        return True
    return stage == "condition" and bottles is not None


def told_on_top(text: str, stage: str | None) -> bool:
    """Whether more sugar is told to be in the bottles already.

    >>> told_on_top("I opened them and added sugar", "condition"), told_on_top("I added the sugar before capping the bottles", "bottle")
    (True, False)
    """
    told = "?" not in text and _DID.match(text) is not None and _NOT_DONE.search(text) is None
    return told and stage in _STAGES_OF_BEER and _of_filled_bottles(text, stage)


def asked_on_top(text: str, stage: str | None) -> bool:
    """Whether leave is asked to put more sugar into bottles, or an order says so.

    >>> asked_on_top("can I add more sugar to the bottles?", "ferment"), asked_on_top("how do I add priming sugar", "bottle")
    (True, False)
    >>> asked_on_top("do the big bottles need more sugar", "bottle")
    False
    """
    if stage == "condition" and _BARE.fullmatch(text):
        return True
    closed = _CLOSED.search(text) is not None
    if (_OF_A_SIZE.search(text) or _AMOUNT.search(text)) and not closed:
        return False
    if stage == "condition" and _SWEET.search(text) and _PUT.search(text) and _LEAVE.search(text) and not _MASH_TUN.search(text) and not _BEFORE.search(text):
        return True
    asked = asks(text) or has_question_word(text) or "?" in text or _LEAVE.search(text) is not None or _ORDER.match(text) is not None
    return asked and (_PUT.search(text) is not None or _NEEDED.search(text) is not None) and _of_filled_bottles(text, stage)


def sugar_on_top(text: str, context: Context) -> Understanding | None:
    """What a message asks or tells of more sugar for filled bottles; None where it does neither."""
    said = text[:LONGEST_TEXT]
    if told_on_top(said, context.stage):
        mass = _MASS.search(said)
        slots = {"grams": float(mass[1].replace(",", "."))} if mass is not None else {}
        return Understanding(text=said, intents=(Intent(name="done.sugar_on_top", slots=slots, text=said),))
    if asked_on_top(said, context.stage):
        return Understanding(text=said, intents=(Intent(name="ask.sugar_on_top", text=said),))
    return None
