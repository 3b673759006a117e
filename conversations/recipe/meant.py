"""Whether a name without an amount is an ingredient, whose amount has to be asked, or only spoken of."""

from __future__ import annotations

import re

from conversations.intents import Measured, UnitSystem
from conversations.recipe.entry import Entry
from conversations.recipe.mark import Mark
from conversations.recipe.marks import marks
from conversations.recipe.words import ingredient_names, known_grain, known_hop, words_of

_WORDS = 2
_LETTERS = 3
_LEAST = 20.0
"""Grams below which an unknown thing among malts is a spice rather than a malt."""
_NEAR = 4
_SAID = 10
"""Pieces of a line that tells of one thing only."""
_SHORT = 5
_LONGEST = 200
"""Letters of a line beyond which it is no name with a remark."""


def meant(found: list[Mark], name: Mark | None) -> bool:
    """Whether the name has the line for itself, has a vague amount, or one that nobody can tell any more."""
    if name is not None and len(name.text.strip()) <= _SHORT and (name.text.strip().casefold(),) not in ingredient_names():
        # "page" is near to "pale", and nothing else says that a malt is meant.
        return False
    if _only_names(found) or _amount_unknown(found) or _vague(found, name):
        return True
    texts = [m.text.casefold() for m in found if m.kind == "word"]
    rest = [text for text in texts if text not in words_of("names", "never")]
    return not rest and not any(m.kind in ("key", "volume", "number", "gravity") for m in found) and len(found) <= 4


def _vague(found: list[Mark], name: Mark | None) -> bool:
    """Whether a vague amount stands near the name in its piece: "a handful of Cascade", but not "a few of you asked about my pale"."""
    vague = words_of("names", "vague")
    place = next((i for i, m in enumerate(found) if m is name), None)
    if place is None:
        return any(m.text.casefold() in vague for m in found)
    if place == 0 and all(m.kind in ("word", "when", "sep", "time") and m.what not in (".", "!", "?") for m in found[1:]) and len(found) <= _SAID:
        # "Cascade at the end, a good handful"
        return any(m.text.casefold() in vague for m in found)
    for near in (reversed(found[max(0, place - _NEAR) : place]), found[place + 1 : place + 1 + _NEAR]):
        for mark in near:
            if mark.kind == "sep":
                break
            if mark.text.casefold() in vague:
                return True
    return False


def listed_among_grains(entry: Entry, found: list[Mark]) -> bool:
    """Whether an unknown name stands in a list of malts as they do: "pale 6 kg, munich 1 kg, cara 300 g"."""
    if not entry.own or not 0 < len(entry.words) <= _WORDS or entry.mass is None or len(entry.words[0].text) < _LETTERS:
        return False
    place = next((i for i, m in enumerate(found) if m is entry.mass), 0)
    first = place - len(entry.words)
    before = [m for m in found[:place] if m.kind == "name"]
    alone = found[first:place] == entry.words and first > 0 and found[first - 1].what == "," and [m.kind for m in found[place + 1 : place + 2]] in ([], ["sep"])
    return alone and bool(before) and before[-1].what == "grain" and Measured(value=entry.mass.value, unit=entry.mass.unit).in_unit("gram") >= _LEAST


def without_remark(row: str, system: UnitSystem) -> str:
    """A name that has the line for itself but for words in brackets behind it, without them: its amount is asked.

    >>> without_remark("wheat malt (can't read how much)", "metric")
    'wheat malt'
    >>> without_remark("wheat malt (half a pound)", "metric")
    'wheat malt (half a pound)'
    """
    name, bracket, remark = row.partition("(")
    name, remark = name.strip(), remark.rstrip(" .!")
    if not bracket or not remark.endswith(")") or "(" in remark or len(row) > _LONGEST:
        return row
    if re.search(r"[\d:,;]", row) or not (known_grain(name) or known_hop(name)):
        return row
    return name if all(m.kind in ("word", "sep") for m in marks(remark, system)) else row


def _amount_unknown(found: list[Mark]) -> bool:
    """ "wheat malt, can't read how much": a line that begins with the name and says that its amount is lost."""
    if not found or found[0].kind != "name" or any(m.kind not in ("name", "word", "sep") for m in found):
        return False
    said = " ".join(m.text.casefold().replace("’", "'") for m in found[1:])
    return any(re.search(rf"\b{re.escape(phrase)}\b", said) for phrase in words_of("names", "unknown"))


def _only_names(found: list[Mark]) -> bool:
    """Whether a line lists names and nothing else: "pale malt, crystal malt, Fuggle"."""
    names = [m for m in found if m.kind == "name"]
    rest = [m for m in found if m.kind not in ("name", "sep") and m.text.casefold() not in ("and", "some", "the", "a")]
    return len(names) > 2 and not rest
