"""Yeasts that go by a code of letters and figures: a name, and never a number: "X-12 yeast", "pitched the X-12".

The code is set aside before the message is read, so that its figures cannot be taken for degrees.
"""

from __future__ import annotations

import re

from conversations.intents import Intent

_CODE = re.compile(r"(?<![\w.-])(?!(?:pre|mid|sub|non|co|no|re|ex|to|at|by|day|ph)-)(?P<code>[a-z]{1,3}-\d{1,4}[a-z]?)(?![\w-]|\.\d)", re.IGNORECASE)
_OF_YEAST = re.compile(r"\b(yeast|pitch(ed|ing)?)\b", re.IGNORECASE)
_TYPE = re.compile(r"\b(ale|lager|wheat)\b", re.IGNORECASE)
_NO_MORE = re.compile(
    r"\W*(?:(?:it|its|it's|it’s|the|my|our|is|was|using|use|used|with|got|have|had|i|we|i'm|am|going|for|yeast|yeasts|ale|lager|wheat|dry|dried|liquid|sachet|packet|pack|of|a|an|this|time|called|named|will|be"
    r"|beer|says|it|sachets|one|and)\b\W*)*",
    re.IGNORECASE,
)


def yeast_code(text: str) -> tuple[str, Intent] | None:
    """What is left of a message without the code of a yeast, empty where it says no more, and the yeast; None without one.

    >>> yeast_code("its the X-12 yeast")[1].slots, yeast_code("pitched the X-12 at 20")[0]
    ({'name': 'X-12'}, 'pitched the yeast at 20')
    >>> yeast_code("pre-60 yeast") is None, yeast_code("gate X-12") is None
    (True, True)
    """
    found = list(_CODE.finditer(text))
    if len(found) != 1 or not _OF_YEAST.search(text):
        return None
    code, kind = found[0]["code"].upper(), _TYPE.search(text)
    named = Intent(name="recipe.yeast", slots={"name": f"{code} {kind[0].lower()} yeast" if kind else code}, text=text[:60])
    without = f"{text[: found[0].start()]}yeast{text[found[0].end() :]}"
    without = re.sub(r"\byeast (?:(?:ale|lager|wheat|dry|liquid) )?yeast\b|\byeast (?:was |is )?yeast\b", "yeast", without, flags=re.IGNORECASE)
    return ("" if _NO_MORE.fullmatch(without) and "?" not in text else without), named
