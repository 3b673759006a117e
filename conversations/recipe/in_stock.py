"""What a message says of the cupboard, where it also says how much of it goes into the beer."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TypeVar

from conversations.recipe.alphas import ToldHop
from conversations.recipe.recipe_text import ReadGrain

Part = TypeVar("Part", ReadGrain, ToldHop)
_IN_STOCK = re.compile(
    r"\b(?:have|got|['’]ve|there(?:['’]s| is| are)|bought)\b.*\b(?:in|from|out of) (?:the|my|our) (?:cupboard|freezer|fridge|pantry|larder|shed|garage|cellar|drawer|loft|shop)\b"
    r"|\b(?:in stock|at home|to use up|lying (?:around|about))\b",
    re.IGNORECASE,
)


def of_the_cupboard(sentence: str) -> bool:
    """Whether a sentence tells what there is.

    >>> of_the_cupboard("I have 5 kg of pale malt in the cupboard"), of_the_cupboard("5 kg of pale malt in the pot")
    (True, False)
    """
    return _IN_STOCK.search(sentence) is not None


def without_stock(parts: Sequence[Part], stock: Sequence[Part]) -> list[Part]:
    """The ingredients without what is only there, wherever another line says how much of it is used."""
    used = {_name(part) for part in parts if not any(part is each for each in stock)}
    return [part for part in parts if _name(part) not in used or not any(part is each for each in stock)]


def _name(part: ReadGrain | ToldHop) -> str:
    return (part.name if isinstance(part, ReadGrain) else part.hop.name).casefold()
