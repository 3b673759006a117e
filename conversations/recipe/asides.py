"""What stands in a recipe's text and is no ingredient of it: last time's amounts, sugar for the bottles, short names."""

from __future__ import annotations

import re
from itertools import pairwise

from calc.fermentables import find_fermentable
from conversations.recipe.amounts import celsius
from conversations.recipe.entries import Entry
from conversations.recipe.marks import Mark
from conversations.recipe.words import recipe_words

_BRACKETED = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
_INSTEAD = re.compile(r"\b(?:instead of|rather than|in place of)\b[^,.;()]*", re.IGNORECASE)
_PRIMING = re.compile(
    r"\b(?:prim(?:e|es|ed|ing)|carbonat\w*|bottling|bottled|bottle with|in(?:to)? the bottles?|per bottle)\b",
    re.IGNORECASE,
)
_FOR_PRIMING = re.compile(
    r"^\s*(?:(?:is|are|used)\s+)?(?:for|to|as|at)\s+(?:the\s+)?(?:prim|carbon|bottl)", re.IGNORECASE
)
_SHORT = re.compile(r"(?<=\d)(\s*(?:kg|g|grams?|kilos?|lbs?|pounds?|oz)\s+(?:of\s+)?)(\w+)\b", re.IGNORECASE)


def about_another_time(sentence: str) -> bool:
    """Whether a sentence tells of an earlier or a later batch."""
    low = " ".join(sentence.casefold().split())
    return any(re.search(rf"\b{re.escape(phrase)}\b", low) for phrase in recipe_words()["another_time"])


def without_asides(row: str) -> str:
    """The line without brackets about another batch and without what was replaced; short names written out.

    >>> without_asides("20 g Fuggle at 60 (last time 25 g), 3 kg MO")
    '20 g Fuggle at 60 , 3 kg maris otter'
    """
    row = _BRACKETED.sub(lambda found: "" if about_another_time(found[0]) else found[0], row)
    row = _INSTEAD.sub("", row)
    short = recipe_words()["short"]
    return _SHORT.sub(lambda found: found[1] + short.get(found[2].casefold(), found[2]), row)


def primes(entry: Entry, line: str, found: list[Mark]) -> bool:
    """Whether a sugar goes into the bottles, by its own piece of the line or by the label in front of the line."""
    at = entry.name or entry.mass
    if at is None or entry.kind != "grain":
        return False
    malt = find_fermentable(at.text.strip()) or find_fermentable(at.ours)
    if malt is None or malt.mashed or not _PRIMING.search(line):
        return False
    if re.match(r"\s*(?:for\s+)?(?:prim|carbonat|bottling)", line, re.IGNORECASE):
        return True
    ends = [0, *(m.start for m in found if m.kind == "sep"), len(line)]
    pieces = list(pairwise(ends))
    own = {i for i, (a, b) in enumerate(pieces) for m in (entry.name, entry.mass) if m is not None and a <= m.start < b}
    for i in own:
        if _PRIMING.search(line[pieces[i][0] : pieces[i][1]]):
            return True
    after = max(own, default=0) + 1
    return after < len(pieces) and bool(_FOR_PRIMING.match(line[pieces[after][0] + 1 : pieces[after][1]]))


def main_rest(found: list[Mark], mashing: bool) -> tuple[Mark, float | None] | None:
    """Of several rests the one that makes the sugar: the longest between 60 and 72 degC; None where there are not several.

    Common practice, no source: rests below are for proteins and gums, those above end the mash.
    """
    rests: list[tuple[Mark, float | None]] = []
    waiting: float | None = None
    for mark in found:
        if mark.kind == "key":
            if mark.what in ("boil", "other") and mashing:
                break
            mashing = mashing or mark.what == "mash"
        elif mashing and mark.kind == "temperature":
            rests.append((mark, waiting))
            waiting = None
        elif mashing and mark.kind == "time":
            if rests and rests[-1][1] is None:
                rests[-1] = (rests[-1][0], mark.value)
            else:
                waiting = mark.value
    return best_rest(rests) if len(rests) > 1 else None


def best_rest(rests: list[tuple[Mark, float | None]]) -> tuple[Mark, float | None] | None:
    """The longest rest between 60 and 72 degC; None where there is none."""
    inside = [rest for rest in rests if 60 <= celsius(rest[0]) <= 72]
    return max(inside, key=lambda rest: rest[1] or 0.0, default=None)
