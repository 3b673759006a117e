"""What is asked of bottles of several sizes at once: whether they are enough, and how much sugar goes into each.

Nothing is counted by asking. Each size of the message belongs to the one question, however many there are.
"""

from __future__ import annotations

import re

from conversations.intents import Context, Intent, Measured, Understanding
from conversations.understanding.asking import asks, has_question_word
from conversations.understanding.bottles_in_plain import NUMBER, PRINTED_ML, number_said
from conversations.understanding.words import LONGEST_TEXT

_SIZE = rf"(?:(?P<ml>\d{{3,4}}) ?(?:mls?|millilit(?:re|er)s?)\b|(?P<cl>\d\d) ?cl\b|(?P<half>half[- ](?:a )?lit(?:re|er)s?\b)|(?P<litre>0\.\d+|1|2) ?(?:l|lit(?:re|er)s?)\b|(?P<printed>{PRINTED_ML})(?:'?s)?\b)"
_LOT = re.compile(rf"\b(?:(?P<count>{NUMBER}) ?(?:x |× |of |bottles of |bottles at )?(?:the )?)?{_SIZE}(?: (?:bottles?|ones|each))*", re.IGNORECASE)
_ENOUGH = re.compile(r"\b(?:enough|sufficient|suffice|too few)\b", re.IGNORECASE)
_SUGAR = re.compile(r"\b(?:how much|how many grams(?: of)?|what) (?:\w+ )?(?:sugar|dextrose)\b|\b(?:sugar|dextrose) (?:for|in|per|into)\b", re.IGNORECASE)
_IDLE = re.compile(
    r"\b(?:how|much|many|grams|of|priming|table|white|sugar|dextrose|do|does|did|i|we|need|should|shall|would|will|have|got|put|add|use|goes?|go|for|in|into|per|to|if|with|the|a|each|every|bottles?|ones?|size|sizes|big|small|large|little|is|are|that|this|it|they|them|those|these|be|enough|and|plus|or|all|altogether|total|so|ok|only|just|what|about|then|i've|we've|my|our|both|sufficient|beer|batch|good|empty|clean)\b",
    re.IGNORECASE,
)
_HAVE = re.compile(r"\b(?:i|we|i've|we've) ?(?:have|got|have got)\b|\b(?:i've|we've) got\b", re.IGNORECASE)
ENDS = ("", "_two", "_three", "_four", "_five", "_six")
"""Behind the names of slots: each size has its own count and volume."""


def _size(found: re.Match[str]) -> Measured:
    if found["half"]:
        return Measured(value=500, unit="millilitre")
    if found["litre"]:
        return Measured(value=float(found["litre"]) * 1000, unit="millilitre")
    return Measured(value=float(found["cl"]) * 10 if found["cl"] else float(found["ml"] or found["printed"]), unit="millilitre")


def bottles_asked(text: str, context: Context) -> Understanding | None:
    """What a message asks of bottles of several sizes; None where it asks no such thing."""
    said = text[:LONGEST_TEXT]
    enough, sugar = _ENOUGH.search(said) is not None, _SUGAR.search(said) is not None
    if enough == sugar or not ("?" in said or asks(said) or has_question_word(said) or enough):
        return None
    found = list(_LOT.finditer(said))
    if not 1 < len(found) <= len(ENDS):
        return None
    rest = _LOT.sub(" ", said)
    if re.search(r"[^\W_]", _IDLE.sub(" ", rest)):
        # Another word may make it another question: "are 8 500s enough for 6 litres of stout".
        return None
    counted = [number_said(each["count"]) if each["count"] else 0 for each in found]
    if enough and not all(counted):
        return None
    if any(counted) and not all(counted):
        return Understanding(text=said, unread=(said,))
    slots: dict[str, object] = {}
    for end, number, each in zip(ENDS, counted, found, strict=False):
        slots["volume" + end] = _size(each)
        if number:
            slots["count" + end] = float(number)
    if sugar:
        return Understanding(text=said, intents=(Intent(name="ask.priming" if all(counted) else "ask.sugar_by_size", slots=slots, text=said),))
    asked = Intent(name="ask.bottles_enough", slots=slots, text=said)
    if _HAVE.search(said) and context.stage not in (None, "bottle", "condition"):
        there = (Intent(name="kit.bottles", slots={"count": float(number), "volume": _size(each)}, text=said) for number, each in zip(counted, found, strict=True))
        return Understanding(text=said, intents=(*there, asked))
    return Understanding(text=said, intents=(asked,))
