"""Numbers with a unit from a fixed list; text of a person never reaches the parser of the unit library."""

from __future__ import annotations

from functools import cache

from calc.units import quantity
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
    "milligram / litre": "concentration",
    "psi": "pressure",
    "bar": "pressure",
    "kilopascal": "pressure",
    "hectopascal": "pressure",
    "millibar": "pressure",
    "watt": "power",
    "kilowatt": "power",
}
KINDS.update(dict.fromkeys(("milligram", "gram", "kilogram", "tonne", "ounce", "pound"), "mass"))
KINDS.update(
    dict.fromkeys(
        ("millimetre", "centimetre", "metre", "kilometre", "inch", "foot", "yard", "mile"),
        "length",
    )
)
KINDS.update(
    dict.fromkeys(
        (
            "litre",
            "millilitre",
            "imperial_pint",
            "pint",
            "imperial_gallon",
            "gallon",
            "imperial_quart",
            "quart",
            "cup",
            "imperial_fluid_ounce",
            "fluid_ounce",
            "tablespoon",
            "teaspoon",
            "centilitre",
            "decilitre",
            "hectolitre",
        ),
        "volume",
    )
)
KINDS.update({f"{unit} / hour": "rate" for unit, kind in list(KINDS.items()) if kind == "volume"})
SECONDS = {
    "second": 1.0,
    "minute": 60.0,
    "hour": 3600.0,
    "day": 86400.0,
    "week": 604800.0,
    "fortnight": 1209600.0,
    "month": 2629800.0,
    "year": 31557600.0,
}
"""Seconds of each unit of time; a month and a year are the mean ones of the Julian calendar, as in pint."""
KINDS.update(dict.fromkeys(SECONDS, "duration"))

_COMPOUND = frozenset({"mass", "volume", "length"})
_METRIC = frozenset({"litre", "decilitre", "centilitre", "millilitre", "kilogram", "gram", "milligram", "metre", "centimetre", "millimetre"})
_BEFORE = frozenset({"fahrenheit", "celsius", "plato", "brix"})
"""Units that are also said before their number ("brix 12")."""
_FINE_UNITS = frozenset({"millilitre", "gram", "millimetre", "watt"})
_IN_DEPTH = frozenset({"stick", "dipstick", "depth", "deep"})
_SAID_WITHOUT_ONE = frozenset({"ounce", "pound", "kilo", "litre", "gallon", "pint"})
"""One of these may be told without a figure where something begins."""
_INSIDE_WHAT = frozenset({"the", "a", "my", "our", "this", "hydrometer", "jar", "tube", "sample", "pot", "fermenter", "bucket"})
_BEHIND_INCHES = frozenset({"across", "wide", "deep", "high", "tall", "diameter"})


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
        if items[j].word == "." and words == ["fl"]:
            # "fl. oz": the stop belongs to the short word.
            continue
        if items[j].kind != "word":
            break
        words.append(items[j].word)
        unit = known.get(" ".join(words))
        if unit is not None:
            found = settle(unit, system), j + 1
    return found


@cache
def _ratio(larger: str, smaller: str) -> float:
    return float(quantity(1, larger).to(smaller).magnitude)


def _joins(before: Item, unit: str, value: float) -> bool:
    """Whether "200 g" goes on with "1 kg" before it, as "3 oz" does with "2 lb"."""
    kind = KINDS.get(unit)
    if kind not in _COMPOUND or KINDS.get(before.unit) != kind or before.value != int(before.value):
        return False
    if (before.unit in _METRIC) != (unit in _METRIC):
        # "for four pounds and 50 g of saaz for three": two things.
        return False
    ratio = _ratio(before.unit, unit)
    return ratio > 1.5 and 0 <= value < ratio * 0.999


def _unit_behind(items: list[Item], i: int, result: list[Item], system: UnitSystem) -> tuple[str, int] | None:
    """The unit of the number that ends before item i, and where it ends."""
    found = unit_at(items, i, system)
    if found is not None or i >= len(items):
        return found
    inch = items[i].kind == "quote" and items[i].word in '"”″'
    # One stroke alone may be feet or minutes; with inches behind it is feet.
    behind = [each.kind for each in items[i + 1 : i + 3]]
    foot = items[i].kind == "quote" and items[i].word in "'’′" and behind == ["num", "quote"]
    next_word = items[i + 1].word if i + 1 < len(items) else ""
    # "14 in on the stick", "stick 14 in": the stick is named right beside it.
    on_stick = [each.word for each in items[i + 1 : i + 3]] in (["on", "stick"], ["on", "dipstick"]) or (
        [each.word for each in items[i + 1 : i + 4]] in (["on", "the", "stick"], ["on", "the", "dipstick"])
    )
    named = on_stick or next_word in _BEHIND_INCHES or any(w.word in _IN_DEPTH for w in result[-3:])
    # "stick 10.5 cm, 1.041 in the hydrometer" says where it was read.
    inside = next_word in _INSIDE_WHAT and not on_stick
    spelt_in = items[i].word == "in" and named and not inside
    return ("inch", i + 1) if inch or spelt_in else ("foot", i + 1) if foot else None


