"""Figures of a recipe's line as marks: masses, shares, volumes, bare numbers, and what makes one uncertain."""

from __future__ import annotations

import re

from conversations.recipe.mark import Mark
from conversations.recipe.names import behind_name, name_at
from conversations.recipe.words import words_of
from conversations.understanding.bare_figures import gravity_shape, gravity_value
from conversations.understanding.quantities import KINDS
from conversations.understanding.words import Item

_PER = re.compile(
    r"\s*(?:/|per\s+|(?:for\s+)?(?:each|every)\s+|a\s+)\s*(?P<of>l|lit(?:re|er)s?|gallons?|gal|bottle)\b", re.IGNORECASE
)
"""Behind a mass: for each litre, gallon or bottle."""
_THOUSANDS = re.compile(r"^\d{1,2}[.,]\d{3}\s*(?:g|gr|gram|grams|gramm)\b", re.IGNORECASE)
"""Three thousand grams to some, three grams to others."""
_TWO_AMOUNTS = re.compile(r"(?:\b|\d)(?:kg|kilos?|kilograms?|g|gr|grams?|lbs?|pounds?|oz|ounces?)\.?\s+and\b", re.IGNORECASE)
"""A unit before the "and": "two hundred and fifty grams" has none there and is one amount."""
_OUNCES = 16
_COLOUR_UNITS = frozenset({"ebc", "srm", "lovibond", "ibu", "ibus", "abv", "lov"})
_ABOUT_ALPHA = frozenset({"abv", "alcohol", "efficiency", "attenuation"})


def two_amounts(text: str) -> tuple[str, str] | None:
    """Both parts of a mass that is written as two: "four kilos and three hundred grams"."""
    joint = _TWO_AMOUNTS.search(text)
    if joint is None:
        return None
    first = text[: joint.end()].removesuffix(joint[0][-3:]).rstrip()
    return first, text[joint.end() :].strip()


def _bare_time(items: list[Item], i: int) -> bool:
    """Whether the number at item i is minutes by the word before it or the mark behind it."""
    before = items[i - 1] if i else None
    after = items[i + 1] if i + 1 < len(items) else None
    if not 0 <= items[i].value <= 1000 or (gravity_shape(items[i]) is not None and 0.99 <= items[i].value < 1.2):
        return False
    if after is not None and after.kind == "quote" and after.word in "'’′":
        return True
    if after is not None and (after.word in ("left", "remaining") or (after.word == "to" and i + 2 < len(items) and items[i + 2].word in ("go", "run"))):
        # "with fifteen to go"
        return True
    if before is None:
        return False
    if before.kind == "dash" and i > 1 and items[i - 2].word == "t":
        return True
    if after is not None and after.word in _COLOUR_UNITS:
        return False
    return before.word in ("at", "for") or (before.word in ("last", "final") and after is None)


def _alpha_before(items: list[Item], i: int) -> bool:
    """ "AA 7.2", "alpha: 7.2": alpha acids whose percent sign was left out."""
    j = i - 1
    while j > 0 and (items[j].word in (":", "=", "of", "is", "acid", "acids", ".") or items[j].raw in (":", "=")):
        j -= 1
    return j >= 0 and items[j].word in ("aa", "alpha", "a.a", "alphas") and 1 <= items[i].value <= 25


def is_colour(line: str, items: list[Item], i: int) -> bool:
    """Whether "60L" at item i is a malt's colour: the line has another amount for it."""
    if i >= len(items) or items[i].kind != "qty" or items[i].unit != "litre":
        return False
    return line[items[i].start : items[i].end].endswith("L") and any(
        x is not items[i] and x.kind == "qty" for x in items
    )


def quantity_mark(line: str, items: list[Item], i: int) -> tuple[Mark | None, int]:
    """The mark of a quantity at item i, None where it is none that a recipe has, and where it ends."""
    item = items[i]
    of = KINDS.get(item.unit, "")
    kind = {
        "mass": "mass",
        "percent": "share",
        "volume": "volume",
        "temperature": "temperature",
        "gravity": "gravity",
    }.get(of)
    if kind is None:
        return None, i + 1
    end = i + 1
    mark = Mark(kind, item.start, item.end, line[item.start : item.end], item.value, item.unit)
    if kind in ("mass", "share") and (_is_range(items, i) or (kind == "mass" and _THOUSANDS.match(mark.text))):
        mark.what = "range"
    before = items[i - 1] if i else None
    named = before is not None and before.kind == "word"
    named = named and before is not None and (before.word == "malt" or before.word not in words_of("names", "never"))
    if kind == "mass" and named and _TWO_AMOUNTS.search(mark.text):
        # "pale malt 1 kg and 250 g crystal malt": one amount or two, nobody can tell.
        mark.what = "range"
    each = _PER.match(line, item.end) or _PER.match(line, behind_name(items, end))
    if kind == "mass" and each:
        # No amount until somebody says how many litres.
        mark.what = f"per {'litre' if each['of'][:1].casefold() == 'l' else each['of'][:3].casefold()}"
        mark.what = {"per gal": "per gallon", "per bot": "per bottle"}.get(mark.what, mark.what)
    if kind == "mass":
        end = _goes_on(mark, line, items, end)
    if kind == "volume":
        near = [x.word for x in items[max(0, i - 2) : i] + items[i + 1 : i + 3]]
        raw = mark.text.lower()
        bare = not any(word in raw.split() for word in ("us", "imperial", "uk")) and "litre" not in item.unit
        if any(word in words_of("size", "us") for word in near):
            mark.unit = item.unit.removeprefix("imperial_")
        elif any(word in words_of("size", "imperial") for word in near):
            mark.unit = (
                item.unit if item.unit.startswith("imperial_") or "litre" in item.unit else f"imperial_{item.unit}"
            )
        elif bare:
            mark.what = "unsure"
    elif kind == "share" and end < len(items) and items[end].word in _ABOUT_ALPHA:
        return None, end + 1
    elif kind == "gravity":
        value = gravity_value(item)
        return (None if value is None else Mark("gravity", item.start, item.end, mark.text, value)), end
    return mark, end


