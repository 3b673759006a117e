"""Sizes of bottles said short: "twelve 500s", "24 twelve ounce bottles"."""

from __future__ import annotations

from typing import Any

from conversations.intents import Measured
from conversations.understanding.words import Item

_MILLILITRES = frozenset({187, 200, 250, 275, 300, 330, 341, 355, 375, 440, 473, 500, 568, 620, 640, 650, 660, 700, 710, 750, 1000, 1500, 2000})
"""Usual sizes."""
_OUNCES = frozenset({7, 11, 11.2, 12, 16, 20, 22, 24, 32})


_PINTS = ("pint", "imperial_pint")


def counted_pints(item: Item) -> dict[str, Any] | None:
    """The count and the size of "thirteen pint bottles", where a figure before a pint counts the bottles; None elsewhere.

    >>> counted_pints(Item("qty", "", 0, 3, 13.0, "pint"))
    {'count': 13.0, 'volume': Measured(value=1.0, unit='pint')}
    """
    if item.kind != "qty" or item.unit not in _PINTS or item.fraction or item.value != int(item.value) or item.value < 2:
        return None
    return {"count": item.value, "volume": Measured(value=1, unit=item.unit)}


def bottle_size(item: Item) -> dict[str, Measured] | None:
    """The size that an item is, or None.

    >>> bottle_size(Item("num", "", 0, 3, 330.0))
    {'volume': Measured(value=330.0, unit='millilitre')}
    """
    if item.kind == "qty" and item.unit == "ounce":
        # Ounces of a bottle are of volume.
        return {"volume": Measured(value=item.value, unit="fluid_ounce")} if item.value in _OUNCES else None
    # "twelve 500s": the ending was read as seconds.
    short = item.kind == "num" or (item.kind == "dur" and item.said.endswith("s") and item.unit == "second")
    return {"volume": Measured(value=item.value, unit="millilitre")} if short and item.value in _MILLILITRES else None
