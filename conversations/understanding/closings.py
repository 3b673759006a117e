"""Words that open or close a message and carry nothing ("quick one:", "btw", "lol"): it is read as if they were not there."""

from __future__ import annotations

import re
from functools import cache

from conversations.understanding.words import word_set

_BELONGS = re.compile(r"\b(my|your|his|her|our|their|the|a|an|best|to|for|of|with|and|or|not|say|said)$", re.IGNORECASE)
"""Before a closing word these make it a part of what is said: "ring my mate"."""
_BEHIND_A_FIGURE = re.compile(r"(?P<kept>\d\s?(?:degrees|degree|deg|°?c|l|litres|liters|litre|g|grams|cm|mins?|minutes)?|\b(?:in|out|oot|off|on|now|noo))[\s,]{1,4}like(?P<mark>[\s.!?]{0,4})$", re.IGNORECASE)
"""Of the north: "it's 66 like", "grain's in like"."""
_MIND = r"(?<!\bnever )(?<!\byou )(?<!\bin )(?<!\bmy )(?<!n't )(?<!nt )(?<!\bdo )mind"
"""Of the north and Wales as well: "didn't squeeze it mind"."""
_LONGEST_CLOSING = 40
_OVERRULES = re.compile(r"\s*any(way|how)s?\W+(just |let's |we |i |i'll )*(bottle|bottling|prime|cap|do it|go|keep|record)\b", re.IGNORECASE)
"""Here "anyway" is what is said: do it against advice."""
_MOST_OPENINGS = 4
"""One behind another: "oh, btw, quick one: ..."."""


@cache
def _closing() -> re.Pattern[str]:
    # The last letter may be drawn out: "yayyy".
    words = "|".join(sorted((f"{re.escape(each)}{re.escape(each[-1])}*" for each in word_set("closings")), key=len, reverse=True))
    return re.compile(rf"(?<=[\w):])[\s,.!-]{{1,8}}(?P<closing>{words}|{_MIND})(?P<mark>[\s.!?]*)$", re.IGNORECASE)


def without_closings(text: str) -> str:
    """A message without what only closes it; a question keeps its mark, and a closing word alone is left.

    >>> without_closings("is it done mate?"), without_closings("66 lolll ta"), without_closings("ta"), without_closings("ring my mate")
    ('is it done?', '66', 'ta', 'ring my mate')
    """
    # Only the end is looked at, so that a long message costs no more than a short one.
    text = _BEHIND_A_FIGURE.sub(r"\g<kept>\g<mark>", text)
    while found := _closing().search(text, max(0, len(text) - _LONGEST_CLOSING)):
        said = text[: found.start()]
        if _BELONGS.search(said[-12:]):
            break
        # "4 litres if that's ok?" asks no more than whether it may.
        text = said + ("?" if "?" in found["mark"] and not found["closing"].lower().startswith("if ") else "")
    return text


@cache
def _opening() -> re.Pattern[str]:
    anywhere, stopped = (
        "|".join(sorted((re.escape(each) for each in word_set(name)), key=len, reverse=True))
        for name in ("openings_around", "openings_with_a_stop")
    )
    stop = r"(?:\s{0,3}(?:[,:;!…–—]|[.-](?!\d)))+"
    return re.compile(rf"\s*(?:(?:{anywhere})(?:{stop}\s*|\s+)|(?:{anywhere}|{stopped}){stop}\s*)(?=\S)", re.IGNORECASE)


def without_openings(text: str) -> str:
    """A message without what only leads to it; such words alone are left.

    >>> without_openings("quick one: 1.020"), without_openings("Right, oh and dry hop 10 g"), without_openings("right 66"), without_openings("anyway")
    ('1.020', 'dry hop 10 g', 'right 66', 'anyway')
    >>> without_openings("anyway, bottle it")
    'anyway, bottle it'
    """
    text = text.replace("’", "'") if "’" in text[:_LONGEST_CLOSING] else text
    begin = 0
    for _ in range(_MOST_OPENINGS):
        found = _opening().match(text, begin)
        if found is None or _OVERRULES.match(text, begin):
            break
        begin = found.end()
    return text[begin:]


def without_surroundings(text: str) -> str:
    """What a message says, without what only opens or closes it."""
    return without_openings(without_closings(text))