def _is_range(items: list[Item], i: int) -> bool:
    """ "15-20 g", "6 to 8 %", "10 or 12 g": nobody can tell which."""
    if i < 2 or items[i - 2].kind != "num":
        return False
    joined = items[i - 1].kind == "dash" and items[i - 1].start == items[i - 2].end
    # "at 60 to 12 g" is no range: what stands at a time is a time.
    timed = i > 2 and items[i - 3].word in ("at", "for")
    return joined or (items[i - 1].word in ("to", "or", "-", "–") and not timed and items[i - 2].value < items[i].value)


def _goes_on(mark: Mark, line: str, items: list[Item], end: int) -> int:
    """ "1 kg 250 pale malt", "11 g sachet x 2": what follows a mass and belongs to it; where the mass ends."""
    following = items[end] if end < len(items) else None
    if (
        following is not None
        and mark.unit == "kilogram"
        and following.kind == "num"
        and 100 <= following.value < 1000
        and following.value == int(following.value)
        and (end + 1 == len(items) or items[end + 1].kind in ("word", "sep"))
    ):
        mark.value += following.value / 1000
        mark.end, mark.text = following.end, line[mark.start : following.end]
        return end + 1
    if (
        following is not None
        and mark.unit == "pound"
        and following.kind == "num"
        and not following.fraction
        and following.value == int(following.value)
        and 1 <= following.value < _OUNCES
        and mark.value == int(mark.value)
        and mark.text[-1:].isalpha()
        and (end + 1 == len(items) or items[end + 1].kind == "sep" or items[end + 1].word == "of" or name_at(items, end + 1) is not None)
    ):
        # "5 lb 4": four ounces.
        mark.value += following.value / _OUNCES
        mark.end, mark.text = following.end, line[mark.start : following.end]
        return end + 1
    packs = end + (following is not None and following.word in words_of("names", "packs"))
    if packs > end and not mark.what:
        mark.what = "pack"
    if packs + 1 < len(items) and items[packs].word in ("x", "×") and items[packs + 1].kind == "num":
        many = items[packs + 1].value
        if many == int(many) and 1 <= many <= 50:
            mark.value *= many
            return packs + 2
    return end


def number_mark(line: str, items: list[Item], i: int) -> tuple[Mark | None, int]:
    """The mark of a bare number at item i, None where it is a colour, and where it ends."""
    item = items[i]
    after = items[i + 1].word if i + 1 < len(items) else ""
    text = line[item.start : item.end]
    if after in _COLOUR_UNITS and not 0.99 <= item.value < 1.2:
        return None, i + 2
    several = _several(line, items, i)
    if several is not None:
        return several
    if _alpha_before(items, i):
        return Mark("share", item.start, item.end, text, item.value, "percent"), i + 1
    if _bare_time(items, i):
        return Mark("number", item.start, item.end, text, item.value, what="time"), i + 1
    sg = gravity_shape(item)
    if sg is not None and sg > 1.0:
        return Mark("gravity", item.start, item.end, text, sg), i + 1
    return Mark("number", item.start, item.end, text, item.value), i + 1


def _of_a_pack(line: str, items: list[Item], i: int) -> tuple[Mark, int] | None:
    """ "two 11 g sachets", "half of an 11 g sachet": a number or a part of packs that are weighed behind it."""
    count, j = items[i].value, i + 1
    while j < len(items) and items[j].word in ("of", "a", "an", "one"):
        j += 1
    if j + 1 >= len(items) or items[j].kind != "qty" or KINDS.get(items[j].unit) != "mass":
        return None
    whole = count == int(count) and 1 < count <= 50 and j == i + 1
    if not (whole or (items[i].fraction and 0 < count < 1)) or items[j + 1].word not in words_of("names", "packs"):
        return None
    mark = Mark("mass", items[i].start, items[j].end, line[items[i].start : items[j].end], unit=items[j].unit)
    mark.value = count * items[j].value
    mark.what = "pack" if whole else ""
    return mark, j + 2


def _several(line: str, items: list[Item], i: int) -> tuple[Mark, int] | None:
    """ "2 x 11.5 g", "2 sachets of 11.5 g": so many times a mass; one that may be either is marked as unsure."""
    count, j = items[i].value, i + 1
    packed = _of_a_pack(line, items, i)
    if packed is not None:
        return packed
    if count != int(count) or not 1 <= count <= 50 or j >= len(items):
        return None
    packs = items[j].word in words_of("names", "packs")
    if not packs and items[j].word not in ("x", "×", "*", "times"):
        return None
    j += 1
    brackets = j < len(items) and packs and items[j].kind == "sep" and items[j].word == ","
    j += brackets or (j < len(items) and items[j].word in ("of", "at", "each", "with"))
    j += j < len(items) and items[j - 1].word == "with" and items[j].word == "each"
    if j >= len(items) or items[j].kind != "qty" or KINDS.get(items[j].unit) != "mass":
        return None
    within = j + 2 < len(items) and items[j + 1].word == "in" and items[j + 2].word == "each"
    each = within or (j + 1 < len(items) and items[j + 1].word in ("each", "apiece"))
    mark = Mark("mass", items[i].start, items[j].end, line[items[i].start : items[j].end], unit=items[j].unit)
    mark.value = count * items[j].value
    if (brackets and not each and count > 1) or (count > 1 and "and" in mark.text.split()):
        mark.what = "range"
    return mark, j + 1 + each + within
