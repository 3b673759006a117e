"""Numbers with a unit from a fixed list; text of a person never reaches the parser of the unit library."""

from __future__ import annotations

from functools import cache

from conversations.intents import Span, UnitSystem
from conversations.understanding.numbers import decimal_comma, number_items
from conversations.understanding.words import Item, split, vocabulary

KINDS: dict[str, str] = {
    "degC": "temperature",
    "degF": "temperature",
    "degree_plato": "gravity",
    "dimensionless": "gravity",
    "percent": "percent",
    "litre / hour": "rate",
    "psi": "pressure",
    "bar": "pressure",
    "kilopascal": "pressure",
    "watt": "power",
    "kilowatt": "power",
}
KINDS.update(dict.fromkeys(("gram", "kilogram", "ounce", "pound"), "mass"))
KINDS.update(dict.fromkeys(("millimetre", "centimetre", "inch"), "length"))
KINDS.update(
    dict.fromkeys(
        (
            "litre",
            "millilitre",
            "imperial_pint",
            "pint",
            "imperial_gallon",
            "gallon",
            "quart",
            "cup",
            "fluid_ounce",
        ),
        "volume",
    )
)
SECONDS = {"second": 1.0, "minute": 60.0, "hour": 3600.0, "day": 86400.0, "week": 604800.0}
KINDS.update(dict.fromkeys(SECONDS, "duration"))

_SMALLER = {"pound": ("ounce", 16.0)}
_FINE_UNITS = frozenset({"millilitre", "gram", "millimetre", "watt"})
_IN_DEPTH = frozenset({"stick", "dipstick", "depth", "deep"})


@cache
def unit_words() -> dict[str, str]:
    """Written unit to pint name, from data/vocabulary.toml."""
    return dict(vocabulary()["units"])


def settle(unit: str, system: UnitSystem) -> str:
    """The pint name of a unit whose meaning hangs on the person's setting; others as they are.

    >>> settle("?pint", "metric"), settle("?gallon", "us"), settle("deg", "us")
    ('imperial_pint', 'gallon', 'degF')
    """
    if unit == "deg":
        return "degC" if system == "metric" else "degF"
    if unit.startswith("?"):
        return unit[1:] if system == "us" else "imperial_" + unit[1:]
    return unit


def unit_at(items: list[Item], i: int, system: UnitSystem) -> tuple[str, int] | None:
    """The longest unit that is written at item i: its pint name and where it ends."""
    known = unit_words()
    words: list[str] = []
    found: tuple[str, int] | None = None
    for j in range(i, min(i + 3, len(items))):
        if items[j].kind != "word":
            break
        words.append(items[j].word)
        unit = known.get(" ".join(words))
        if unit is not None:
            found = settle(unit, system), j + 1
    return found


def quantity_items(items: list[Item], system: UnitSystem) -> list[Item]:
    """Join every number and the unit behind it into one item of kind qty."""
    result: list[Item] = []
    i = 0
    while i < len(items):
        item = items[i]
        i += 1
        if item.kind != "num":
            result.append(item)
            continue
        j = i
        if j + 1 < len(items) and items[j].kind == "dash" and items[j].start == item.end:
            j += 1
        more = items[j : j + 1] if j < len(items) and items[j].word in ("more", "extra") else []
        found = unit_at(items, j + len(more), system)
        if found is None and i < len(items):
            inch = items[i].kind == "quote" and items[i].word in '"”″'
            spelt_in = items[i].word == "in" and any(w.word in _IN_DEPTH for w in result[-3:])
            found = ("inch", i + 1) if inch or spelt_in else None
        if found is None:
            result.append(item)
            continue
        unit, i = found
        if unit == "litre" and [x.word or x.kind for x in items[i : i + 2]] == ["num", "hour"] and items[i].spoken_one:
            # "3 litres an hour": the article was read as a one.
            unit, i = "litre / hour", i + 2
        value = item.value
        if item.raw and unit not in _FINE_UNITS:
            comma = decimal_comma(item.raw)
            value = value if comma is None else comma
        merged = Item("qty", "", item.start, items[i - 1].end, value, unit)
        merged.whole_days = unit in ("day", "week")
        before = result[-1] if result else None
        if before is not None and before.kind == "qty" and _SMALLER.get(before.unit, ("",))[0] == unit:
            before.value += value / _SMALLER[before.unit][1]
            before.end = merged.end
            continue
        result.append(merged)
        result.extend(more)
    return result


def quantities_in(text: str, system: UnitSystem = "metric") -> list[Span]:
    """All quantities of a message, as written and as read in pint's names.

    >>> [(s.value, s.unit) for s in quantities_in("2 lb 3 oz at 5,2 l")]
    [(2.1875, 'pound'), (5.2, 'litre')]
    """
    found = [item for item in quantity_items(number_items(split(text)), system) if item.kind == "qty"]
    return [Span(text=text[i.start : i.end], start=i.start, end=i.end, value=i.value, unit=i.unit) for i in found]
