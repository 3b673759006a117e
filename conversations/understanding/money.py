"""Amounts of money as people write and say them: £9.50, 9.50 euro, nine fifty, 80p."""

from __future__ import annotations

from functools import cache

from conversations.intents import Measured
from conversations.understanding.words import Item, vocabulary

MOST = 100_000.0
_AS_MASS = {"pound": "GBP"}
_READ_AS_HUNDREDTHS = frozenset({"degree_plato"})
"""What "50p" was read as."""
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


def _parts_of_a_unit(items: list[Item], i: int) -> tuple[int, float] | None:
    """Hundredths that go on with a sum, from item i, and where they end: "fifty pence", "50p", or "fifty" alone."""
    item = items[i] if i < len(items) else None
    if item is None:
        return None
    if item.kind == "qty" and item.unit in _READ_AS_HUNDREDTHS and 0 < item.value < 100:
        return i + 1, item.value / 100
    named = i + 1 < len(items) and items[i + 1].word in _hundredths()
    if item.kind == "num" and item.value == int(item.value) and (1 if named else 10) <= item.value < 100:
        return i + (2 if named else 1), item.value / 100
    return None


def _is_named(items: list[Item], i: int) -> bool:
    """Whether what stands at item i is hundredths by their name."""
    found = _parts_of_a_unit(items, i)
    return found is not None and (items[i].kind == "qty" or found[0] == i + 2)


def without_and(items: list[Item]) -> list[Item]:
    """A row without the "and" inside a sum of money: "four pounds and fifty pence"."""
    kept: list[Item] = []
    for k, item in enumerate(items):
        whole = kept[-1] if kept else None
        if item.word == "and" and whole is not None and _is_named(items, k + 1):
            sign = len(kept) > 1 and whole.kind == "num" and kept[-2].kind == "word" and kept[-2].word in _currencies()
            if sign or currency_at(whole) is not None or (whole.kind == "qty" and whole.unit in _AS_MASS):
                continue
        kept.append(item)
    return kept


def _with_parts(items: list[Item], found: tuple[int, float, str]) -> tuple[int, float, str]:
    """A whole sum with the hundredths behind it."""
    end, value, code = found
    more = _parts_of_a_unit(items, end) if value == int(value) else None
    return found if more is None else (more[0], value + more[1], code)


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
        if found is not None and _is_named(items, i + 2):
            found = _with_parts(items, found)
    elif first.kind == "qty" and first.unit in _AS_MASS:
        # "9 pounds" was read as a weight; in the place of a price it is money.
        found = _with_parts(items, (i + 1, first.value, _AS_MASS[first.unit]))
    elif first.kind == "qty" and first.unit in ("degree_plato", "degC"):
        found = i + 1, first.value / 100, "GBP" if first.unit == "degree_plato" else ""
    elif (value := _plain(first)) is not None:
        word = following.word if following is not None and following.kind == "word" else ""
        if word in _currencies():
            found = _with_parts(items, (i + 2, value, _currencies()[word]))
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
