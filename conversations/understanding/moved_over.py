"""Wort that was moved into the fermenter, and how much of it there is: "in the fermenter, 6.4 l", "siphoned 8 l into the bucket"."""

from __future__ import annotations

import re

from conversations.intents import Intent
from conversations.understanding.rows import Placed

_INTO_THE_FERMENTER = re.compile(
    r"\W*((right|ok|okay|so|and|well|it|she|beer|wort|brew|all|of|the|lot|my|that|this|everything|now|is|s|there|safely|finally|over)\W+)*"
    r"(in|into|inside) (the |my |our |a )?(fermenter|fermentor|bucket|fv|demijohn|carboy|barrel|bin|vessel)\b",
    re.IGNORECASE,
)


_SIPHONED = r"\b(siphoned|syphoned|racked|transferred|poured|ran|tipped|moved|emptied)( it| off| over| across| about| roughly| all| around| the)* "
_IN_ONE_BREATH = re.compile(r"(\W|\b(are|is|now|all|safely)\b)*", re.IGNORECASE)


def moved_over(found: list[Placed], stage: str | None, text: str) -> list[Placed]:
    """ "In the fermenter, 6.4 l": says that it is there, and how much of it; "6.4 l in the fermenter" says how much."""
    if stage not in ("chill", "transfer"):
        return found
    kept: list[Placed] = []
    for place, intent in found:
        there = _there(intent, text) if intent.name == "reading.volume" and all(each.name != "done.transferred" for _, each in found) else ""
        if there:
            kept.append((place, Intent(name="done.transferred", text=there)))
        if intent.name == "done.transferred" and kept and kept[-1][1].name == "reading.volume" and _follows(kept[-1][1], intent, text):
            # "6 litres are now in the fermenter"
            kept.insert(len(kept) - 1, (kept[-1][0], intent))
        else:
            kept.append((place, intent))
    return kept


def _there(told: Intent, text: str) -> str:
    """What says that wort was moved, of a volume that is told: "in the fermenter, 6.4 l", "siphoned 8 l into the bucket"."""
    if (there := _INTO_THE_FERMENTER.match(told.text)) is not None:
        return there.group().strip()
    into = re.search(r"\b(into|in|to) (the |my |our |a )?\w+$", told.text, re.IGNORECASE) is not None
    moved = re.search(_SIPHONED + re.escape(told.text), text, re.IGNORECASE) if into else None
    return moved.group() if moved else ""


def _follows(told: Intent, moved: Intent, text: str) -> bool:
    place = text.find(told.text)
    behind = text.find(moved.text, place + len(told.text))
    return min(place, behind) >= 0 and _IN_ONE_BREATH.fullmatch(text[place + len(told.text) : behind]) is not None and not re.search(r"[,.;]", text[place + len(told.text) : behind])
