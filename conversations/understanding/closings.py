"""Words that close a message and carry nothing ("mate", "lol", "ta"): it is read as if they were not there."""

from __future__ import annotations

import re
from functools import cache

from conversations.understanding.words import word_set

_BELONGS = re.compile(r"\b(my|your|his|her|our|their|the|a|an|best|to|for|of|with|and|or|not|say|said)$", re.IGNORECASE)
"""Before a closing word these make it a part of what is said: "ring my mate"."""
_LONGEST_CLOSING = 40


@cache
def _closing() -> re.Pattern[str]:
    words = "|".join(sorted((re.escape(each) for each in word_set("closings")), key=len, reverse=True))
    return re.compile(rf"(?<=\w)[\s,.!-]{{1,8}}(?:{words})(?P<mark>[\s.!?]*)$", re.IGNORECASE)


def without_closings(text: str) -> str:
    """A message without what only closes it; a question keeps its mark, and a closing word alone is left.

    >>> without_closings("is it done mate?"), without_closings("66 lol ta"), without_closings("ta"), without_closings("ring my mate")
    ('is it done?', '66', 'ta', 'ring my mate')
    """
    # Only the end is looked at, so that a long message costs no more than a short one.
    while found := _closing().search(text, max(0, len(text) - _LONGEST_CLOSING)):
        said = text[: found.start()]
        if _BELONGS.search(said[-12:]):
            break
        text = said + ("?" if "?" in found["mark"] else "")
    return text
