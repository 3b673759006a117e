"""Amounts of money as people write and say them: £9.50, 9.50 euro, nine fifty, 80p."""

from __future__ import annotations

from functools import cache

from conversations.intents import Measured
from conversations.understanding.words import Item, vocabulary

MOST = 100_000.0
_AS_MASS = {"pound": "GBP"}
_EACH = frozenset({"per", "/", "each", "every", "for"})
"""Between a price and what it buys."""


@cache
def _currencies() -> dict[str, str]:
    """Written sign or word to ISO 4217 code, from data/vocabulary.toml."""
    return {str(word): str(code) for word, code in vocabulary()["money"].items()}


@cache
def _hundredths() -> dict[str, str]:
    return {str(word): str(code) for word, code in vocabulary()["money_hundredths"].items()}


def currency_at(item: Item) -> str | None:
    """The code of a currency named by its sign or word; a pound alone is the one of money."""
    if item.kind != "word":
        return None
    return "GBP" if item.word in ("pound", "pounds") else _currencies().get(item.word)


def _plain(item: Item) -> float | None:
    """The figure of a number, "nine fifty" being nine and fifty hundredths."""
    if item.kind != "num" or item.fraction:
        return None
    if len(item.parts) == 2 and item.parts[0] < 100 and 10 <= item.parts[1] < 100 and item.value > 100:
        return item.parts[0] + item.parts[1] / 100
    return item.value


def money_at(items: list[Item], i: int) -> tuple[int, float, str] | None:
    """Money that begins at item i: where it ends, the amount, and its code or "" for the person's own.

    A bare number counts, so this is asked only where a sentence has a place for money.
    """
    first = items[i]
    following = items[i + 1] if i + 1 < len(items) else None
    found: tuple[int, float, str] | None = None
    if first.kind == "word" and first.word in _currencies() and following is not None:
        value = _plain(following)
        found = None if value is None else (i + 2, value, _currencies()[first.word])
    elif first.kind == "qty" and first.unit in _AS_MASS:
        # "9 pounds" was read as a weight; in the place of a price it is money.
        found = i + 1, first.value, _AS_MASS[first.unit]
        if following is not None and following.kind == "num" and 10 <= following.value < 100:
            found = i + 2, first.value + following.value / 100, _AS_MASS[first.unit]
    elif first.kind == "qty" and first.unit in ("degree_plato", "degC"):
        found = i + 1, first.value / 100, "GBP" if first.unit == "degree_plato" else ""
    elif (value := _plain(first)) is not None:
        word = following.word if following is not None and following.kind == "word" else ""
        if word in _currencies():
            found = i + 2, value, _currencies()[word]
            more = items[i + 2] if i + 2 < len(items) else None
            if more is not None and more.kind == "num" and 10 <= more.value < 100 and value == int(value):
                found = i + 3, value + more.value / 100, _currencies()[word]
        elif word in _hundredths():
            found = i + 2, value / 100, _hundredths()[word]
        else:
            found = i + 1, value, ""
    return None if found is None or not 0 <= found[1] <= MOST else (found[0], round(found[1], 4), found[2])


def rate_at(items: list[Item], i: int) -> tuple[int, Measured] | None:
    """The amount that a price is for, from item i: "a kilo", "per 100 g", "/kg"; and where it ends."""
    linked = i < len(items) and items[i].word in _EACH
    j = i + 1 if linked else i
    if j >= len(items):
        return None
    item = items[j]
    if item.kind == "qty" and (linked or item.said.startswith(("a ", "an ", "one ")) or item.value >= 10):
        return j + 1, Measured(value=item.value, unit=item.unit)
    unit = vocabulary()["units"].get(item.word) if item.kind == "word" else None
    return None if unit not in ("gram", "kilogram", "pound", "ounce", "litre", "millilitre") else (j + 1, Measured(value=1.0, unit=unit))


def is_rate(items: list[Item], i: int) -> bool:
    """Whether the quantity at item i only says what a price before it is for: the kilo of "£3 a kilo" was not bought."""
    before = items[i - 1] if i else None
    if before is None or items[i].kind != "qty":
        return False
    if before.word in ("per", "/", "each", "every"):
        return True
    paid = before.kind == "num" or (before.kind == "qty" and before.unit in ("pound", "degree_plato", "degC")) or before.word in _currencies() or before.word in _hundredths()
    return paid and items[i].said.startswith(("a ", "an "))
