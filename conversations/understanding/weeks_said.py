"""What is meant in the weeks and what is not: a room's warmth beside a beer's, a day to put a check off to."""

from __future__ import annotations

from conversations.intents import Measured
from conversations.understanding.sentences import Match
from conversations.understanding.words import Item, word_set

_WARMEST_ROOM_C = 45.0
_NOT_THE_ROOM = frozenset(
    ["beer", "ale", "fermenter", "bucket", "wort", "mash", "pot", "kettle", "water", "sample", "demijohn", "carboy", "yeast", "strike", "grain", "malt", "stout", "porter", "bitter", "lager"]
)


def of_the_room_alone(match: Match, beside: list[Item]) -> bool:
    """Whether it is a room that is so warm, and not what stands in it: "fermenter in the cupboard is at 21" tells of the beer."""
    warmth = match.slots.get("temperature")
    return isinstance(warmth, Measured) and warmth.in_unit("degC") <= _WARMEST_ROOM_C and not any(item.word in _NOT_THE_ROOM for item in beside)


def names_no_day(match: Match, items: list[Item]) -> bool:
    """Whether a check would be put off and no day is named: "good night", "check gravity 10 days after pitching"."""
    if match.sentence.name != "weeks.put_off":
        return False
    said = items[match.start : match.end]
    return "after" in match.slots or not any(each.kind == "dur" or each.word in word_set("days_named") for each in said)
