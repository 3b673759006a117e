"""What is no beer that is begun and no line of this recipe: a cup of tea, a pint that is drunk, last time's malt, a time taken for a price."""

from __future__ import annotations

import re
from collections.abc import Mapping

from conversations.intents import Measured
from conversations.understanding.words import Item, word_set

_GONE_BY = re.compile(r"\blast (time|batch|brew|year|month|week)\b", re.IGNORECASE)
_NO_NAME = frozenset({"brew", "batch", "day", "brewday", "brewing", "making", "made", "doing"})
_LEAST_OF_PINTS = 7.0
_PAID = frozenset({"bought", "paid", "spent", "cost", "costs", "price", "shop", "market", "store", "got", "gave", "forked", "shelled", "handed"})


def of_another_time(name: str, text: str) -> bool:
    """Whether a line of a recipe is told of another brew: "last time it got 1.8 kg of pale malt"."""
    return name in ("recipe.grain", "recipe.hop", "recipe.yeast", "recipe.mash", "recipe.boil") and _GONE_BY.search(text) is not None


def is_drunk(slots: Mapping[str, object]) -> bool:
    """Whether a volume is what somebody drinks: "let's go for a pint of stout"."""
    volume = slots.get("volume")
    return isinstance(volume, Measured) and "pint" in volume.unit and volume.value < _LEAST_OF_PINTS


def is_no_beer(name: str) -> bool:
    """Whether a name is of something else that is made in a kitchen, or of a part of the day: "I'd like to make a cup of tea".

    >>> is_no_beer("cup of tea"), is_no_beer("water"), is_no_beer("coffee stout")
    (True, True, False)
    """
    words = name.lower().split()
    # "start a brew an old ale", "brew day! stout": the brew is no part of the name.
    return bool(words) and (words[-1] in word_set("no_beer") or words[0].strip(".!:") in _NO_NAME or re.search(r"\w[.!:;]+ ", name) is not None or any(word in word_set("parts_of_the_day") for word in words))


def is_no_price(slots: Mapping[str, object], said: list[Item]) -> bool:
    """Whether "16 g of northdown for 60" says how long they boil: a round figure without a currency, and nothing of paying."""
    paid = slots.get("money")
    return not slots.get("currency") and isinstance(paid, float) and paid == int(paid) and not any(each.said in _PAID for each in said)
