"""A size behind a comma that belongs to the bottles before it: "filled 14 bottles, 500 ml"."""

from __future__ import annotations

from conversations.intents import Intent, Measured
from conversations.understanding.rows import Placed, places_of
from conversations.understanding.words import Item

LARGEST_L = 2.5
_BOTTLES = frozenset({"bottle", "bottles"})
_BESIDE = frozenset({"each", "bottles", "bottle", "ones", "size", "all", "of", "at", "big", "small", "and", "plus"})

LOOKS = frozenset(
    ["brown", "green", "clear", "clean", "old", "new", "used", "empty", "glass", "small", "big", "little", "long", "tall", "short", "thick", "nice", "good", "normal", "standard", "plain", "washed", "rinsed", "beer", "dark", "amber", "same", "swing", "flip", "top", "tops", "crown", "cap", "caps", "screw", "plastic", "pet", "ones", "one", "bottles", "all", "of", "them", "the", "and", "they", "are", "they're", "theyre", "in", "with", "kind", "type", "sort", "size", "mostly", "here", "ready"]
)
"""Words that may stand between bottles and their size, and say what they are like."""


def _is_size(intent: Intent) -> bool:
    volume = intent.slots.get("volume")
    return intent.name == "reading.volume" and isinstance(volume, Measured) and volume.in_unit("litre") <= LARGEST_L


def sizes_of_bottles(items: list[Item], clause: list[int], found: list[Placed]) -> tuple[list[Placed], set[int]]:
    """What was found with bottles that have their size, and the clauses of sizes that are of no bottles that were counted.

    "I need 14 bottles, 500 ml" counts none, and half a litre is no reading there.
    """
    kept: list[Placed] = []
    astray: set[int] = set()
    for place, intent in found:
        mine = places_of(clause, clause[place])
        alone = all(items[k].kind in ("sep", "qty") or items[k].word in _BESIDE for k in mine)
        number = clause[place] - 1
        while number > 0 and all(items[k].kind == "sep" or items[k].word in LOOKS for k in places_of(clause, number)):
            # "17 bottles, brown ones, half litre"
            number -= 1
        before = places_of(clause, number)
        behind_bottles = any(items[k].word in _BOTTLES for k in before) and any(items[k].kind == "num" for k in before)
        if not (_is_size(intent) and alone and behind_bottles):
            kept.append((place, intent))
        elif kept and kept[-1][1].name == "bottle.unsized" and clause[kept[-1][0]] == number:
            counted = kept[-1][1]
            slots = {"count": counted.slots["count"], "volume": intent.slots["volume"]}
            kept[-1] = kept[-1][0], Intent(name="bottle.count", slots=slots, text=f"{counted.text}, {intent.text}")
        else:
            astray |= {clause[place]}
    return kept, astray
