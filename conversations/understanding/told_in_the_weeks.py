"""What is told once it ferments or is in the bottle, put so that it is taken whole: two sizes of bottles, hops of a boil that is over, a bottle that was tasted.

"Eight 500 ml and three 330 ml" are eleven bottles, and no 8 degrees; and what went in at the boil starts no boil.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.asking import asks, has_question_word
from conversations.understanding.bottle_tried import bottle_tried
from conversations.understanding.bottled_with_sugar import bottled_with_sugar, with_millilitres
from conversations.understanding.bottles_asked import bottles_asked
from conversations.understanding.bottles_gone import bottles_gone
from conversations.understanding.bottles_in_plain import BOTTLE_SIZE, NUMBER, bottles_told, number_said
from conversations.understanding.hops_after_boil import hops_after_boil
from conversations.understanding.no_reading import no_reading
from conversations.understanding.numbered_names import numbered_name
from conversations.understanding.sugar_on_top import sugar_on_top
from conversations.understanding.words import LONGEST_TEXT

_BOIL_OVER = ("ferment", "bottle", "condition")
_OF = r"(?: ?[x×] ?| of | bottles of | bottles at | )"


def _lot(count: str, size: str) -> str:
    return rf"(?P<{count}>{NUMBER}){_OF}(?P<{size}>{BOTTLE_SIZE})(?: (?:bottles|ones|each))*"


_TWO = re.compile(
    rf"\W*+(?P<lead>(?:[a-z']+[\s:,]+){{0,4}}?){_lot('first', 'one')}(?:\s*,\s*|\s+)(?:(?:and|plus|\+|&) )?{_lot('second', 'other')}(?P<end>(?: [a-z']+){{0,3}})\W*",
    re.IGNORECASE,
)
_LOT = re.compile(rf"\b{NUMBER}{_OF}{BOTTLE_SIZE}", re.IGNORECASE)
_FULL = re.compile(r"(?:(?:i|we|i've|we've|have|just|now|all|it|so|ok|right|got|that's) )*(?:bottled|bottling|filled|capped)(?: (?:it|all|up|into|in|now|just|today|done|got|have|made))*", re.IGNORECASE)
_THERE = re.compile(r"(?:(?:i|we|i've|we've|have|got|so|ok|there|are|that's|it's|it|made|makes|came|to|in|all) ?)*", re.IGNORECASE)
_IDLE = re.compile(r"(?:(?: (?:bottles|now|today|in|all|altogether|total|done|full|filled|ready|please|each|so|far))*)", re.IGNORECASE)

_AT_THE_BOIL = re.compile(r"\b(?:in|into|at|during|for) (?:the )?(?:(?:start|beginning|end|middle) of )?(?:the )?boil\b(?!ing)", re.IGNORECASE)
_PUT = re.compile(r"\b(?:went|put|added|chucked|threw|tipped|dropped)\b", re.IGNORECASE)
_NOT_TOLD = re.compile(
    r"\?|n['’]t\b|\b(?:didnt|havent|hasnt|dont|wasnt|isnt|cant|couldnt|wouldnt|shouldnt|not|never|no|if|when|would|should|could|will|might|may|next|last|his|her|their|dry|fermenter|wish|want|meant|forgot|almost|nearly|always|usually|says?|said|back|again|now|start|begin|timer|remind|undo)\b(?! of the boil)",
    re.IGNORECASE,
)
_ASKED = re.compile(r"\W*(?:what|which|who|how|why|where|is|are|was|were|did|do|does|has|have|had)\b", re.IGNORECASE)
_MOST_WORDS = 16
_ONE_MASS = re.compile(r"\b\d{1,4}(?:[.,]\d{1,3})? ?(?:g|grams?|oz|ounces?)\b", re.IGNORECASE)

_OPENED = re.compile(
    r"\W*(?:(?:just|so|ok|i|we|i've|we've|have|had|and) )*(?:opened|tried|cracked|drank|had|poured|tasted) (?:open )?(?:another|one|a|the|my)\b(?: (?:more|other|first|second|third|last|next|bottle|one|today|tonight|of|them|it))*\W+(?P<rest>.*\b(?:10|\d(?:[.,][05])?) ?(?:/|out of) ?(?:10|ten)\b.*)",
    re.IGNORECASE | re.DOTALL,
)


def two_sizes(text: str) -> str | None:
    """Bottles of two sizes in words that the sentences read; empty where such bottles stand among words that are not known, None where there are none.

    >>> two_sizes("bottling now: eight 500 ml and three 330 ml")
    'bottled 8 x 500 ml and 3 x 330 ml'
    >>> two_sizes("got six 500 ml and nine 330 ml bottles")
    '6 x 500 ml and 9 x 330 ml'
    >>> two_sizes("eight 500 ml")
    """
    found = _TWO.fullmatch(text)
    if found is None:
        return None
    lead = re.sub(r"[\s:,]+", " ", found["lead"]).strip()
    if not _IDLE.fullmatch(found["end"]):
        return ""
    lots = f"{number_said(found['first'])} x {found['one']} and {number_said(found['second'])} x {found['other']}"
    if _FULL.fullmatch(lead):
        return f"bottled {lots}"
    return lots if _THERE.fullmatch(f"{lead} " if lead else "") else ""


def at_the_boil(text: str) -> bool:
    """Whether a message tells what went in at the boil, and nothing else.

    >>> at_the_boil("the Fuggle went in at the boil"), at_the_boil("should the Fuggle have gone in at the boil?")
    (True, False)
    """
    told = _AT_THE_BOIL.search(text) and _PUT.search(text) and not _NOT_TOLD.search(text)
    # "... and the gravity is 1.012" is a second thing.
    if re.search(r"\d|\band\b", _ONE_MASS.sub("", text, count=1), re.IGNORECASE):
        return False
    return bool(told) and not _ASKED.match(text) and len(text.split()) <= _MOST_WORDS and not re.search(r"[;:]|[.,](?!\d)\s*\S", text)


def _both(told: Understanding) -> bool:
    return not told.unread and [each.name for each in told.intents] == ["bottle.count"] * 2


def _counts(told: Understanding) -> bool:
    return not told.unread and bool(told.intents) and all(each.name == "bottle.count" for each in told.intents)


def told_in_the_weeks(text: str, context: Context, understand: Callable[[str, Context], Understanding]) -> Understanding | None:
    """What a message tells in such a way; None where it tells nothing of it."""
    free = not (context.expects or "").startswith("tasting.")
    if free and (with_sugar := bottled_with_sugar(text, context, lambda rest, beside: told_in_the_weeks(rest, beside, understand) or understand(with_millilitres(rest), beside))) is not None:
        return with_sugar
    said = with_millilitres(text[:LONGEST_TEXT]) if context.stage in _BOIL_OVER else text[:LONGEST_TEXT]
    if free and (asked := bottles_asked(text, context) or bottle_tried(text, context) or bottles_gone(text, context)) is not None:
        return asked
    if (other := no_reading(text, context, understand) or numbered_name(text, context, understand)) is not None:
        return other
    if free and (boiled := hops_after_boil(text, context, understand)) is not None:
        return boiled
    if free and (on_top := sugar_on_top(said, context)) is not None:
        return on_top
    if context.stage in _BOIL_OVER and free and at_the_boil(said):
        return Understanding(text=said, intents=(Intent(name="note", slots={"text": said.strip()}, text=said),))
    if context.stage == "condition" and free and "?" not in said and (opened := _OPENED.fullmatch(said)) is not None:
        return Understanding(text=said, intents=(Intent(name="tasting.begin", slots={"text": opened["rest"].strip()}, text=said),))
    if "?" not in said and not asks(said) and not has_question_word(said) and len(_LOT.findall(said)) > 1 and not (said != text and _counts(understand(text, context))):
        plain = understand(said, context)
        sizes = "" if _both(plain) else two_sizes(said)
        told = understand(sizes, context) if sizes else plain
        if sizes and _both(told):
            return Understanding(text=said, intents=told.intents)
        if plain.unread and plain.intents:
            # One of two lots alone would be a wrong count.
            return Understanding(text=said, unread=(said,))
    if said != text and not asks(said) and not has_question_word(said) and not _counts(understand(text, context)):
        plain = understand(said, context)
        if _counts(plain):
            return Understanding(text=text[:LONGEST_TEXT], intents=plain.intents)
    return bottles_told(text, context, understand)