def quantity_items(items: list[Item], system: UnitSystem) -> list[Item]:
    """Join every number and the unit behind it into one item of kind qty."""
    result: list[Item] = []
    i = 0
    while i < len(items):
        item = items[i]
        i += 1
        if item.word in _SAID_WITHOUT_ONE and (not result or result[-1].kind == "sep" or result[-1].word in ("and", "plus")) and [each.word for each in items[i : i + 1]] == ["of"] and len(items) > i + 1:
            # "ounce of fuggles in"
            result.append(Item("qty", "", item.start, item.end, 1.0, settle(unit_words()[item.word], system), spoken_one=True))
            continue
        if item.kind != "num":
            result.append(item)
            continue
        j = i
        if j + 1 < len(items) and items[j].kind == "dash" and items[j].start == item.end:
            j += 1
        if 0 < item.value < 1 and j + 2 < len(items) and items[j].word == "of" and items[j + 1].spoken_one and unit_at(items, j + 2, system) is not None:
            # "nought point six of a litre"
            j += 2
        more = items[j : j + 1] if j < len(items) and items[j].word in ("more", "extra") else []
        found = _unit_behind(items, j + len(more), result, system)
        if found is None and result and result[-1].word in _BEFORE:
            # "brix 12": the unit was said first.
            found = settle(unit_words()[result[-1].word], system), i
            item.start = result.pop().start
        if found is None:
            result.append(item)
            continue
        unit, i = found
        behind = [x.word or x.kind for x in items[i : i + 2]]
        an_hour = behind in (["num", "hour"], ["num", "hr"]) and items[i].spoken_one
        if KINDS.get(unit) == "volume" and (an_hour or behind in (["per", "hour"], ["each", "hour"], ["/", "hour"], ["/", "h"], ["every", "hour"])):
            # "3 litres an hour": the article was read as a one.
            unit, i = f"{unit} / hour", i + 2
        value = item.value
        if item.raw:
            comma = decimal_comma(item.raw)
            grouped = len(item.raw) > 4 and item.raw[-4] == ","
            if unit not in _FINE_UNITS:
                value = value if comma is None else comma
            elif grouped and item.raw[0] != "0":
                # Nobody weighs grams to three decimals in a kitchen: "1,200 g" is twelve hundred.
                value = float(item.raw.replace(",", ""))
        value, i = _and_a_half(items, i, value, unit)
        merged = Item("qty", "", item.start, items[i - 1].end, value, unit, spoken_one=item.spoken_one)
        merged.whole_days = SECONDS.get(unit, 0.0) >= SECONDS["day"]
        linked = bool(result) and result[-1].word == "and"
        before = result[-2 if linked else -1] if len(result) > linked else None
        if before is not None and before.kind == "qty" and _joins(before, unit, value):
            before.value += value / _ratio(before.unit, unit)
            before.end = merged.end
            if linked:
                result.pop()
            continue
        result.append(merged)
        result.extend(more)
    return result


def _and_a_half(items: list[Item], i: int, value: float, unit: str) -> tuple[float, int]:
    """Draw in a part that follows its unit, as in "a pint and a half"; times of day have their own reader."""
    if unit in SECONDS or i + 1 >= len(items) or items[i].word != "and" or value != int(value):
        return value, i
    part = items[i + 1]
    if part.kind == "num" and part.fraction and 0 < part.value < 1:
        following = items[i + 2] if i + 2 < len(items) else None
        if following is None or following.kind != "word" or following.word not in unit_words():
            return value + part.value, i + 2
    return value, i


def quantities_in(text: str, system: UnitSystem = "metric") -> list[Span]:
    """All quantities of a message, as written and as read in pint's names.

    >>> [(s.value, s.unit) for s in quantities_in("2 lb 3 oz at 5,2 l")]
    [(2.1875, 'pound'), (5.2, 'litre')]
    """
    found = [item for item in quantity_items(number_items(split(text)), system) if item.kind == "qty"]
    return [Span(text=text[i.start : i.end], start=i.start, end=i.end, value=i.value, unit=i.unit) for i in found]
